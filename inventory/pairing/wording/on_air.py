"""What a set needs before it goes on the air: in words, and as JSON."""

from collections.abc import Sequence
from typing import Any

from inventory.holdings.models import Tube
from inventory.pairing.queries.on_air import OnAir, OnAirUnit
from inventory.pairing.queries.rows import PairRow, end_of
from inventory.pairing.rules.events import Because
from inventory.pairing.rules.fold import DUE, GOOD, NOT_NEEDED, PRESUMED, RESET_AND_VERIFY

STANDS = "Nothing: the neutralization stands."
NAMED = 6  # positions of a set in one line


def to_do(unit: OnAirUnit) -> str:
    """What to do first with a unit before the set goes on the air with it."""
    told = _of_the_pair(unit.row)
    if unit.empty:
        marks = " and ".join(unit.empty)
        if told == STANDS:
            told = f"Fit {marks}, empty by the register, then verify the null: it depends on the tube there."
        else:
            told = f"{told} Before that fit {marks}, empty by the register."
    return _with_the_set(told, unit)


def _with_the_set(told: str, unit: OnAirUnit) -> str:
    """That with what its set wants besides, whatever the pair: other empty positions first, and tubes in doubt."""
    wants = []
    if unit.empty_besides:
        wants.append(f"Fit {_some(unit.empty_besides)}, empty by the register.")
    in_null = unit.row.state != NOT_NEEDED and any(row.position.neutralized for row, _ in unit.doubted)
    if unit.doubted:
        named = _some(
            [f"{row.position.mark} {tube.tag}, {tube.doubt.text}" for row, tube in unit.doubted if tube.doubt]
        )
        null = ", then verify the null, which depends on the tube there" if in_null else ""
        wants.append(f"In doubt: {named}: test again or fit another{null}.")
    if not wants:
        return told
    if told == STANDS and in_null:
        return " ".join(wants)
    pair = told.removeprefix("Nothing: ")
    return " ".join([*wants, pair[0].upper() + pair[1:]])


def _some(words: Sequence[str]) -> str:
    """The first of some words, and how many more there are."""
    more = len(words) - NAMED
    return " and ".join([*words[:NAMED], *([f"{more} more"] if more > 0 else [])])


def _of_the_pair(row: PairRow) -> str:
    if row.state == RESET_AND_VERIFY:
        return f"Set the dial to {row.setting}, then verify the null."
    if row.state == GOOD and any(reason.cause == Because.LOOSE for reason in row.reasons):
        return "Tighten the lock, which was left open, and verify the null."
    return {
        GOOD: STANDS,
        NOT_NEEDED: "Nothing: this set needs no neutralization.",
        PRESUMED: "Verify the null once and record it; it was never checked here.",
        DUE: "Neutralize first, and write the dial setting down.",
    }[row.state]


def sockets_first(found: OnAir) -> str:
    """Positions that want a tube or a look before the set is switched on."""
    empty = [row.position.mark for row in found.empty]
    doubt = [
        f"{row.position.mark} {row.fitting.tube.state}"
        for row in found.sockets
        if row.fitting and row.fitting.tube.state != Tube.GOOD
    ]
    against = [f"{row.position.mark} {tube.tag} {tube.doubt.text}" for row, tube in found.doubted if tube.doubt]
    groups = (("Empty", empty), ("Not good", doubt), ("In doubt", against))
    told = [f"{word}: {', '.join(marks)}" for word, marks in groups if marks]
    return ". ".join(told)


def on_air_as_json(found: OnAir) -> dict[str, Any]:
    """The answer in plain lists and dictionaries, ready for JSON."""
    units = [_pair_as_json(unit.row) | {"todo": to_do(unit)} for unit in found.units]
    told = {"chassis": end_of(found.chassis).as_dict(), "frequency_kc": found.frequency_kc, "units": units}
    doubted = [
        {"position": row.position.mark, "tag": tube.tag, "state": tube.state, "in_doubt": tube.doubt.word}
        for row, tube in found.doubted
        if tube.doubt
    ]
    told |= {"mercury": found.mercury.as_dict()} if found.mercury else {}
    empty = [{"position": row.position.mark, "wants": str(row.position.type or "")} for row in found.empty]
    return told | ({"tubes_in_doubt": doubted} if doubted else {}) | ({"empty_positions": empty} if empty else {})


def _pair_as_json(row: PairRow) -> dict[str, Any]:
    pair = row.as_dict()
    return {name: pair[name] for name in ("unit", "state", "setting", "reasons")}
