"""Prints about the wiring: the permit sheet and the settings card."""
