"""The window's panels: what stands beside, above and below the drawing."""
