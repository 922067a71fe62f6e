"""Pages of lists in and out. One file each; import from those."""
