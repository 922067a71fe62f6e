"""One declaration per area: what the rest of the house must know of it. Nobody else keeps a list of areas.

An area is an app of ``INSTALLED_APPS`` with a module ``area`` that holds ``AREA``, an ``Area``. ``areas()`` gives all
of them in the order of the settings, low to high. So a new area is told in three shared files: the settings, the
import contracts in ``pyproject.toml`` and the map in ``DEVELOPERS.md``.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from importlib import import_module
from typing import Any

from django.apps import apps
from django.db.models import Model
from django.urls import reverse
from django.utils.module_loading import module_has_submodule

from inventory.house.archived import Spec
from inventory.house.lists_out import ListOut
from inventory.house.search import Finds

VISITOR, HELPER, KEEPER = "visitor", "helper", "keeper"
ROLES = (VISITOR, HELPER, KEEPER)
USUAL: Mapping[str, tuple[str, ...]] = {
    VISITOR: ("view",), HELPER: ("view", "add"), KEEPER: ("view", "add", "change", "delete"),
}  # fmt: skip


@dataclass(frozen=True)
class Group:
    """One of the few places that the navigation leads to: its words, what is done there, the URL name of its page."""

    key: str
    label: str
    about: str
    page: str = "frontpage:group"

    @property
    def address(self) -> str:
        return reverse(self.page, args=[self.key] if self.page == "frontpage:group" else [])


TODAY, TUBES, SETS, BENCH, PLACES, REFERENCE, DESK = GROUPS = (
    Group("today", "Today", "What needs a hand, and the quick ways to look something up.", "frontpage:home"),
    Group("tubes", "Tubes and parts", "What is on the shelves, what it can replace, what is wanted."),
    Group("sets", "Sets and units", "Radio sets, their plug-in units, and what belongs together."),
    Group("bench", "Bench", "Testing, neutralizing, restoring: work with the tools at hand."),
    Group("places", "Places", "Where everything is, what left the house, and what there can hurt."),
    Group("reference", "Reference", "What the trade knows, with its sources and limits."),
    Group("desk", "Desk", "Lists in and out, prices and papers, copies that are safe."),
)


@dataclass(frozen=True)
class Way:
    """A page that the navigation leads to: its words, the URL name of the page, its group, what it is for, its place
    among those of the group.

    Pages whose URL name begins with one of ``names`` lie under it as well; ``whole``: every page of its name space that
    lies under no other. ``role``: the least role that may open it.
    """

    label: str
    page: str
    group: Group
    about: str
    order: int
    names: tuple[str, ...] = ()
    whole: bool = False
    role: str = VISITOR

    @property
    def space(self) -> str:
        return self.page.split(":")[0]

    @property
    def name(self) -> str:
        return self.page.split(":")[1]

    def holds(self, name: str) -> int:
        """How narrowly a page of its name space lies under it; -1: not at all."""
        if name == self.name:
            return 1000
        return max((len(begin) for begin in self.names if name.startswith(begin)), default=0 if self.whole else -1)


@dataclass(frozen=True)
class Kind:
    """A kind of thing in the register: how it is written in the database, its words, the letters of its tags.

    ``row``: the name under which its own row hangs on the thing. ``page``: URL name of its page, which takes the tag.
    ``fetch``: what to fetch with things so that each can be named without another query. ``told``: the column of its
    row that names it; empty: the row does so itself.
    """

    key: str
    words: str
    letters: str
    row: str
    page: str
    fetch: tuple[str, ...]
    order: int
    told: str = ""


@dataclass(frozen=True)
class Section:
    """What of an area needs a hand on a day: all ``rows`` of one kind, of which the first ``most`` are told
    (None: all).

    The page shows them by ``template``, which gets ``rows`` and ``count`` (no rows: no section). A terminal tells them
    in the lines of ``in_lines`` below ``heading``, which is given how many there are of all. JSON gains the list
    ``key``, each row in it by ``as_json``, where there are any.
    """

    title: str
    template: str
    rows: Sequence[Any]
    heading: Callable[[int], str]
    in_lines: Callable[[Any], Sequence[str]]
    key: str
    as_json: Callable[[Any], Mapping[str, Any]]
    most: int | None = None

    @property
    def count(self) -> int:
        return len(self.rows)

    @property
    def told(self) -> Sequence[Any]:
        return self.rows[: self.most]


@dataclass(frozen=True)
class Panel:
    """What an area shows on the page of a thing of a lower area, below its ``title``, by ``template``.

    The template gets the panel: ``subject``, whose page it is, ``rows``, and what else is to be ``told``.
    ``for_visitors``: its title for whoever may only look; None: the same, empty: it is not shown to them.
    """

    title: str
    template: str
    subject: Any
    rows: Sequence[Any] = ()
    told: Any = None
    for_visitors: str | None = None


@dataclass(frozen=True)
class Area:
    """What an area declares. What it has nothing of is left out.

    ``urls``: its module of addresses, whose ``addresses`` gives patterns by the name space of their subject.
    ``archive``: how its rows stand in the archive; ``not_archived``: bookkeeping that says nothing of a collection.
    ``lists``: what of it can be taken out as a file.
    ``roles``: verbs that each role may do with its rows. ``search``: what a text finds of its own.
    ``needs_hand``: its sections of the first page on a day. ``panels``: what it shows on pages of lower areas, by the
    label of the model whose rows have such a page ("sets.setmodel"), in a fixed number of queries.
    """

    label: str
    urls: str = ""
    ways: tuple[Way, ...] = ()
    roles: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: USUAL)
    kinds: tuple[Kind, ...] = ()
    archive: tuple[Spec, ...] = ()
    not_archived: tuple[type[Model], ...] = ()
    lists: tuple[ListOut, ...] = ()
    search: Callable[[str], Sequence[Finds]] | None = None
    needs_hand: Callable[[date], Sequence[Section]] | None = None
    panels: Mapping[str, Callable[[Any], Panel]] = field(default_factory=dict)


@cache
def areas() -> dict[str, Area]:
    """Every area by the label of its app, low to high. Asked once all models are there."""
    apps.check_models_ready()
    found = {}
    for config in apps.get_app_configs():
        if config.module is not None and module_has_submodule(config.module, "area"):
            declared = import_module(f"{config.name}.area")
            found[config.label] = declared.AREA
    return found


def list_named(name: str) -> ListOut:
    """The list of that name, whichever area declares it. Raises KeyError."""
    return {one.name: one for area in areas().values() for one in area.lists}[name]


def patterns_by_space() -> dict[str, list[Any]]:
    """The addresses of every area by name space; empty for those without one."""
    spaces: dict[str, list[Any]] = defaultdict(list)
    for area in areas().values():
        if area.urls:
            for space, patterns in import_module(area.urls).addresses.items():
                spaces[space] += patterns
    return dict(spaces)


def sections_of(on: date, most: int | None = None) -> tuple[Section, ...]:
    """What every area adds to the first page on a day, the first ``most`` rows of each kind (None: all)."""
    declared = (area.needs_hand(on) for area in areas().values() if area.needs_hand)
    return tuple(replace(section, most=most) for sections in declared for section in sections)


def panels_of(subject: Model) -> tuple[Panel, ...]:
    """What higher areas show on the page of a thing."""
    label = subject._meta.label_lower
    return tuple(area.panels[label](subject) for area in areas().values() if label in area.panels)


@cache
def ways() -> tuple[Way, ...]:
    """The pages of the navigation, group by group, each group in its order."""
    declared = (way for area in areas().values() for way in area.ways)
    return tuple(sorted(declared, key=lambda way: (GROUPS.index(way.group), way.order)))


def ways_of(group: Group, role: str) -> tuple[Way, ...]:
    """The pages of a group that a role may open, in their order."""
    may_open = ROLES[: ROLES.index(role) + 1] if role in ROLES else ()
    return tuple(way for way in ways() if way.group is group and way.role in may_open)


def present_way(space: str, name: str) -> Way | None:
    """The page of the navigation under which a page lies, by its name space and URL name."""
    under = [way for way in ways() if way.space == space and way.holds(name) >= 0]
    return max(under, key=lambda way: way.holds(name), default=None)


@cache
def kinds() -> dict[str, Kind]:
    """Every kind of thing in the register by its key, in their order."""
    declared = (kind for area in areas().values() for kind in area.kinds)
    return {kind.key: kind for kind in sorted(declared, key=lambda kind: kind.order)}


def kind_choices() -> list[tuple[str, str]]:
    """The kinds of things as choices of a column; asked late, when every area has declared its own."""
    return [(kind.key, kind.words) for kind in kinds().values()]


def thing_columns(before: str = "") -> tuple[str, ...]:
    """What to fetch with things of the register, so that each can be named and placed. ``before``: the way to them."""
    columns = ("place", *(column for kind in kinds().values() for column in kind.fetch))
    return tuple(before + column for column in columns)
