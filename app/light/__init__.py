"""The light in the drawing: colours, picture of the field, isolines, legend, reading at the pointer."""
