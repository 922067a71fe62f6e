"""Computation of the sets area, without Django."""
