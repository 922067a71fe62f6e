"""Kinds of things as a keeper calls them."""

from inventory.valuation.queries.catalogue import kind_words

PLURAL = {
    "chassis": "Sets", "unit": "Plug-in units", "companion": "What goes with sets", "tube": "Tubes",
    "parts": "Parts",
}  # fmt: skip


def kind_in_words(kind: str) -> str:
    """Things of a kind, as a chapter or a line of a table names them."""
    return PLURAL.get(kind, kind_words(kind))
