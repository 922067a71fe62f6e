"""Pages of valuation."""
