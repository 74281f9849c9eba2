"""Luminous intensity distributions and the reader of LM-63 photometric files."""
