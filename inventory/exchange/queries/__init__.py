"""Questions about what goes out: the lists, and the rows of the archive."""
