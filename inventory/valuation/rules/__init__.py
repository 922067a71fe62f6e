"""Pure computation for valuation: locations of few prices, estimates from evidence, how well they hold."""
