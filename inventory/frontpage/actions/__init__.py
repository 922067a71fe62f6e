"""Collections to look at and to try things on: the demo and the made collection."""
