"""Questions about what goes out: the rows of the archive."""
