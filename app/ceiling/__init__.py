"""The ceiling sheet in the window: its pages, the walls it is measured from, what was measured and cut, joists."""
