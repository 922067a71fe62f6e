"""Bands, bodies and dots as pictures whose places can be chosen and changed: what a page needs to draw them."""

from dataclasses import dataclass
from urllib.parse import urlencode

from inventory.holdings.rules.markings.bands import BANDS, BED
from inventory.holdings.rules.markings.colours import NONE, colours_in, looks_coloured
from inventory.holdings.rules.markings.decode import decode
from inventory.holdings.rules.markings.dots_old import DOTS
from inventory.holdings.rules.markings.tables import MarkingTables

FILLS = {
    "black": "#1b1b1b", "brown": "#7a4a21", "red": "#c8201a", "orange": "#ee7d11", "yellow": "#f5d000",
    "green": "#2e8b3d", "blue": "#1f52c4", "violet": "#7d3fa0", "grey": "#8d9296", "white": "#ffffff",
    "gold": "#c9a227", "silver": "#c3c7cb", "pink": "#f2a6b8", NONE: "none",
}  # fmt: skip
TITLES = {BANDS: "Bands of a resistor", BED: "Body, end and dot of a resistor", DOTS: "Six dots of a capacitor"}
STARTS = {BANDS: "brown black red gold", BED: "green black yellow none", DOTS: "black red green brown gold brown"}
_TYPES = ("black", "white", "silver")  # first dots of the codes that name a type
_FIGURES = ("first figure", "second figure", "third figure")
_STEPS = (
    "pink",
    "silver",
    "gold",
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
)


@dataclass(frozen=True, slots=True)
class Place:
    """A place that bears a colour: its name and what use the tables know its colours by."""

    name: str
    use: str


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a picture with its colour; ``x`` and ``y`` of a rectangle's corner or a circle's centre.

    ``query``: what the address of the page that offers other colours for it ends in.
    """

    place: str
    colour: str
    means: str
    fill: str
    query: str
    chosen: bool
    x: int
    y: int
    width: int
    height: int
    label_x: int
    label_y: int
    round: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """A colour that a place may have, what it would mean there, and the address of the marking with it."""

    colour: str
    fill: str
    means: str
    query: str
    present: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A marking drawn. ``choices``: colours for the place that was chosen. ``lengths``: other numbers of bands.
    ``said``: what it reads as, in one line."""

    kind: str
    title: str
    label: str
    spots: tuple[Spot, ...]
    chosen: str
    choices: tuple[Choice, ...]
    lengths: tuple[tuple[int, str, bool], ...]
    query: str
    said: str = ""


def pictures(text: str, kinds: list[str], at: int | None, tables: MarkingTables) -> list[Picture]:
    """A marking drawn in each of the kinds that its colours fit; nothing for what is no colours."""
    if not looks_coloured(text, tables):
        return []
    try:
        colours = colours_in(text, tables)
    except ValueError:
        return []
    found = (_picture(kind, colours.found, at if len(kinds) == 1 else None, tables) for kind in kinds)
    return [one for one in found if one]


def starting_pictures(tables: MarkingTables) -> list[Picture]:
    """A picture of each kind to begin with."""
    found = (_picture(kind, tuple(text.split()), None, tables) for kind, text in STARTS.items())
    return [one for one in found if one]


def places_of(kind: str, many: int, first: str = "") -> tuple[Place, ...]:
    """The places of a marking with so many colours, in the order of writing; none where that is no number of them.

    ``first``: the first colour, by which six dots are of one code or another."""
    figures = tuple(Place(name, "figure") for name in _FIGURES)
    times, tolerance = Place("multiplier", "multiplier"), Place("tolerance", "tolerance")
    if kind == BANDS and 3 <= many <= 6:
        last = (tolerance, Place("temperature coefficient", "temperature"))
        return (*figures[: 2 if many < 5 else 3], times, *last[: {3: 0, 6: 2}.get(many, 1)])
    if kind == BED and 3 <= many <= 4:
        return (
            Place("body", "figure"),
            Place("end", "figure"),
            Place("dot", "zeros"),
            Place("opposite end", "bed-tolerance"),
        )
    if kind == DOTS and many in (3, 6) and first not in _TYPES:
        lower = (Place("voltage", "old-dots-volts"), Place("tolerance", "old-dots-tolerance")) if many == 6 else ()
        return *figures[: 2 if many == 3 else 3], *lower, times
    if kind == DOTS and many == 6:
        lower = Place("characteristic", "dots-characteristic"), Place("tolerance", "dots-tolerance")
        return Place("type", "dots-type"), *figures[:2], *lower, times
    return ()


def _picture(kind: str, colours: tuple[str, ...], at: int | None, tables: MarkingTables) -> Picture | None:
    places = places_of(kind, len(colours), colours[0] if colours else NONE)
    if not places:
        return None
    if kind == BED and len(colours) == 3:
        colours = (*colours, NONE)
    chosen = at if at is not None and 0 <= at < len(places) else None
    at_corners = _corners(kind, len(colours))
    spots = tuple(
        Spot(
            place.name, colour, means(place, colour, tables), FILLS[colour], _query(kind, colours, number),
            number == chosen, *corners,
        )
        for number, (place, colour, corners) in enumerate(zip(places, colours, at_corners, strict=True))
    )  # fmt: skip
    choices: tuple[Choice, ...] = ()
    if chosen is not None:
        choices = tuple(_choices(kind, colours, chosen, places[chosen], tables))
    lengths: tuple[tuple[int, str, bool], ...] = ()
    if kind == BANDS:
        lengths = tuple((many, _query(kind, resized(colours, many)), many == len(colours)) for many in range(3, 7))
    return Picture(
        kind, TITLES[kind], ", ".join(f"{spot.place} {spot.colour}" for spot in spots), spots,
        "" if chosen is None else places[chosen].name, choices, lengths, _query(kind, colours),
    )  # fmt: skip


def means(place: Place, colour: str, tables: MarkingTables) -> str:
    """What a colour means in a place, in words; empty where it means nothing there."""
    use = "figure" if place.use == "zeros" else place.use
    said = [one.said for one in tables.of(use, colour) if one.said]
    if place.use == "multiplier" and said:
        return f"times {said[0]}"
    if place.use == "zeros" and said:
        return "no zeros" if said[0] == "0" else f"{said[0]} zero{'s' if said[0] != '1' else ''}"
    if place.use.endswith("tolerance"):
        return " or ".join(f"{one} %" for one in said)
    if place.use == "old-dots-volts" and said:
        return f"{said[0]} V"
    return f"{said[0]} ppm/K" if place.use == "temperature" and said else said[0] if said else ""


def _choices(kind: str, colours: tuple[str, ...], at: int, place: Place, tables: MarkingTables) -> list[Choice]:
    """The colours that mean something in a place; of them those that make a marking that reads, if there are such."""
    found = []
    for colour in (*_STEPS[3:], "gold", "silver", "pink", NONE):
        said = means(place, colour, tables)
        if colour == NONE and place.use in ("dots-tolerance", "dots-characteristic"):
            said = "not marked"
        if said:
            new = (*colours[:at], colour, *colours[at + 1 :])
            reads = bool(decode(" ".join(new), tables, kind).readings)
            found.append((reads, Choice(colour, FILLS[colour], said, _query(kind, new, at), colour == colours[at])))
    any_reads = any(reads for reads, _ in found)
    return [choice for reads, choice in found if reads or choice.present or not any_reads]


def resized(bands: tuple[str, ...], many: int) -> tuple[str, ...]:
    """The bands of the same resistor with more or fewer of them, as far as its figures allow."""
    figures = 2 if len(bands) < 5 else 3
    said, times = list(bands[:figures]), bands[figures]
    wanted = 2 if many < 5 else 3
    if figures < wanted and times in _STEPS[1:]:
        said, times = [*said, "black"], _STEPS[_STEPS.index(times) - 1]
    elif figures < wanted:
        said = [*said, "black"]
    elif figures > wanted:
        times = (
            _STEPS[min(_STEPS.index(times) + 1, len(_STEPS) - 1)] if said[2] == "black" and times in _STEPS else times
        )
        said = said[:2]
    last = [bands[figures + 1] if len(bands) > figures + 1 else "gold", bands[5] if len(bands) == 6 else "brown"]
    return (*said, times, *last[: {3: 0, 6: 2}.get(many, 1)])


def _query(kind: str, colours: tuple[str, ...], at: int | None = None) -> str:
    told = {"kind": kind, "text": " ".join(colours)} | ({} if at is None else {"at": str(at)})
    return urlencode(told)


def _corners(kind: str, many: int) -> list[tuple[int, int, int, int, int, int, bool]]:
    """Of each place x, y, width and height, where its label stands, and whether it is round. In units of 640 by 180,
    for dots 640 by 250."""
    if kind == BED:
        return [
            (120, 20, 400, 90, 255, 160, False), (120, 20, 80, 90, 160, 160, False), (355, 65, 24, 24, 355, 160, True),
            (440, 20, 80, 90, 480, 160, False),
        ]  # fmt: skip
    if kind == DOTS:
        return [(x, y, 26, 26, x, y + 52, True) for y in (50, 160) for x in (190, 320, 450)][:many]
    step = 76 if many > 4 else 92
    first = 92 if many == 6 else 108
    x = [first + step * at for at in range(many)]
    if many > 3:
        apart = 4 if many > 4 else 3
        x = [one + (28 if at >= apart else 0) for at, one in enumerate(x)]
    return [(one, 20, 40, 90, one + 20, 160, False) for one in x]
