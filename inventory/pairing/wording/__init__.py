"""Pairs in words, charts and template filters."""
