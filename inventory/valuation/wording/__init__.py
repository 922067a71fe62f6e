"""What valuation says."""
