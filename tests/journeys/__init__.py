"""Whole jobs done in a real window by mouse and keys, with their gestures counted."""
