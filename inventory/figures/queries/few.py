"""Types of which few good tubes are left on the shelf, beside the positions and wants that call for them."""

from collections import Counter, defaultdict
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q

from inventory.holdings.models import Loan, Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.holdings.queries.doubts import SaidOf
from inventory.holdings.queries.wants import wants_by_type
from inventory.sets.queries import fitted_now
from inventory.sets.queries.doubts import said_of_good
from inventory.sets.queries.needs import needs_of
from tubes.queries import knowledge

USUAL, LEAST, MOST = 2, 1, 99  # how many good ones are enough


@dataclass(frozen=True, slots=True)
class Few:
    """A tube of which there are too few good ones on the shelf. ``names``: it and the same under other numbers, each
    with its good ones; ``said``: what speaks against some of them or what they are kept for; ``positions`` of sets
    here call for it, ``needy`` of them want a tube; ``wanted``: how many the want list asks for.
    """

    names: tuple[tuple[str, int], ...]
    good: int
    said: SaidOf
    untested: int
    positions: int
    needy: int
    wanted: int

    @property
    def name(self) -> str:
        return ", ".join(name for name, _ in self.names)


def few_good(enough: int = USUAL) -> tuple[Few, ...]:
    """Types that are here, stand in a set or are wanted, with fewer than ``enough`` good tubes on the shelf: those that
    positions want first, then those on the want list (a fixed number of queries, and those of what is said of good
    ones). The same tube under several numbers counts together. Raises ValueError.
    """
    if not LEAST <= enough <= MOST:
        raise ValueError(f"{enough}: expected a whole number from {LEAST} to {MOST}.")
    shelf = tubes_here().select_related(None).filter(type__isnull=False).order_by()
    owed = Loan.objects.filter(item=OuterRef("item"), way=Loan.IN, ended__isnull=True)
    ready = Q(AT_HAND, ~fitted_now(), ~Exists(owed))  # what is here on loan is no spare of one's own
    counts = shelf.values_list("type__name").annotate(
        good=Count("pk", filter=ready & Q(state=Tube.GOOD)), untested=Count("pk", filter=ready & Q(state=Tube.UNTESTED))
    )
    good, untested = Counter[str](), Counter[str]()
    for name, n_good, n_untested in counts:
        good[name], untested[name] = n_good, n_untested
    needs, wants = needs_of(), wants_by_type()
    same_as = knowledge().kin.same_as
    together: dict[frozenset[str], list[str]] = defaultdict(list)
    for name in sorted({*good, *needs, *wants}):
        together[frozenset({name, *same_as(name)})].append(name)
    short = [names for names in together.values() if sum(good[name] for name in names) < enough]
    said = said_of_good(Q(type__name__in=[name for names in short for name in names if good[name]]))
    found = []
    for names in short:
        wanting = [need for name in names for need in needs.get(name, ())]
        found.append(
            Few(
                tuple((name, good[name]) for name in names), sum(good[name] for name in names),
                said.of(names), sum(untested[name] for name in names), len(wanting),
                sum(need.needy for need in wanting),
                sum(want.quantity for name in names for want in wants.get(name, ())),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda one: (-one.needy, -one.wanted, -one.positions, one.good, one.name)))
