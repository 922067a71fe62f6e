"""Spares that sets in service count on: the last good tubes of a type that is in use."""

from collections import Counter, defaultdict
from collections.abc import Sequence

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import AT_HAND
from inventory.sets.models import Fitting
from inventory.sets.queries import fitted_now, good_by_type, open_fittings
from tubes.queries import knowledge


def last_spares(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key: of which type in use these are the last good spares, so that none is left once they go (a fixed number
    of queries). In use is what stands in a position of a set that is here.
    """
    keys = [item.pk for item in items if item.kind == Item.TUBE]
    rows = Tube.objects.filter(AT_HAND, ~fitted_now(), pk__in=keys, state=Tube.GOOD, type__isnull=False)
    going = dict(rows.filter(item__gone_on__isnull=True).values_list("pk", "type__name"))
    if not going:
        return {}
    same_as = knowledge().kin.same_as
    kin = {name: frozenset(same_as(name) | {name}) for name in set(going.values())}
    every = frozenset().union(*kin.values())
    good = good_by_type(every)
    leaving = Counter(kin[name] for name in going.values())
    left = {names: sum(good.get(one, 0) for one in names) - number for names, number in leaving.items()}
    in_use = _in_use(every) if any(number <= 0 for number in left.values()) else {}
    told = {}
    for key, name in going.items():
        names = kin[name]
        fittings = [fitting for one in sorted(names) for fitting in in_use.get(one, [])]
        if left[names] <= 0 and fittings:
            many = "the only good spare" if leaving[names] == 1 else f"one of the last {leaving[names]} good spares"
            told[key] = [f"{many} of {name}, which is in use in {_named(fittings)}"]
    return told


def _in_use(names: frozenset[str]) -> dict[str, list[Fitting]]:
    rows = open_fittings().filter(tube__type__name__in=names, chassis__item__gone_on__isnull=True)
    rows = rows.select_related("chassis__model", "chassis__item", "position", "tube__type").order_by("pk")
    found: dict[str, list[Fitting]] = defaultdict(list)
    for row in rows:
        found[row.tube.type.name].append(row)  # type: ignore[union-attr]
    return found


def _named(fittings: Sequence[Fitting]) -> str:
    first, more = fittings[0], len(fittings) - 1
    beyond = f" and {more} more position{'s' * (more != 1)}" if more else ""
    return f"{first.chassis} {first.position.mark}{beyond}"
