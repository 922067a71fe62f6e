"""Questions about stock-takes, and finding things by what was typed or scanned."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from typing import Any

from django.db.models import Case, Count, Exists, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce, NullIf

from inventory.holdings.models import Item, Movement, Place, StockTake, StockTakeLine
from inventory.holdings.queries.register import items_in
from inventory.house.areas import thing_columns

LONGEST_NUMBER = 8  # figures in a tag
MOST_MEANT = 50
_SHORT = re.compile(rf"(?P<letters>[A-Z]{{0,4}})-?(?P<number>[0-9]{{1,{LONGEST_NUMBER}}})")
SHOWN = {"open": "still to find", "differences": "differences", "all": "all lines"}


def tag_in(text: str) -> str:
    """The tag that was typed or scanned: of a label with the address of the thing's page, the end of that address.

    Without the sign NUL, which a database may refuse.
    """
    text = text.replace("\x00", "").strip()
    if "/" in text:
        text = text.rstrip("/").rsplit("/", 1)[-1]
    return text.upper()


def tags_meant(text: str) -> list[str]:
    """Tags that a typed or scanned text means: the tag itself, else those with its number (``7``, ``t7``).

    Of several, those of things still here where there are any. Nobody types the noughts of T-0007.
    """
    if "\x00" in text:
        return []
    tag = tag_in(text)
    if Item.objects.filter(tag=tag).exists():
        return [tag]
    match = _SHORT.fullmatch(tag)
    if match is None:
        return []
    ends = [f"-{int(match['number']):0{width}}" for width in range(1, LONGEST_NUMBER + 1)]
    if match["letters"]:
        wanted = Q(tag__in={match["letters"] + end for end in ends})
    else:
        wanted = Q(*[("tag__endswith", end) for end in dict.fromkeys(ends)], _connector=Q.OR)
    rows = list(Item.objects.filter(wanted).order_by("tag").values_list("tag", "gone_on")[:MOST_MEANT])
    here = [found for found, gone_on in rows if gone_on is None]
    return here or [found for found, _ in rows]


def things_named(text: str) -> tuple[list[Item], list[str]]:
    """Things by tags, one a line or parted by blanks, commas or semicolons; and what is no tag of the register."""
    lines = [line for line in re.split(r"[\n\r,;]+", text) if line.strip()]
    wanted = {tag_in(part) for line in lines for part in (line, *line.split())}
    found = {item.tag: item for item in Item.objects.filter(tag__in=wanted).select_related(*thing_columns())}
    picked: dict[str, Item] = {}
    unknown: list[str] = []
    for line in lines:
        for part in [line] if tag_in(line) in found else line.split():
            tag = tag_in(part)
            if tag in found:
                picked[tag] = found[tag]
            else:
                unknown.append(part.strip())
    return list(picked.values()), list(dict.fromkeys(unknown))


def draw_sample(tags: Iterable[str], percent: int, seed: int) -> list[str]:
    """``percent`` of the tags, rounded up: the same seed draws the same ones on every machine.

    Each tag is ranked by a digest of seed and tag, so that a thing added later changes the draw as little as can be.
    """
    ranked = sorted(set(tags), key=lambda tag: (hashlib.sha256(f"{seed}:{tag}".encode()).digest(), tag))
    return sorted(ranked[: ceil(len(ranked) * percent / 100)])


def with_whereabouts(items: QuerySet[Item]) -> QuerySet[Any]:
    """Things with ``whereabouts``: the path of their place, else where they last went (into a set), else empty.

    What was entered last and led to no place is where a thing is, though a move of a later day was filed before: it
    was entered with its drawer today, and then that it has been in a set since last week. A place that bears another
    name since is a place.
    """
    moves = Movement.objects.filter(item=OuterRef("pk"))
    last = moves.order_by("-on", "-id").values("to_path")[:1]
    a_place = Exists(Place.objects.filter(path=OuterRef("to_path")))
    then_a_place = Exists(Place.history.filter(path=OuterRef("to_path"), history_date__lte=OuterRef("entered_at")))
    elsewhere = moves.annotate(into=Case(When(a_place | then_a_place, then=Value("")), default="to_path"))
    # By the moment, not by the number alone: archives have been taken in whose moves were numbered by date.
    into = NullIf(Subquery(elsewhere.order_by("-entered_at", "-id").values("into")[:1]), Value(""))
    return items.annotate(whereabouts=Coalesce("place__path", into, Subquery(last)))


def things_to_count(place: Place | None, percent: int | None, seed: int) -> list[tuple[int, str]]:
    """(key, whereabouts) of what a stock-take of a place, or of a sample of everything, has to find."""
    if place is not None:
        return list(with_whereabouts(items_in(place)).values_list("pk", "whereabouts"))
    here = with_whereabouts(Item.objects.filter(gone_on__isnull=True)).order_by("tag")
    rows = list(here.values_list("pk", "tag", "whereabouts"))
    drawn = set(draw_sample((tag for _, tag, _ in rows), percent or 0, seed))
    return [(key, whereabouts or "") for key, tag, whereabouts in rows if tag in drawn]


@dataclass(frozen=True)
class Tally:
    """How a stock-take stands. ``expected``: all but the unexpected; ``lent`` ones are no differences."""

    expected: int
    found: int
    elsewhere: int
    missing: int
    unexpected: int
    lent: int
    open: int

    @property
    def differences(self) -> int:
        return self.elsewhere + self.missing + self.unexpected


#: lent things: of an open stock-take by the register; of a closed one, to whom was written down instead of a place
_away = Q(outcome="") & (~Q(item__lent_to="") & Q(stock_take__closed__isnull=True) | ~Q(found_path=""))


def tally_of(take: StockTake) -> Tally:
    """The figures of a stock-take (one query)."""
    outcomes = {name: Count("pk", filter=Q(outcome=name)) for name, _ in StockTakeLine.OUTCOMES}
    row = take.lines.order_by().aggregate(total=Count("pk"), lent=Count("pk", filter=_away), **outcomes)
    found, elsewhere, missing, unexpected = (row[name] for name, _ in StockTakeLine.OUTCOMES)
    open_lines = row["total"] - row["lent"] - found - elsewhere - missing - unexpected
    return Tally(row["total"] - unexpected, found, elsewhere, missing, unexpected, row["lent"], open_lines)


def lines_of(take: StockTake) -> QuerySet[StockTakeLine]:
    """Every line with its thing at hand, by place and tag."""
    return take.lines.select_related(*thing_columns("item__"), "item", "by").order_by("expected_path", "item__tag")


def open_lines(take: StockTake) -> QuerySet[StockTakeLine]:
    """What is still to be found: no outcome yet, and not lent."""
    return lines_of(take).filter(outcome="").exclude(_away)


def differing_lines(take: StockTake) -> QuerySet[StockTakeLine]:
    """Not found, found elsewhere, found and not expected."""
    kinds = (StockTakeLine.MISSING, StockTakeLine.ELSEWHERE, StockTakeLine.UNEXPECTED)
    return lines_of(take).filter(outcome__in=kinds).order_by("outcome", "expected_path", "item__tag")


def lent_lines(take: StockTake) -> QuerySet[StockTakeLine]:
    """Lent things: listed, never missing."""
    return lines_of(take).filter(_away)


def stock_takes() -> QuerySet[StockTake]:
    """Every stock-take, the latest first, with its number of lines and of differences."""
    differing = Q(lines__outcome__in=(StockTakeLine.MISSING, StockTakeLine.ELSEWHERE, StockTakeLine.UNEXPECTED))
    rows = StockTake.objects.select_related("place", "by", "closed_by").order_by("-began", "-id")
    return rows.annotate(size=Count("lines"), differing=Count("lines", filter=differing))


def counts_of_place(place: Place) -> QuerySet[StockTake]:
    """The last stock-takes of a place itself or of one above it."""
    steps = place.path.split(" / ")
    above = [" / ".join(steps[: end + 1]) for end in range(len(steps))]
    return StockTake.objects.filter(place__path__in=above).select_related("place", "by")[:3]
