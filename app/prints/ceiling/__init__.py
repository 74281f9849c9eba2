"""The printed ceiling sheet: one file for each kind of page, put together in `book`."""
