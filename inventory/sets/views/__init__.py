"""Pages of sets and plug-in units, and of what is fitted and seated in them, a file a subject."""
