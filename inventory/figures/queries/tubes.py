"""The tubes that are here, counted by what they are and where: every tube once in each of the figures."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, F, Q, QuerySet, Value
from django.db.models.functions import NullIf

from inventory.figures.rules.parts import Part, Where, gathered, largest_first, under
from inventory.holdings.models import Place, Tube
from inventory.holdings.queries import tubes_here
from inventory.holdings.queries.date_codes import decades_of
from inventory.holdings.rules.date_codes import NO_CODE, UNREAD, decades
from inventory.sets.queries import fitted_now
from inventory.sets.queries.kinds import kinds_of

DRAWN = 12  # known parts of a figure that are drawn, the last of them for all that have no room


@dataclass(frozen=True)
class Counted:
    """All tubes here by one thing that is said of them. ``parts`` add up to ``total``; ``head`` names them; ``others``:
    whether their list can be narrowed to what is gathered.
    """

    key: str
    title: str
    head: str
    parts: tuple[Part, ...]
    total: int
    note: str = ""
    others: bool = False

    @property
    def drawn(self) -> list[Part]:
        """The parts that have room in a drawing."""
        return gathered(self.parts, DRAWN, _all_but if self.others else lambda _: ())


def _all_but(kept: Sequence[Part]) -> Where:
    return (*(("but", value) for one in kept for _, value in one.where), ("but", "maker:"))


def by_state(tubes: QuerySet[Tube]) -> Counted:
    """In the order of the states (one query)."""
    found = _counts(tubes, F("state"))
    known = dict(Tube.STATES)
    parts = [Part(words, found.pop(state, 0), (("state", state),)) for state, words in known.items()]
    return _counted("state", "By state", "State", [one for one in parts if one.count])


def by_kind(tubes: QuerySet[Tube]) -> Counted:
    """By the kind that the figures of a type tell, the most frequent first (one query, and those of tube knowledge)."""
    found: Counter[str] = Counter()
    counts = _counts(tubes, F("type__name"))
    kinds = kinds_of(filter(None, counts))
    for name, count in counts.items():
        found[kinds.get(name, "")] += count
    parts = [
        Part(kind.replace("-", " "), count, (("kind", kind),)) if kind
        else Part("kind not known", count, (("kind", "none"),), unknown=True)
        for kind, count in found.items()
    ]  # fmt: skip
    note = "By the figures of the type. Not known: the type is not settled, or no text here tells its kind."
    return _counted("kind", "By kind of tube", "Kind", largest_first(parts), note)


def by_decade(tubes: QuerySet[Tube]) -> Counted:
    """By the decade that the date code tells, the earliest first (one query)."""
    found = decades_of(tubes)
    parts = [Part(decade, found[decade], (("made", decade),)) for decade in decades()]
    unknown = {NO_CODE: "no date code", UNREAD: "a date code that tells no year"}
    parts += [Part(words, found[key], (("made", key),), unknown=True) for key, words in unknown.items()]
    note = "By the date code on the tube, where it tells a year; of two figures the year is 19xx."
    return _counted("decade", "By decade of making", "Decade", [one for one in parts if one.count], note)


def by_maker(tubes: QuerySet[Tube]) -> Counted:
    """By the maker as it is written, the most frequent first (one query)."""
    found = _counts(tubes, NullIf(F("maker"), Value("")))
    parts = [
        Part(maker, count, (("only", f"maker:{maker}"),)) if maker
        else Part("no maker given", count, (("only", "maker:"),), unknown=True)
        for maker, count in found.items()
    ]  # fmt: skip
    return _counted("maker", "By maker", "Maker", largest_first(parts), "As it is written on each.", others=True)


def by_place(tubes: QuerySet[Tube], within: Place | None = None) -> Counted:
    """By the places directly inside one (None: the topmost), each with all that lies below it (three queries)."""
    rows = dict(Place.objects.order_by().values_list("pk", "parent"))
    found = tubes.order_by().aggregate(
        fitted=Count("pk", filter=Q(fitted_now(), item__place__isnull=True)),
        without=Count("pk", filter=Q(~fitted_now(), item__place__isnull=True)),
    )
    counts = dict(tubes.filter(item__place__isnull=False).order_by().values_list("item__place").annotate(Count("pk")))
    inside, directly = under(counts, rows, within.pk if within else None)
    parents = set(rows.values())
    names = {place.pk: place for place in Place.objects.filter(pk__in=list(inside))}
    parts = list(
        largest_first(
            Part(_named(names[pk]), count, (("place", str(pk)),), below=pk if pk in parents else None)
            for pk, count in inside.items()
        )
    )
    if within:
        own = Part(f"directly in {within.path}", directly, (("only", f"place:{within.path}"),))
        return _counted("place", f"By place inside {within.path}", "Place", [*parts, *([own] if directly else [])])
    parts += [
        one for one in (
            Part("in a set", found["fitted"], (("only", "place:"), ("fitted", "yes"))),
            Part("no place given", found["without"], (("only", "place:"), ("fitted", "out")), unknown=True),
        ) if one.count
    ]  # fmt: skip
    return _counted(
        "place", "By place", "Place", parts, "A place counts what lies below it. What is in a set is in no place."
    )


def _named(place: Place) -> str:
    return f"{place.code}: {place.name}" if place.name not in ("", place.code) else place.code


def _counts(tubes: QuerySet[Tube], what: object) -> dict[str, int]:
    rows = tubes.order_by().values(by=what).annotate(count=Count("pk"))  # type: ignore[misc]
    return {row["by"] or "": row["count"] for row in rows}


def _counted(
    key: str, title: str, head: str, parts: Sequence[Part], note: str = "", *, others: bool = False
) -> Counted:
    return Counted(key, title, head, tuple(parts), sum(one.count for one in parts), note, others)


def counted_tubes(within: Place | None = None) -> tuple[Counted, ...]:
    """Every figure of the tubes here (a fixed number of queries)."""
    tubes = tubes_here().select_related(None)
    return by_state(tubes), by_kind(tubes), by_decade(tubes), by_maker(tubes), by_place(tubes, within)
