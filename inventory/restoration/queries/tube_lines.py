"""The lines of a plan that want tubes: what the assignment gave to each, in words."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from inventory.holdings.models import Tube
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment
from inventory.restoration.queries.lines import TUBE, Line
from inventory.restoration.queries.nearness import EXACT, RELATIVE
from inventory.restoration.queries.slots import Slot, Unrecorded
from inventory.restoration.queries.stock import owed_words
from inventory.restoration.queries.tube_words import (
    Beside,
    against_kept,
    beside_of,
    entailed,
    goes_to,
    kind_words,
    some_of,
    why_this_one,
)
from inventory.restoration.rules.words import (
    AFTER_TEST,
    BY_RELATIVE,
    BY_SUBSTITUTE,
    COVERED,
    COVERS,
    DOUBTFUL,
    ELSEWHERE,
    GOOD,
    IN_PLACE,
    NEAR_LIMIT,
    NOT_RECORDED,
    ON_WORD,
    READ_GOOD,
    SHORT,
    STOOD_IN,
    WEAK,
)
from inventory.running.rules.verdicts import BORDERLINE, REJECT
from inventory.running.rules.verdicts import GOOD as READ_AS_GOOD
from inventory.sets.models import Chassis

MOST_TESTED = 6  # untested tubes that a line names


def tube_lines(plan: Plan, found: Allotment) -> list[Line]:
    """A line for each position of the sets of a plan, in the order of the circuit."""
    return tube_lines_of([plan], found)[plan.pk]


def tube_lines_of(plans: Iterable[Plan], found: Allotment) -> dict[int, list[Line]]:
    """The same of several plans, by their keys (a fixed number of queries)."""
    told: dict[int, list[Line]] = {plan.pk: [] for plan in plans}
    mine = [(number, slot) for number, slot in enumerate(found.slots) if slot.plan.pk in told]
    mine.sort(key=lambda one: (one[1].chassis.pk, one[1].position.pk))
    beside = beside_of(mine, found)
    named: set[tuple[int, str]] = set()
    for number, slot in mine:
        line = _never_worse(_line(number, slot, found, beside), found)
        if slot.wants and (slot.plan.pk, slot.wanted) not in named:  # once for each type
            named.add((slot.plan.pk, slot.wanted))
            line = _with_rejected(line, slot, beside)
        told[slot.plan.pk].append(line)
    for one in found.unrecorded:
        if one.plan.pk in told:
            told[one.plan.pk].append(_not_recorded(one))
    return told


def _with_rejected(line: Line, slot: Slot, beside: Beside) -> Line:
    """A line with the tubes of its type that were tested and rejected, of which the register does not say so yet."""
    rejected = tuple(tube for tube in beside.unfit.get(slot.wanted, ()) if tube.state == Tube.UNTESTED)
    if not rejected:
        return line
    missing = [text for text in beside.unfit_words(slot) if text not in line.reasons]
    return replace(line, rejected=rejected, reasons=(*line.reasons, *missing))


def _line(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    if slot.reserved is not None and slot.wants:
        return _reserved(number, slot, found, beside)
    if not slot.wants:
        return _in_place(slot, found, beside)
    taken = int(found.taken[number])
    if taken < 0:
        return _uncovered(number, slot, found, beside)
    if found.stock.awaited[taken]:
        return _on_word(number, slot, found, beside)
    if found.stock.untested[taken]:
        return _after_test(number, slot, found, beside)
    return _covered(number, slot, found, beside)


def _of(slot: Slot, status: str, **more: object) -> Line:
    return Line(TUBE, slot.need, status, slot.chassis, slot.position.mark, slot=slot, **more)  # type: ignore[arg-type]


def _in_place(slot: Slot, found: Allotment, beside: Beside) -> Line:
    """What stands in a position and stays: another type than is wanted is told with what it entails."""
    tube = slot.fitting.tube if slot.fitting else None
    by = tube.tag if tube else ""
    reading = beside.readings.get(tube.pk, "") if tube and slot.standing in (READ_GOOD, NEAR_LIMIT) else ""
    reasons = (slot.why, *((f"Last reading {reading}.",) if reading else ()))
    status = IN_PLACE if slot.standing == GOOD and not slot.other else DOUBTFUL
    if slot.standing == STOOD_IN:
        status, by = STOOD_IN, ", ".join(one.name for one in slot.stand_ins)
    entails = entailed(slot, found, slot.other) if slot.other else ()
    entails = (*entails, *(text for one in slot.stand_ins for text in one.changes))
    if kept := slot.reserved:
        held = f"{kept.item.tag} is reserved for it all the same: no other line gets it before it is released."
        reasons = (*reasons, held)
    return _of(slot, status, by=by, substitute=slot.other, entails=entails, reasons=reasons, reserved=bool(kept))


def _never_worse(line: Line, found: Allotment) -> Line:
    """A weak tube in place is no worse off with a spare that does not cover it yet: it may stay; the spare is told."""
    slot = line.slot
    if slot is None or slot.standing != WEAK or slot.fitting is None or line.status in COVERS:
        return line
    entails = entailed(slot, found, slot.other) if slot.other else ()
    return replace(
        line, status=DOUBTFUL, by=slot.fitting.tube.tag, substitute=slot.other, entails=entails,
        reasons=(*line.reasons, "Until then the weak one may stay."), thing=line.thing if line.reserved else None,
    )  # fmt: skip


def _not_recorded(one: Unrecorded) -> Line:
    """What nobody recorded of a set: nothing can be said of it, so it does not pass for covered. A model that is said
    to have no positions has nothing to be recorded.
    """
    if one.position is None and one.chassis.model.no_tubes:
        why = f"{one.chassis.model} has none: complete as listed."
        return Line(TUBE, "no tube positions", IN_PLACE, one.chassis, reasons=(why,))
    if one.position is None:
        why = (
            f"Whether {one.chassis.model} has tubes, and which, is not known: add its positions to the model, or say "
            "there that it has none."
        )
        return Line(TUBE, "no position of this model is recorded", NOT_RECORDED, one.chassis, reasons=(why,))
    mark, fitting = one.position.mark, one.fitting
    wanted = f"Which type {mark} wants is not recorded: add it to the position."
    if fitting is None:
        need = f"what stands in {mark} is not known"
        nothing = " ".join(one.why for one in one.stand_ins) or "Nothing is in it."
        return Line(TUBE, need, NOT_RECORDED, one.chassis, mark, reasons=(nothing, wanted))
    tube = fitting.tube
    bad = tube.state == Tube.DUD or one.verdict == REJECT
    said = (
        f"{tube.tag} is in it since {fitting.since}, {tube.type or 'of a type that has not been settled'}, {tube.state}"
    )
    said += ", and its last test rejects it." if one.verdict == REJECT else "."
    status = DOUBTFUL if tube.type and not bad else NOT_RECORDED
    return Line(TUBE, f"which type {mark} wants", status, one.chassis, mark, by=tube.tag, reasons=(said, wanted))


def _status(near: int) -> str:
    return COVERED if near == EXACT else BY_RELATIVE if near == RELATIVE else BY_SUBSTITUTE


def _covered(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    taken = int(found.taken[number])
    tube, held = found.stock.tubes[taken], found.stock
    near = int(found.near[number, held.kinds[taken]])
    name = held.types[held.kinds[taken]]
    reading = beside.readings.get(tube.pk, "")
    reasons = [slot.why, f"{tube.tag} is {kind_words(near, name, slot.wanted)}, {held.where(taken)}."]
    if reading:
        reasons.append(f"Last reading {reading}.")
    if held.borderline[taken]:
        reasons.append("Its last test was borderline; none better is left.")
    if words := found.match_words(number):
        reasons.append(words)
    reasons += why_this_one(number, found)
    by = f"{tube.tag}, {held.where(taken)}{f', {reading}' if reading else ''}"
    entails = entailed(slot, found, name)
    if slot.position.matched and not words:
        entails = (_to_match(number, slot, found), *entails)
    if held.parted[taken] and not words:
        entails = (f"parts {tube.tag} from the tubes it is matched with", *entails)
    if taken in held.sits:
        entails = (_taken_out(held.sits[taken].chassis), *entails)
    entails = (*owed_words(tube.tag, held.owed.get(tube.pk)), *entails)
    return _of(
        slot, _status(near), by=by, substitute="" if near == EXACT else name, entails=entails,
        reasons=tuple(reasons), thing=tube.item, sits=held.sits.get(taken),
    )  # fmt: skip


def _taken_out(chassis: Chassis) -> str:
    """From which set a tube is taken, and that it is half done where a plan for it was laid aside."""
    plans = ", ".join(plan.name for plan in getattr(chassis, "laid_aside", ()))
    return f"taken out of {chassis}{f', which is in {plans}, laid aside' if plans else ''}"


def _to_match(number: int, slot: Slot, found: Allotment) -> str:
    """What a position that wants a match asks for where no set is left for it, on record or by readings."""
    letter = slot.position.matched
    if named := found.matches.mixed.get(number):
        return f"letter {letter} binds positions that want different types ({named}): no matched set fits, look at it"
    return (
        f"match it with the others of letter {letter}: no set on record is left, and no readings of one instrument "
        "show one"
    )


def _on_word(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    """Its last test reads good, and the register still calls it untested: the keeper's word is wanted, no test."""
    taken, held = int(found.taken[number]), found.stock
    tube, name = held.tubes[taken], held.types[held.kinds[taken]]
    near = int(found.near[number, held.kinds[taken]])
    reading = beside.readings.get(tube.pk, "")
    by = f"{tube.tag}, {held.where(taken)}{f', {reading}' if reading else ''}"
    return _of(
        slot, ON_WORD, by=by, substitute="" if near == EXACT else name,
        entails=(*owed_words(tube.tag, held.owed.get(tube.pk)), *entailed(slot, found, name)),
        reasons=(slot.why, _word_wanted(tube, reading, bool(held.borderline[taken])), *why_this_one(number, found)),
        thing=tube.item,
    )  # fmt: skip


def _word_wanted(tube: Tube, reading: str, borderline: bool) -> str:
    read = f" ({reading})" if reading else ""
    return f"{tube.tag} read {'borderline' if borderline else 'good'}{read}: your word on it is wanted."


def _reserved(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    """A line for which a tube is reserved: covered by it while it is here, good, and may stand there."""
    row = slot.reserved
    assert row is not None
    item, held = row.item, found.stock
    tube: Tube = item.tube
    name = tube.type.name if tube.type else ""
    near = int(found.near[number, found.type_at[name]]) if name else 0
    verdict, reading = held.verdicts.get(tube.pk, ""), beside.readings.get(tube.pk, "")
    why = (slot.why, row.why or f"{tube.tag} is reserved for it since {row.on}.")
    place = str(item.place) if item.place else "without a place"
    by = f"{tube.tag}, {place}{f', {reading}' if reading else ''}"
    if against := against_kept(tube, slot, near, found):
        told = f"{tube.tag} is reserved for it since {row.on} and {against}; release it."
        return _of(slot, SHORT, reasons=(slot.why, told, *beside.unfit_words(slot)), thing=item, reserved=True)
    substitute = "" if near == EXACT else name
    entails = (*owed_words(tube.tag, held.owed.get(tube.pk)), *entailed(slot, found, name))
    if slot.key in found.matches.apart:
        letter = slot.position.matched
        entails = (f"match it with the others of letter {letter}: nothing on record calls these matched", *entails)
    status, to_test = _status(near), tuple[Tube, ...]()
    reasons = (*why, *((f"Last reading {reading}.",) if reading else ()))
    if tube.state == Tube.UNTESTED and verdict in (READ_AS_GOOD, BORDERLINE):
        status, reasons = ON_WORD, (*why, _word_wanted(tube, reading, verdict == BORDERLINE))
    elif tube.state == Tube.UNTESTED:
        status, reasons, to_test = AFTER_TEST, (*reasons, f"Test {tube.tag} first."), (tube,)
    elif verdict == BORDERLINE:
        reasons = (*reasons, "Its last test was borderline.")
    return _of(
        slot, status, by=by, substitute=substitute, entails=entails, reasons=reasons, thing=item, to_test=to_test,
        reserved=True,
    )  # fmt: skip


def _uncovered(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    """Nothing is left for it: whether others have what could serve, or there is none."""
    row = found.costs[number]
    able = [tube for tube in np.flatnonzero(np.isfinite(row)).tolist() if tube in found.taker]
    good = [found.slots[found.taker[tube]] for tube in able if not found.stock.untested[tube]]
    unread = [found.slots[found.taker[tube]] for tube in able if found.stock.untested[tube]]
    takers = [one for one in good if one.plan.pk != slot.plan.pk]
    mine, mine_untested = len(good) - len(takers), sum(one.plan.pk == slot.plan.pk for one in unread)
    unfit = beside.unfit_words(slot)
    if takers:
        return _of(slot, ELSEWHERE, reasons=(slot.why, goes_to("that could serve", takers), *unfit))
    kept = found.reserved_elsewhere(number)
    others = [one for one in kept if one.plan_id != slot.plan.pk]
    if others:
        by_plan: dict[str, list[str]] = defaultdict(list)
        for one in others:
            by_plan[one.plan.name].append(one.item.tag)
        those = "; ".join(
            f"{some_of(tags)} {'is' if len(tags) == 1 else 'are'} reserved for {plan}" for plan, tags in by_plan.items()
        )
        return _of(slot, ELSEWHERE, reasons=(slot.why, f"None is free: {those}.", *unfit))
    if takers := [one for one in unread if one.plan.pk != slot.plan.pk]:
        return _of(slot, ELSEWHERE, reasons=(slot.why, goes_to("untested that could serve", takers), *unfit))
    if slot.standing == WEAK and not (mine or kept or mine_untested):
        return _of(slot, SHORT, reasons=(slot.why, "No better one.", *unfit))
    matched = f" Positions with the letter {slot.position.matched} want tubes matched to one another." * bool(
        slot.position.matched
    )
    ways = [f"{mine} {'goes' if mine == 1 else 'go'} to other positions of this plan"] if mine else []
    if mine_untested:
        ways.append(
            f"{mine_untested} untested {'goes' if mine_untested == 1 else 'go'} to other positions of this plan"
        )
    ways += [f"{len(kept)} {'is' if len(kept) == 1 else 'are'} reserved for other positions of this plan"] * bool(kept)
    none = f"No good {slot.wanted}, relative or substitute is {'left' if ways else 'on the shelf'}"
    told_ways = f": {', '.join(ways)}" if ways else ""
    return _of(slot, SHORT, reasons=(slot.why, f"{none}{told_ways}.{matched}", *unfit))


def _at(place: str) -> str:
    """Where something is, behind its tag."""
    return place if place.startswith(("in ", "without")) else f"in {place}"


def _after_test(number: int, slot: Slot, found: Allotment, beside: Beside) -> Line:
    """Untested ones could cover it: which to test first, and the chance that so many are good as are wanted of them."""
    held, row, rates = found.stock, found.costs[number], beside.rates
    taken = int(found.taken[number])
    near = int(found.near[number, held.kinds[taken]])
    name = held.types[held.kinds[taken]]
    unread = held.untested & ~held.awaited
    like = [
        tube for tube in np.flatnonzero(np.isfinite(row) & unread).tolist()
        if int(found.near[number, held.kinds[tube]]) == near
    ]  # fmt: skip
    read = beside.unjudged.tests
    stuck = [read[held.tubes[tube].pk] for tube in like if held.tubes[tube].pk in read][:MOST_TESTED]
    like = [tube for tube in like if held.tubes[tube].pk not in read]
    told = tuple(beside.unjudged.words(test, slot) for test in stuck)
    substitute = "" if near == EXACT else name
    if not like:  # another test of them says no more
        return _of(
            slot, AFTER_TEST, by=", ".join(test.tube.tag for test in stuck), substitute=substitute,
            entails=entailed(slot, found, name), reasons=(slot.why, *told, *beside.unfit_words(slot)),
            thing=held.tubes[taken].item, unjudged=tuple(stuck),
        )  # fmt: skip
    like.sort(key=lambda tube: (-rates.share(held.tubes[tube]), held.tubes[tube].tag))
    wanting = sum(
        1 for other, tube in enumerate(found.taken[: len(found.costs)].tolist()) if tube >= 0 and unread[tube]
        and held.types[held.kinds[tube]] == name and other <= number and held.tubes[tube].pk not in read
    )  # fmt: skip
    those = [held.tubes[tube] for tube in like if held.types[held.kinds[tube]] == name]
    first = [held.tubes[tube] for tube in like[:MOST_TESTED]]
    where: dict[str, list[str]] = defaultdict(list)
    for tube in like[:MOST_TESTED]:
        where[held.where(tube)].append(held.tubes[tube].tag)
    places = "; ".join(f"{', '.join(tags)} {_at(place)}" for place, tags in where.items())
    count = f"{len(like)} untested {name}" if len(like) == 1 else f"{len(like)} untested of the type {name}"
    chance = rates.words(those, max(wanting, 1))
    reasons = (slot.why, f"{count}: test first {places}.", *told, *beside.unfit_words(slot), chance)
    return _of(
        slot, AFTER_TEST, by=places, substitute=substitute, entails=entailed(slot, found, name), reasons=reasons,
        thing=held.tubes[taken].item, to_test=tuple(first), unjudged=tuple(stuck),
    )  # fmt: skip
