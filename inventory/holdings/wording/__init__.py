"""Words of the holdings on pages and in lines."""
