"""Changes: the archive out and in, backup and restore. One file each; import from those."""
