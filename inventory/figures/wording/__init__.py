"""The figures of a collection in words, drawings and JSON."""
