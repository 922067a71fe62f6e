"""What the one search box finds beside types: things, places and models, as each area brings its own."""

import re

from inventory.holdings.models import Item
from inventory.holdings.queries import tag_in
from inventory.house.areas import areas
from inventory.house.search import Finds, searched


def search_all(text: str) -> tuple[Finds, ...]:
    """What a text finds in every area, low to high; a fixed number of queries, bounded rows of each kind."""
    return searched((area.search for area in areas().values()), text)


def tag_not_here(text: str) -> str:
    """The tag that a text is by its shape (T-9999) where no thing bears it, also of one that left; else empty."""
    tag = tag_in(text)
    letters = "|".join(re.escape(kind.letters) for area in areas().values() for kind in area.kinds)
    if not re.fullmatch(rf"(?:{letters})-[0-9]{{4,}}", tag, re.ASCII):
        return ""
    return "" if Item.objects.filter(tag=tag).exists() else tag
