"""'Place them for me' in the window and on the command line."""
