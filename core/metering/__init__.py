"""Meter readings against the prediction: where to read, what they tell, and what they cannot tell."""
