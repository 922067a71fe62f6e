"""Weak parts of set models as they are taken out, with the columns by which they are taken in."""

from inventory.house.lists_out import ListOut, both
from inventory.house.order import by_code_points
from inventory.restoration.models import WeakPart

LISTS = (
    ListOut(
        "weak-parts", "Known weak parts of set models", "restoration.weakpart",
        (
            ("set model", "set_model__name"), ("mark", "mark"), ("part", "words"), ("quantity", "quantity"),
            ("goes wrong", "why"), ("on whose word", "source"), ("word", "said__verdict"), ("source", "said__source"),
            ("page", "said__page"), ("date", "said__on"), ("says", "said__words"),
            ("struck out because", "said__struck"),
        ),
        **both(lambda: WeakPart.objects.order_by(*by_code_points("set_model__name"), "pk", "said__pk")), order=60,
    ),
)  # fmt: skip
