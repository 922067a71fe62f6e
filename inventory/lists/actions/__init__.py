"""Changes: lists in, answers to them, lists undone. One file each; import from those."""
