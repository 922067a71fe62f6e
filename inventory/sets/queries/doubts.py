"""What is said of good tubes on the shelf, to be named beside every count, and of those in sets."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Q

from inventory.holdings.models import Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf
from inventory.house.concerns import claims_of_many, doubt_of, doubts_of_many
from inventory.house.keys import in_parts
from inventory.sets.models import Fitting
from inventory.sets.queries import doubtful_fittings, fitted_now, fittings_here


@dataclass(frozen=True)
class SaidOfGood:
    """What is said of good tubes on the shelf, by type and, of tubes of no settled type, by mark."""

    by_type: Mapping[str, SaidOf] = field(default_factory=dict)
    by_mark: Mapping[str, SaidOf] = field(default_factory=dict)

    def of(self, names: Iterable[str]) -> SaidOf:
        """Of all these types together."""
        return sum((self.by_type[name] for name in dict.fromkeys(names) if name in self.by_type), NOTHING_SAID)

    def marked(self, marks: Iterable[str]) -> SaidOf:
        """Of tubes of no settled type that bear one of these marks."""
        return sum((self.by_mark[mark] for mark in dict.fromkeys(marks) if mark in self.by_mark), NOTHING_SAID)


def said_of_good(condition: Q | None = None) -> SaidOfGood:
    """What speaks against the good tubes on the shelf that meet a condition, and for what they are reserved.

    One query, and those of ``doubts_of_many`` and ``claims_of_many``.
    """
    rows = tubes_here().filter(condition or Q(), AT_HAND, ~fitted_now(), state=Tube.GOOD).order_by("pk")
    tubes = list(rows.values_list("pk", "type__name", "marked"))
    told, claims = doubts_of_many(pk for pk, *_ in tubes), claims_of_many(pk for pk, *_ in tubes)
    by_type: dict[str, SaidOf] = defaultdict(SaidOf)
    by_mark: dict[str, SaidOf] = defaultdict(SaidOf)
    for pk, name, marked in tubes:
        kept = tuple(claim.whose for claim in claims.get(pk, ())[:1])
        if said := SaidOf((told[pk].word,) if pk in told else (), kept):
            where, key = (by_type, name) if name else (by_mark, marked)
            where[key] += said
    return SaidOfGood(by_type, by_mark)


def against_fitting(tube: Tube) -> str:
    """What speaks against putting a tube into a set: its last tests, and the keeper's word that it is weak or a dud.

    Empty where nothing does.
    """
    doubt = doubt_of(tube.item)
    state = f"its state on record is {tube.state}" if tube.state in (Tube.WEAK, Tube.DUD) else ""
    return "; ".join(filter(None, (doubt.text if doubt else "", state)))


def in_doubt_in_sets(most: int | None = None) -> tuple[list[Fitting], int]:
    """Tubes in use that are not called good, or that their last tests speak against, with the doubt (``Tube.doubt``).

    The first ``most`` (None: all), those not called good before the others, and how many there are. A fixed number of
    queries, some more for each further ``AT_ONCE`` tubes.
    """
    called = doubtful_fittings()
    found, count = list(called[:most]), called.count()
    good = fittings_here().filter(tube__state=Tube.GOOD)
    places = dict(good.values_list("pk", "tube_id"))
    told = doubts_of_many([*places.values(), *(row.tube_id for row in found)])
    doubted = [pk for pk, tube in places.items() if tube in told]
    wanted = doubted if most is None else doubted[: max(most - len(found), 0)]
    rows = {row.pk: row for some in in_parts(wanted) for row in good.filter(pk__in=some)}
    shown = [*found, *(rows[pk] for pk in wanted)]
    for row in shown:
        row.tube.doubt = told.get(row.tube_id)
    return shown, count + len(doubted)
