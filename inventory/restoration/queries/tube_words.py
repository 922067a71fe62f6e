"""Words on tubes of lines: what a tube is to a position, what it entails there, why this one, which do not count."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.holdings.models import Tube
from inventory.restoration.queries.allotment import Allotment
from inventory.restoration.queries.nearness import EXACT, NEARNESS, is_unknown
from inventory.restoration.queries.pass_rates import PassRates, pass_rates
from inventory.restoration.queries.slots import Slot
from inventory.restoration.queries.stock import unfit_tubes
from inventory.restoration.queries.unjudged import Unjudged, unjudged_of
from inventory.restoration.rules.words import READ_GOOD
from inventory.running.queries import latest_readings
from inventory.running.rules.verdicts import REJECT
from inventory.sets.queries.unsettled import good_marked

MOST_NAMED = 3


@dataclass(frozen=True)
class Beside:
    """What lines are told with: last readings by key, pass rates, by type tubes on the shelf that do not count, those
    that were read and that nothing judges, and good ones of no settled type (``marked``).
    """

    readings: Mapping[int, str]
    rates: PassRates
    unfit: Mapping[str, Sequence[Tube]] = field(default_factory=dict)
    unjudged: Unjudged = field(default_factory=Unjudged)
    marked: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def unfit_words(self, slot: Slot) -> tuple[str, ...]:
        """Tubes of the wanted type that are here and no good, in a sentence."""
        told = []
        if tubes := self.unfit.get(slot.wanted, ()):
            named = "; ".join(self._why_unfit(tube) for tube in tubes[:MOST_NAMED])
            more = f"; and {len(tubes) - MOST_NAMED} more" if len(tubes) > MOST_NAMED else ""
            told.append(f"Not counted: {named}{more}.")
        if marks := self.marked.get(slot.wanted):
            those = some_of([f"{count} good marked {mark}" for mark, count in marks.items()])
            told.append(f"Not counted, since of no settled type: {those}. Settle what they are first.")
        return tuple(told)

    def _why_unfit(self, tube: Tube) -> str:
        word = {Tube.WEAK: "weak", Tube.DUD: "a dud"}.get(tube.state, "rejected by its last test")
        reading = self.readings.get(tube.pk, "")
        return f"{tube.tag}, {word}{f' ({reading})' if reading else ''}"


def beside_of(mine: Iterable[tuple[int, Slot]], found: Allotment) -> Beside:
    """What the lines of some slots are told with (a fixed number of queries)."""
    mine = list(mine)
    wanted = {slot.wanted for _, slot in mine}
    unfit: dict[str, list[Tube]] = {}
    for tube in (*found.stock.rejected, *unfit_tubes(wanted)):
        if tube.type and tube.type.name in wanted:
            unfit.setdefault(tube.type.name, []).append(tube)
    items = {found.stock.tubes[int(found.taken[n])].item for n, _ in mine if found.taken[n] >= 0}
    items |= {slot.reserved.item for _, slot in mine if slot.reserved}
    items |= {slot.fitting.tube.item for _, slot in mine if slot.fitting and slot.standing == READ_GOOD}
    items |= {tube.item for tubes in unfit.values() for tube in tubes[:MOST_NAMED]}
    readings = latest_readings(sorted(items, key=lambda one: one.pk))
    marked = good_marked(found.judges.known, wanted)
    return Beside(readings, pass_rates(), unfit, unjudged_of(found.stock), marked)


def entailed(slot: Slot, found: Allotment, name: str) -> tuple[str, ...]:
    """What another type in this position asks for, by the judge."""
    if name == slot.wanted:
        return ("re-neutralize: another tube in a neutralized position",) if slot.position.neutralized else ()
    approved = approved_words(slot, found, name)
    try:
        judgement = found.judgement(slot, name)
    except ValueError as fault:  # values of the position that cannot be
        return (*approved, f"nobody can say what it entails: {fault}")
    care = tuple(finding.text for finding in judgement.telling)
    return (*approved, *judgement.consequences, *care)


def approved_words(slot: Slot, found: Allotment, name: str) -> tuple[str, ...]:
    """On whose word another type was approved in a position."""
    row = found.approved.get((slot.position.pk, name))
    if row is None:
        return ()
    against = found.against_judge(slot, name)
    told = f", against the judge, who calls it unsuitable ({against})" if against else ""
    return (f"approved here on {row.on}, {row.source}{f': {row.words}' if row.words else ''}{told}",)


def against_kept(tube: Tube, slot: Slot, near: int, found: Allotment) -> str:
    """Why a tube that is reserved does not cover its line, in words; empty where it does."""
    item, name = tube.item, tube.type.name if tube.type else ""
    unknown = bool(name) and not near and is_unknown(slot.socket, name, found.judges)
    ways = (
        (item.lent_to, f"is lent to {item.lent_to}"),
        (item.gone_on, "is gone"),
        (item.missed_on, f"was not found on {item.missed_on}"),
        (tube.state == Tube.DUD, "is a dud"),
        (tube.state == Tube.WEAK, "is weak"),
        (found.stock.verdicts.get(tube.pk) == REJECT, "was rejected by its last test"),
        (not name, "is of a type that has not been settled"),
        (not near and unknown, f"is a {name}, of which nobody can say whether it may stand there"),
        (not near, f"is a {name}, which may not stand there"),
    )
    return next((words for holds, words in ways if holds), "")


def some_of(names: Sequence[str]) -> str:
    """The first of some names, and how many more there are."""
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"{', '.join(names[:MOST_NAMED])}{more}"


def goes_to(what: str, takers: Sequence[Slot]) -> str:
    """Which lines of other plans get what could serve, in a sentence: the marks of each plan together."""
    by_plan: dict[str, list[str]] = defaultdict(list)
    for one in takers:
        by_plan[one.plan.name].append(one.position.mark)
    goes = "it goes" if len(takers) == 1 else "they go"
    named = "; ".join(f"{some_of(marks)} of {plan}" for plan, marks in by_plan.items())
    return f"{len(takers)} {what}: {goes} to {named}."


def kind_words(near: int, name: str, wanted: str, *, kind: str = "a good") -> str:
    """What a tube is to a position that wants a type: a good 6V6GT, a substitute of 6F6."""
    one = f"{kind} {name}"
    if name == wanted:
        return one
    return f"{one}, {f'the same as {wanted} here' if near == EXACT else f'a {NEARNESS[near]} of {wanted}'}"


def why_this_one(number: int, found: Allotment) -> list[str]:
    """Why a slot gets the tube it gets: what else could serve it, and who has the better ones."""
    if found.match_words(number):  # chosen with its mates: what single tubes could do says nothing
        return []
    row, taken = found.costs[number], int(found.taken[number])
    able = np.flatnonzero(np.isfinite(row)).tolist()
    if len(able) == 1:
        return ["It is the only one here that could serve."]
    better = [tube for tube in able if row[tube] < row[taken] - 1e-9]
    if not better:
        alike = [tube for tube in able if row[tube] <= row[taken] + 1e-9 and tube != taken]
        if not alike:
            return [f"Of {len(able)} that could serve it is the nearest or cheapest."]
        free = sum(tube not in found.taker for tube in alike)
        if free:
            return [f"{free} more that no other line gets would do as well."]
        return [f"{len(alike)} more would do as well; {'it goes' if len(alike) == 1 else 'they go'} to other lines."]
    takers = [found.slots[found.taker[tube]] for tube in better if tube in found.taker]
    if not takers:
        return []
    names = list(dict.fromkeys(_from_here(one, found.slots[number]) for one in takers))
    mine = found.slots[number].plan.priority
    urgent = sum(one.plan.priority < mine for one in takers)
    why = "more urgent" if urgent == len(takers) else "so that all together come out best"
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return [f"Nearer or cheaper ones go to {names[0]}{more}, {why}."]


def _from_here(taker: Slot, slot: Slot) -> str:
    """A position that gets a tube, as it is called beside another one."""
    if taker.plan is slot.plan and taker.chassis.pk == slot.chassis.pk:
        return f"{taker.position.mark} of the same set"
    return f"{taker.position.mark} of {taker.plan if taker.plan.pk else taker.chassis}"
