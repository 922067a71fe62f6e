"""Tubes of no settled type whose mark names a form of a known type: spares with care, and still not settled."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q

from inventory.holdings.models import Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf
from inventory.sets.queries import fitted_now
from inventory.sets.queries.doubts import said_of_good
from tubes.queries import Knowledge, form_for_stamp, type_for_stamp
from tubes.queries.judging import court
from tubes.rules.text import fold_key


@dataclass(frozen=True)
class MarkedForm:
    """Tubes on the shelf that bear the mark of a form (6SN7GTY) which is no type of its own.

    ``marks``: as they stand on the tubes; ``good``: how many of these are good; ``taken_from``: the type whose figures
    count where its own are not known. ``said``: what is said of some of the good ones.
    """

    name: str
    marks: tuple[str, ...]
    good: int
    taken_from: str
    said: SaidOf = NOTHING_SAID

    @property
    def words(self) -> str:
        """Why such a tube is one with care."""
        return f"type not settled{f', figures taken from {self.taken_from}' if self.taken_from else ''}"


def marked_forms(known: Knowledge, of: Iterable[str] | None = None) -> dict[str, MarkedForm]:
    """By form: the tubes on the shelf without a type that are marked so (one query, and a fixed number if any is).

    ``of``: only forms of these types, and only marks that hold their number are read. Nothing is settled by it.
    """
    forms = known.kin.forms
    numbers = None if of is None else {build.number for name in of if (build := forms.build(name)) is not None}
    rows = tubes_here().filter(AT_HAND, ~fitted_now(), type__isnull=True).order_by("marked").values_list("marked")
    found: Counter[str] = Counter()
    marks: dict[str, list[str]] = defaultdict(list)
    for marked, count in rows.annotate(good=Count("pk", filter=Q(state=Tube.GOOD))):
        key = fold_key(marked)
        if numbers is not None and not any(number in key for number in numbers):
            continue
        form = form_for_stamp(known.read(marked), known)
        build = forms.build(form) if form else None
        if build is not None and (numbers is None or build.number in numbers):
            found[form] += count
            marks[form].append(marked)
    if not found:
        return {}
    judges = court(known)
    borne = [mark for form in marks.values() for mark in form]
    doubts = said_of_good(Q(type__isnull=True, marked__in=borne))
    return {
        name: MarkedForm(name, tuple(marks[name]), count, judges[name].taken_from, doubts.marked(marks[name]))
        for name, count in found.items()
    }


def good_marked(known: Knowledge, names: Iterable[str]) -> dict[str, dict[str, int]]:
    """By type: the marks of good tubes on the shelf without a type that name it or a form of it, and how many bear each
    (one query). Nothing is settled by it.
    """
    forms = known.kin.forms
    numbers = {name: build.number for name in names if (build := forms.build(name)) is not None}
    rows = tubes_here().filter(AT_HAND, ~fitted_now(), type__isnull=True, state=Tube.GOOD).order_by("marked")
    told: dict[str, dict[str, int]] = defaultdict(dict)
    for marked, count in rows.values_list("marked").annotate(count=Count("pk")):
        key = fold_key(marked)
        if not any(number in key for number in numbers.values()):
            continue
        answer = known.read(marked)
        meant = type_for_stamp(answer, known) or form_for_stamp(answer, known)
        build = forms.build(meant) if meant else None
        for name, number in numbers.items():
            if build is not None and build.number == number:
                told[name][marked] = count
    return told
