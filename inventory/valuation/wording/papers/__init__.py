"""The papers of a valuation, put together from their answers for page and PDF alike."""
