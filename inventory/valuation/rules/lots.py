"""Lots of a sale: what is sold together, what stays, the reserve, and a price shared out among the things of a lot.

Only related things in one lot, a set with all that belongs with it, a reserve below the low end: common practice, no
source.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from inventory.valuation.rules.words import GRADES

SET, TOGETHER, TUBES, SINGLE, JOB = "set", "together", "tubes", "single", "job lot"
CHEAP, MOST_CHEAP = "tubes of small worth", 12  # what a job lot of them holds, so that each is still named
GOOD, DUD = GRADES[:3], GRADES[-1]
TUBE, CHASSIS, PARTS = "tube", "chassis", "parts"
CENT, HALF, TEN = Decimal("0.01"), Decimal("0.5"), Decimal(10)


@dataclass(frozen=True, slots=True)
class Offer:
    """A thing that may be sold. ``like``: what is the same tube under any of its names; empty: its type is not known.

    Amounts are empty without evidence; ``counts``: it is not contained in the value of its set. ``barred``: why it is
    not sold, in words.
    """

    tag: str
    kind: str
    name: str
    like: str = ""
    grade: str = ""
    amount: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    forced: Decimal | None = None
    counts: bool = True
    barred: str = ""


@dataclass(frozen=True, slots=True)
class Socket:
    """A position of a set that is here: which tube it wants (as ``Offer.like``), and whether it is empty."""

    chassis: str
    mark: str
    like: str
    empty: bool


@dataclass(frozen=True, slots=True)
class Lot:
    """What is sold together, its first thing the one that names it. Sums are of what counts; None without evidence.

    ``without``: things that count and have no evidence.
    """

    sort: str
    offers: tuple[Offer, ...]

    @property
    def counted(self) -> list[Offer]:
        return [one for one in self.offers if one.counts]

    @property
    def without(self) -> int:
        return sum(one.amount is None for one in self.counted)

    def sum(self, name: str) -> Decimal | None:
        """The sum of ``amount``, ``low``, ``high`` or ``forced``."""
        found = [figure for one in self.counted if (figure := getattr(one, name)) is not None]
        return sum(found, Decimal(0)) if found else None


@dataclass(frozen=True, slots=True)
class Proposal:
    """Lots in their order; and what is left out, with the reason."""

    lots: tuple[Lot, ...]
    left_out: tuple[tuple[str, str], ...]


def propose(
    offers: Sequence[Offer],
    bonds: Iterable[tuple[str, str]],
    sockets: Sequence[Socket],
    *,
    size: int,
    spares: int,
    job_below: Decimal = Decimal(0),
) -> Proposal:
    """Lots of what may be sold. ``bonds``: tags of what belongs together and goes together.

    Single tubes of a type and grade go together in lots of ``size``; ``spares`` good ones of each type that a set which
    stays wants are kept, and one more for each empty position of it. Duds, what nobody knows, and parts without a price
    are job lots; so are lots of tubes worth less than ``job_below``. Where one thing of a group stays, all of it does.
    Raises ValueError for a size below one.
    """
    if size < 1:
        raise ValueError(f"{size} tubes are no lot; expected at least 1")
    by_tag = {one.tag: one for one in offers}
    groups = _groups(by_tag, bonds)
    left_out: dict[str, str] = {}
    free = []
    for group in groups:
        if why := _barred(group, by_tag):
            left_out |= why
        else:
            free.append([by_tag[tag] for tag in group])
    staying = [one for one in sockets if one.chassis not in by_tag or one.chassis in left_out]
    kept = _kept([group[0] for group in free if len(group) == 1], staying, spares)
    left_out |= kept
    lots = _lots([group for group in free if group[0].tag not in kept], size, job_below)
    return Proposal(tuple(lots), tuple(sorted(left_out.items())))


def _groups(by_tag: Mapping[str, Offer], bonds: Iterable[tuple[str, str]]) -> list[list[str]]:
    """Tags that go together, those of what is not offered among them; in the order of the offers."""
    head: dict[str, str] = {tag: tag for tag in by_tag}

    def top(tag: str) -> str:
        while head.setdefault(tag, tag) != tag:
            head[tag] = head[head[tag]]
            tag = head[tag]
        return tag

    for one, other in bonds:
        if one in by_tag or other in by_tag:
            head[top(one)] = top(other)
    found: dict[str, list[str]] = defaultdict(list)
    for tag in [*by_tag, *(tag for tag in head if tag not in by_tag)]:
        found[top(tag)].append(tag)
    return list(found.values())


def _barred(group: Sequence[str], by_tag: Mapping[str, Offer]) -> dict[str, str]:
    """Why the things of a group are not sold, by tag; empty where they are."""
    reasons = {tag: by_tag[tag].barred for tag in group if tag in by_tag and by_tag[tag].barred}
    reasons |= {tag: "is not on the list" for tag in group if tag not in by_tag}
    if not reasons:
        return {}
    first, why = next(iter(reasons.items()))
    return {tag: reasons.get(tag) or f"belongs with {first}, which {_which(why)}" for tag in group if tag in by_tag}


def _which(why: str) -> str:
    return why if why.startswith("is ") else f"stays: {why}"


def _kept(single: Sequence[Offer], staying: Sequence[Socket], spares: int) -> dict[str, str]:
    """Good single tubes that sets which stay may need, the best grade first, by tag with the reason."""
    wanting: dict[str, list[Socket]] = defaultdict(list)
    for socket in staying:
        wanting[socket.like].append(socket)
    stock: dict[str, list[Offer]] = defaultdict(list)
    for one in single:
        if one.kind == TUBE and one.like in wanting and one.grade in GOOD:
            stock[one.like].append(one)
    found = {}
    for like, tubes in stock.items():
        sockets = wanting[like]
        empty = [socket for socket in sockets if socket.empty]
        order = sorted(tubes, key=lambda one: (GRADES.index(one.grade), one.tag))
        for number, one in enumerate(order[: spares + len(empty)]):
            socket = empty[number] if number < len(empty) else sockets[0]
            what = "for the empty position" if number < len(empty) else "as a spare for"
            found[one.tag] = f"kept {what} {socket.mark} of {socket.chassis}"
    return found


def _lots(groups: Sequence[Sequence[Offer]], size: int, job_below: Decimal) -> list[Lot]:
    lots, jobs = [], defaultdict(list)
    tubes: dict[tuple[str, str], list[Offer]] = defaultdict(list)
    for group in groups:
        first = group[0]
        if any(one.kind == CHASSIS for one in group):
            lots.append(
                Lot(SET, tuple(sorted(group, key=lambda one: (one.kind != CHASSIS, one.kind == TUBE, one.tag))))
            )
        elif len(group) > 1:
            lots.append(Lot(TOGETHER, tuple(group)))
        elif first.kind == TUBE and (first.grade == DUD or not first.like):
            jobs["duds" if first.grade == DUD else "tubes that nobody knows"].append(first)
        elif first.kind == TUBE:
            tubes[first.like, first.grade].append(first)
        elif first.kind == PARTS and first.amount is None:
            jobs["parts"].append(first)
        else:
            lots.append(Lot(SINGLE, (first,)))
    of_tubes = [Lot(TUBES, tuple(like[at : at + size])) for like in tubes.values() for at in range(0, len(like), size)]
    small = [lot for lot in of_tubes if (worth := lot.sum("amount")) is not None and worth < job_below]
    if len(small) > 1:
        cheap = sorted((one for lot in small for one in lot.offers), key=lambda one: (one.name, one.tag))
        jobs |= {f"{CHEAP} {at:06d}": cheap[at : at + MOST_CHEAP] for at in range(0, len(cheap), MOST_CHEAP)}
        of_tubes = [lot for lot in of_tubes if lot not in small]
    lots += of_tubes
    sorts = (SET, TOGETHER, SINGLE, TUBES)
    lots.sort(key=lambda lot: (sorts.index(lot.sort), -(lot.sum("amount") or 0), lot.offers[0].name, lot.offers[0].tag))
    return lots + [Lot(JOB, tuple(jobs[name])) for name in sorted(jobs)]


def reserve_of(low: Decimal | None, share_pct: Decimal) -> Decimal | None:
    """The reserve: that share of the low end, down to a whole unit (to half of one below ten). None: no evidence."""
    if low is None:
        return None
    raw = low * share_pct / 100
    step = Decimal(1) if raw >= TEN else HALF
    found = (raw / step).quantize(Decimal(1), ROUND_DOWN) * step
    return found.quantize(CENT) if found > 0 else None


def price_is_of(offers: Sequence[Offer]) -> list[Offer]:
    """Of which things of a lot its price is one sale: of one thing, or of several of one sort and grade.

    All else of a lot with one set belongs with that set: where its value is not known, the price is that of the set
    complete. Empty: unlike things went for one price, of which no evidence tells what each fetched.
    """
    counted = [one for one in offers if one.counts]
    sets = [one for one in offers if one.kind == CHASSIS]
    if len(sets) == 1 and sets[0].counts and sets[0].amount is None:
        return sets
    return counted if len({(one.kind, one.like or one.name, one.grade) for one in counted}) == 1 else []


def share_out(price: Decimal, offers: Sequence[Offer]) -> dict[str, Decimal]:
    """A price shared out among the things of a lot that count, to the cent, so that the shares add up to it.

    Evenly where the price is of like things (``price_is_of``), one thing gets all; else by value where each has one,
    which tells what became of the price and is no evidence of what each fetches. Else nobody can say what each brought,
    and the answer is empty. A share below a cent is none.
    """
    counted = [one for one in offers if one.counts]
    if not counted:
        return {}
    if of := price_is_of(offers):
        counted = of
        weights = [Decimal(1)] * len(counted)
    elif all(one.amount for one in counted):
        weights = [one.amount or Decimal(0) for one in counted]
    else:
        return {}
    whole = sum(weights, Decimal(0))
    raw = [price * weight / whole for weight in weights]
    shares = [one.quantize(CENT, ROUND_DOWN) for one in raw]
    left = int((price.quantize(CENT) - sum(shares, Decimal(0))) / CENT)
    order = sorted(range(len(raw)), key=lambda at: (shares[at] - raw[at], counted[at].tag))
    for at in order[:left]:
        shares[at] += CENT
    if any(share <= 0 for share in shares):
        return {}
    return {one.tag: share for one, share in zip(counted, shares, strict=True)}
