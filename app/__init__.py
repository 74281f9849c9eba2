"""The window and the commands."""

import core  # noqa: F401  # before NumPy is loaded: see there
