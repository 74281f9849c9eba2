"""Paper: pages measured in millimetres, drawn once, and put out as PDF, SVG or picture."""
