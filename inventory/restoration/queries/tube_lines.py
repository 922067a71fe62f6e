"""The lines of a plan that want tubes: what the assignment gave to each, in words."""

from collections import Counter, defaultdict
from collections.abc import Iterable

import numpy as np

from inventory.holdings.models import Tube
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import EXACT, NEARNESS, RELATIVE, Allotment
from inventory.restoration.queries.lines import TUBE, Line
from inventory.restoration.queries.pass_rates import PassRates, pass_rates
from inventory.restoration.queries.slots import Slot
from inventory.restoration.rules.words import (
    AFTER_TEST,
    BY_RELATIVE,
    BY_SUBSTITUTE,
    COVERED,
    DOUBTFUL,
    ELSEWHERE,
    GOOD,
    IN_PLACE,
    SHORT,
    WEAK,
)
from inventory.running.queries import latest_readings

MOST_TESTED = 6  # untested tubes that a line names
MOST_NAMED = 3


def tube_lines(plan: Plan, found: Allotment) -> list[Line]:
    """A line for each position of the sets of a plan, in the order of the circuit."""
    return tube_lines_of([plan], found)[plan.pk]


def tube_lines_of(plans: Iterable[Plan], found: Allotment) -> dict[int, list[Line]]:
    """The same of several plans, by their keys (a fixed number of queries)."""
    told: dict[int, list[Line]] = {plan.pk: [] for plan in plans}
    mine = [(number, slot) for number, slot in enumerate(found.slots) if slot.plan.pk in told]
    mine.sort(key=lambda one: (one[1].chassis.pk, one[1].position.pk))
    readings = latest_readings([found.stock.tubes[int(found.taken[n])].item for n, _ in mine if found.taken[n] >= 0])
    rates = pass_rates()
    for number, slot in mine:
        told[slot.plan.pk].append(_line(number, slot, found, readings, rates))
    return told


def _line(number: int, slot: Slot, found: Allotment, readings: dict[int, str], rates: PassRates) -> Line:
    if slot.reserved is not None and slot.wants:
        return _reserved(number, slot, found)
    if not slot.wants:
        status = IN_PLACE if slot.standing == GOOD else DOUBTFUL
        by = slot.fitting.tube.tag if slot.fitting else ""
        return _of(slot, status, by=by, reasons=(slot.why,))
    taken = int(found.taken[number])
    if taken < 0:
        return _uncovered(number, slot, found)
    if found.stock.untested[taken]:
        return _after_test(number, slot, found, rates)
    return _covered(number, slot, found, readings)


def _of(slot: Slot, status: str, **more: object) -> Line:
    return Line(TUBE, slot.need, status, slot.chassis, slot.position.mark, slot=slot, **more)  # type: ignore[arg-type]


def _entailed(slot: Slot, found: Allotment, name: str) -> tuple[str, ...]:
    """What another type in this position asks for, by the judge."""
    if name == slot.wanted:
        return ("re-neutralize: another tube in a neutralized position",) if slot.position.neutralized else ()
    judgement = found.judgement(slot, name)
    care = tuple(finding.text for finding in judgement.telling)
    return (*approved_words(slot, found, name), *judgement.consequences, *care)


def approved_words(slot: Slot, found: Allotment, name: str) -> tuple[str, ...]:
    """On whose word another type was approved in a position."""
    row = found.approved.get((slot.position.pk, name))
    if row is None:
        return ()
    return (f"approved here on {row.on}, {row.source}{f': {row.words}' if row.words else ''}",)


def _covered(number: int, slot: Slot, found: Allotment, readings: dict[int, str]) -> Line:
    taken = int(found.taken[number])
    tube, held = found.stock.tubes[taken], found.stock
    near = int(found.near[number, held.kinds[taken]])
    status = COVERED if near == EXACT else BY_RELATIVE if near == RELATIVE else BY_SUBSTITUTE
    name = held.types[held.kinds[taken]]
    reading = readings.get(tube.pk, "")
    reasons = [slot.why, f"{tube.tag} is {kind_words(near, name, slot.wanted)}, {held.where(taken)}."]
    if reading:
        reasons.append(f"Last reading {reading}.")
    if held.borderline[taken]:
        reasons.append("Its last test was borderline; none better is left.")
    if words := found.match_words(number):
        reasons.append(words)
    reasons += why_this_one(number, found)
    by = f"{tube.tag}, {held.where(taken)}{f', {reading}' if reading else ''}"
    entails = _entailed(slot, found, name)
    if slot.position.matched and not words:
        entails = (_to_match(number, slot, found), *entails)
    if held.parted[taken] and not words:
        entails = (f"parts {tube.tag} from the tubes it is matched with", *entails)
    if taken in held.sits:
        entails = (f"taken out of {held.sits[taken].chassis}", *entails)
    if owed := held.owed.get(taken):
        until = f", to be given back by {owed.due}" if owed.due else ""
        entails = (f"ask {owed.who} first: {tube.tag} is here on loan{until}", *entails)
    return _of(
        slot, status, by=by, substitute="" if near == EXACT else name, entails=entails,
        reasons=tuple(reasons), thing=tube.item,
    )  # fmt: skip


def _to_match(number: int, slot: Slot, found: Allotment) -> str:
    """What a position that wants a match asks for where no set is left for it, on record or by readings."""
    letter = slot.position.matched
    if named := found.matches.mixed.get(number):
        return f"letter {letter} binds positions that want different types ({named}): no matched set fits, look at it"
    return (
        f"match it with the others of letter {letter}: no set on record is left, and no readings of one instrument "
        "show one"
    )


def kind_words(near: int, name: str, wanted: str, *, untested: bool = False) -> str:
    """What a tube is to a position that wants a type: a good 6V6GT, a substitute of 6F6."""
    one = f"{'an untested' if untested else 'a good'} {name}"
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
        alike = sum(1 for tube in able if row[tube] <= row[taken] + 1e-9) - 1
        if alike:
            return [f"{alike} more would do as well."]
        return [f"Of {len(able)} that could serve it is the nearest or cheapest."]
    takers = [found.slots[found.taker[tube]] for tube in better if tube in found.taker]
    if not takers:
        return []
    names = list(dict.fromkeys(f"{one.chassis} {one.position.mark} ({one.plan})" for one in takers))
    mine = found.slots[number].urgency
    urgent = sum(one.urgency > mine for one in takers)
    why = "more urgent" if urgent == len(takers) else "so that all together come out best"
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return [f"Nearer or cheaper ones go to {names[0]}{more}, {why}."]


def _reserved(number: int, slot: Slot, found: Allotment) -> Line:
    """A line for which a tube is kept back: covered by it while it is here and good."""
    row = slot.reserved
    assert row is not None
    item = row.item
    tube: Tube = item.tube
    name = tube.type.name if tube.type else ""
    away = f"lent to {item.lent_to}" if item.lent_to else "gone" if item.gone_on else ""
    away = away or (f"not found on {item.missed_on}" if item.missed_on else "")
    why = (slot.why, row.why or f"{tube.tag} is kept back for it since {row.on}.")
    place = str(item.place) if item.place else "without a place"
    if away or tube.state in (Tube.DUD, Tube.WEAK):
        told = f"{tube.tag} was kept back for it and is {away or tube.state}; release it."
        return _of(slot, SHORT, reasons=(*why, told), thing=item, reserved=True)
    if tube.state == Tube.UNTESTED:
        return _of(
            slot, AFTER_TEST, by=f"{tube.tag}, {place}", reasons=(*why, f"Test {tube.tag} first."), thing=item,
            to_test=(tube,), reserved=True,
        )  # fmt: skip
    near = int(found.near[number, found.type_at[name]]) if name else 0
    status = COVERED if near <= EXACT else BY_RELATIVE if near == RELATIVE else BY_SUBSTITUTE
    return _of(
        slot, status, by=f"{tube.tag}, {place}", substitute="" if near <= EXACT else name,
        entails=_entailed(slot, found, name), reasons=why, thing=item, reserved=True,
    )  # fmt: skip


def _uncovered(number: int, slot: Slot, found: Allotment) -> Line:
    """Nothing is left for it: whether others have what could serve, or there is none."""
    row = found.costs[number]
    could = [tube for tube in np.flatnonzero(np.isfinite(row)).tolist() if not found.stock.untested[tube]]
    reasons = [slot.why]
    takers = [found.slots[found.taker[tube]] for tube in could if tube in found.taker]
    mine, takers = len(takers), [one for one in takers if one.plan.pk != slot.plan.pk]
    mine -= len(takers)
    if slot.standing == WEAK and not takers:
        return _of(
            slot, DOUBTFUL, by=slot.fitting.tube.tag if slot.fitting else "", reasons=(*reasons, "No better one.")
        )
    if takers:
        told = Counter(f"{one.plan}, {one.chassis} {one.position.mark}" for one in takers)
        names = ", ".join(f"{name}" for name in list(told)[:3])
        reasons.append(f"{len(takers)} that could serve: {'it goes' if len(takers) == 1 else 'they go'} to {names}.")
        return _of(slot, ELSEWHERE, reasons=tuple(reasons))
    if kept := found.kept_elsewhere(number):
        those = "; ".join(f"{one.item.tag} is {one.words}" for one in kept[:MOST_NAMED])
        more = f"; and {len(kept) - MOST_NAMED} more" if len(kept) > MOST_NAMED else ""
        return _of(slot, ELSEWHERE, reasons=(*reasons, f"None is free: {those}{more}."))
    matched = f" Positions with the letter {slot.position.matched} want tubes matched to one another." * bool(
        slot.position.matched
    )
    none = f"No good {slot.wanted}, relative or substitute is {'left' if mine else 'on the shelf'}"
    others = f": {mine} {'goes' if mine == 1 else 'go'} to other positions of this plan" if mine else ""
    reasons.append(f"{none}{others}.{matched}")
    return _of(slot, SHORT, reasons=tuple(reasons))


def _at(place: str) -> str:
    """Where something is, behind its tag."""
    return place if place.startswith(("in ", "without")) else f"in {place}"


def _after_test(number: int, slot: Slot, found: Allotment, rates: PassRates) -> Line:
    """Untested ones could cover it: which to test first, and the chance that so many are good as are wanted of them."""
    held, row = found.stock, found.costs[number]
    taken = int(found.taken[number])
    near = int(found.near[number, held.kinds[taken]])
    name = held.types[held.kinds[taken]]
    like = [
        tube for tube in np.flatnonzero(np.isfinite(row) & held.untested).tolist()
        if int(found.near[number, held.kinds[tube]]) == near
    ]  # fmt: skip
    like.sort(key=lambda tube: (-rates.share(held.tubes[tube]), held.tubes[tube].tag))
    wanting = sum(
        1 for other, tube in enumerate(found.taken[: len(found.costs)].tolist()) if tube >= 0 and held.untested[tube]
        and held.types[held.kinds[tube]] == name and other <= number
    )  # fmt: skip
    chance = rates.chance(sum(held.types[held.kinds[tube]] == name for tube in like), wanting)
    first = [held.tubes[tube] for tube in like[:MOST_TESTED]]
    where: dict[str, list[str]] = defaultdict(list)
    for tube in like[:MOST_TESTED]:
        where[held.where(tube)].append(held.tubes[tube].tag)
    places = "; ".join(f"{', '.join(tags)} {_at(place)}" for place, tags in where.items())
    count = f"{len(like)} untested {name}" if len(like) == 1 else f"{len(like)} untested of the type {name}"
    reasons = (slot.why, f"{count}: test first {places}.", rates.words(chance, wanting))
    substitute = "" if near == EXACT else name
    return _of(
        slot, AFTER_TEST, by=places, substitute=substitute, entails=_entailed(slot, found, name), reasons=reasons,
        thing=held.tubes[taken].item, to_test=tuple(first),
    )  # fmt: skip
