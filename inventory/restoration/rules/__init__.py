"""Pure computation for restorations: failures ahead, chance of good, who gets which tube, what to buy first."""
