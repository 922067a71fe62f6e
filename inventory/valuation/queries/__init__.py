"""Questions of valuation."""
