"""Figures of a type that no row of the tables rates, from its rows in a handbook of tests: only what all of them state.

A test point is no rating: plate volts and current are not taken. Such figures are their type's alone and lend nothing
to its forms.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.handbook import GRIDS, HEATER_PCT, ONE_SYSTEM, PLATES, BookRow, pins_of_one
from tubes.rules.sources import DERIVED, HANDBOOK

#: Electrodes that are one kind of tube and no other.
_ONE_KIND: Mapping[str, str] = {
    "T": "triode", "TT": "duotriode", "DDT": "duodiode-triode", "TP": "triode-pentode", "TH": "triode-hexode",
    "H": "heptode", "R": "rectifier", "THY": "thyratron",
}  # fmt: skip
_TOPS: Mapping[tuple[str, ...], str] = {(): "none", ("g1",): "grid", ("a",): "plate"}
#: Of these the transconductance tested is that of the tube; of two unlike systems it is one's, of mixers that of grids
#: tied together for the test.
_ONE_GAIN = ONE_SYSTEM | {"TT", "PP"}


def figures_alone(rows: Iterable[BookRow]) -> tuple[dict[str, Figure], dict[str, Word]]:
    """Figures and words of a type from its rows without a remark: what all of them state, each of grade ``handbook``.

    Of a heater with a middle the row has the volts of its halves side by side; in series it takes twice that, which is
    graded ``derived``.
    """
    usable = [row for row in rows if row.usable]
    if not usable:
        return {}, {}
    source = usable[0].source
    heater = _stated({row.heater_v for row in usable})
    gains = {row.gm_umho if row.electrodes in _ONE_GAIN and pins_of_one(row) else None for row in usable}
    kind = _stated({_ONE_KIND.get(row.electrodes, "") if pins_of_one(row) else "" for row in usable})
    base = _stated({"" if row.base.startswith("handbook code") else row.base for row in usable})
    cap = _stated({cap_of(row) for row in usable})
    numbers = {"heater_v": heater, "gm_umho": _stated(gains)}
    words = {"kind": kind, "base": base, "cap": cap}
    found = {name: Figure(number, HANDBOOK, source) for name, number in numbers.items() if number}
    if heater and all(row.halved for row in usable):
        found["heater_v"], found["alt_heater_v"] = Figure(2 * heater, DERIVED, source), found["heater_v"]
    return found, {name: Word(word, HANDBOOK, source) for name, word in words.items() if word}


Cell = TypeVar("Cell", float | None, str)


def _stated(cells: set[Cell]) -> Cell | None:
    """The one thing that all rows state."""
    return next(iter(cells)) if len(cells) == 1 else None


def cap_of(row: BookRow) -> str:
    """What a row tells of the cap on top; nothing where it is unreadable, or a plate or grid is on no pin either."""
    if "?" in row.cap:
        return ""
    on_pins = {what for _, what in row.pins}
    if not row.cap and row.electrodes in _ONE_GAIN and not (PLATES & on_pins and GRIDS & on_pins):
        return ""
    return _TOPS.get(row.cap, "")


def heated_by(own: TypeFigures, base: TypeFigures) -> TypeFigures:
    """A type without the heater volts that a handbook gives it, where they are a connection of its base's heater.

    So both connections, with their amperes, come from there: 6.3 V with the current of 12.6 V would be none.
    """
    mine = own.numbers.get("heater_v")
    theirs = [base.number(name) for name in ("heater_v", "alt_heater_v")]
    if mine is None or mine.grade not in (HANDBOOK, DERIVED) or not all(theirs):
        return own
    if not any(abs(mine.value / volts - 1) <= HEATER_PCT / 100 for volts in theirs if volts):
        return own
    kept = {name: one for name, one in own.numbers.items() if name not in ("heater_v", "alt_heater_v")}
    return replace(own, numbers=kept)


def of_handbook_alone(own: TypeFigures) -> bool:
    """Whether a type has no figure but those that rows of a handbook tell of it: it may take what those leave open."""
    grades = {one.grade for one in own.numbers.values()} | {
        own.words[name].grade for name in own.words if name == "kind"
    }
    return not grades or (not own.lends and grades <= {HANDBOOK, DERIVED})
