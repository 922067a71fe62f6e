"""Lists in words."""
