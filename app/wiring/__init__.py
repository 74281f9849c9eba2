"""The wiring in the window: cable on the plan, circuits, switches, boxes, and what is printed about them."""
