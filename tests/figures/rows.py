"""Addresses of the figures, for the tests of every page."""

ADDRESSES = {"figures:figures": ("view",), "figures:figures-pdf": ("view",), "figures:api-figures": ("view",)}
FILES = ("figures:figures-pdf",)
