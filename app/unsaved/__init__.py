"""Work that is not in its file yet: kept on the disk while the program runs, offered again after it was killed."""
