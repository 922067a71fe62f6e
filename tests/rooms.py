"""What each area brings to the worlds of tests: a module ``rows`` beside its tests, all of whose names may be missing.

``ADDRESSES``, ``POST_ONLY``, ``FILES``, ``QUERIES``: as in ``tests.house.world``; ``TRIED``: as in its test of forms.
``in_the_world(world)`` adds one thing of every sort, ``grow(world, number)`` some more, ``in_the_archive(fitting)``
rows of every model.
"""

from importlib import import_module
from importlib.util import find_spec

from inventory.house.areas import areas


def rows_of_areas():
    """The modules of the areas that have one, low to high."""
    names = [f"tests.{label}.rows" for label in areas() if find_spec(f"tests.{label}")]
    return [import_module(name) for name in names if find_spec(name)]


def brought(name, start):
    """What the areas bring under a name, joined to what there is."""
    for rows in rows_of_areas():
        more = getattr(rows, name, type(start)())
        start = start | more if isinstance(start, dict) else (*start, *more)
    return start


def stand(name, *args):
    """Let every area bring its rows."""
    for rows in rows_of_areas():
        getattr(rows, name, lambda *_: None)(*args)
