"""What the one search box finds beside types: things, places and models, as each area brings its own."""

from inventory.house.areas import areas
from inventory.house.search import Finds, searched


def search_all(text: str) -> tuple[Finds, ...]:
    """What a text finds in every area, low to high; a fixed number of queries, bounded rows of each kind."""
    return searched((area.search for area in areas().values()), text)
