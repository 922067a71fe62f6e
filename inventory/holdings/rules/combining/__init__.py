"""Two or three stock parts in series or parallel that do the work of one."""
