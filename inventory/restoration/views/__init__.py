"""Pages of restorations."""
