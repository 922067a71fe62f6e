"""Changes of part lots."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.models import QuerySet

from inventory.holdings.actions.register import register
from inventory.holdings.models import Item, PartLot, PartType, Place
from inventory.holdings.queries.markings import read_marking
from inventory.holdings.rules.lot_text import read_lot
from inventory.holdings.rules.markings.answers import Reading
from inventory.holdings.rules.part_text import kind_named, read_rating
from inventory.house.writing import refuse, write

_STATING = ("type-designation", "crystal")
_OF_UNIT = {"ohm": "resistor", "pF": "capacitor", "kc": "crystal"}
#: What parts of a military style are made of, by its letters: JAN-R-11 and JAN-C-5 (L7.4, from memory).
_MADE = {"RC": "carbon composition", "CM": "mica"}
FROM_WORDS = "kind of part read from its words"


def _check(lot: PartLot) -> None:
    if lot.serial:
        if lot.least is None and lot.most is None:
            lot.least = lot.most = 1
        if (lot.least, lot.most) not in ((1, 1), (0, 0)):
            raise refuse("serial", "A serial is of one piece: give each its own entry, with the quantity 1.")
    if lot.least is not None and lot.most is not None and lot.least > lot.most:
        raise refuse("most", f"At least {lot.least}, at most {lot.most}: turn the two round, or leave one empty.")


@transaction.atomic
def add_parts(lot: PartLot, *, by: Any, on: date, place: Place | None = None, tag: str = "") -> PartLot:
    """Add a part lot to the register; where no kind of part is given and its words state one in full, it gets that."""
    _check(lot)
    lot.type = lot.type or kind_read(lot, by=by)
    lot.item = register(Item.PARTS, by=by, on=on, place=place, tag=tag)
    return write(lot, by=by)


@transaction.atomic
def change_parts(lot: PartLot, *, by: Any, reason: str = "") -> PartLot:
    """Write a changed part lot; before and after stay in its history."""
    _check(lot)
    return write(lot, by=by, reason=reason)


def twins_of(row: PartType) -> QuerySet[PartType]:
    """Kinds of part on record that say the same as this one."""
    alike = ("kind", "value", "tolerance_pct", "volts", "watts", "amps", "words", "mounting", "safety_class", "marking")
    figures = {name: getattr(row, name) for name in alike}
    return PartType.objects.filter(construction__iexact=row.construction, **figures)


def kind_read(lot: PartLot, *, by: Any) -> PartType | None:
    """The kind of part that the words on a lot state in full, made where there is none yet; None where they do not."""
    return kind_of_words(lot.name, lot.value, by=by) or _kind_marked(lot, by=by)


def kind_of_words(name: str, value: str = "", *, by: Any) -> PartType | None:
    """The kind of part that words with figures state in full, made where there is none yet; None where they do not."""
    figures = read_lot(name, value)
    if figures is None:
        return None
    row = PartType(
        kind=figures.kind, value=figures.value, tolerance_pct=figures.tolerance_pct, volts=figures.volts,
        watts=figures.watts, amps=figures.amps, construction=figures.construction, safety_class=figures.safety,
        mounting=figures.marked[:60],
    )  # fmt: skip
    return twins_of(row).first() or save_part_type(row, by=by, reason="read from the words on a part")


def _kind_marked(lot: PartLot, *, by: Any) -> PartType | None:
    """The kind of part that a type designation or a channel of a crystal on a lot states, where it has one meaning and
    the words beside it name no other kind.
    """
    for mark, beside in ((lot.value, lot.name), (lot.name, lot.value), (f"{lot.name} {lot.value}", "")):
        found = [one for kind in _STATING if mark.strip() for one in _readings(mark, kind)]
        kind = _OF_UNIT.get(found[0].unit, "") if len(found) == 1 and found[0].value is not None else ""
        if kind == "crystal" and "ch" not in mark.casefold():
            kind = ""  # a frequency alone may be of anything
        if not kind or kind_named(beside) not in ("", kind):
            continue
        (one,) = found
        rated = read_rating(one.rating)
        row = PartType(
            kind=kind, value=float(one.value or 0), marking=mark.strip()[:80],
            tolerance_pct=None if one.tolerance_pct is None else float(one.tolerance_pct),
            watts=rated.get("watts"), volts=rated.get("volts"), construction=_MADE.get(one.form.style[:2], ""),
        )  # fmt: skip
        return twins_of(row).first() or save_part_type(row, by=by, reason="read from the marking on a lot")
    return None


def _readings(mark: str, kind: str) -> tuple[Reading, ...]:
    try:
        return read_marking(mark, kind).readings
    except ValueError:
        return ()


def kind_of_columns(columns: Mapping[str, Any], *, by: Any) -> PartType:
    """The kind of part of these columns, as ``rules.part_cells`` reads them; made where there is none yet."""
    row = PartType(**columns)
    return twins_of(row).first() or save_part_type(row, by=by, reason="came with a list")


@transaction.atomic
def read_kinds(*, by: Any) -> int:
    """Give every lot that has no kind of part the one that its words state in full. Returns how many got one.

    What cannot be read stays as found. Where nothing is to do, one query.
    """
    read = 0
    for lot in PartLot.objects.filter(type__isnull=True).order_by("pk"):
        if (kind := kind_read(lot, by=by)) is not None:
            lot.type = kind
            write(lot, by=by, reason=FROM_WORDS)
            read += 1
    return read


def when_migrated(using: str = DEFAULT_DB_ALIAS, plan: Any = None, **told: Any) -> None:
    """``read_kinds`` once, when the columns come in that it fills, after the tables are those of this program."""
    steps = [(step.app_label, step.name) for step, backwards in plan or () if not backwards]
    if using != DEFAULT_DB_ALIAS or ("holdings", "0015_part_characteristics") not in steps:
        return
    executor = MigrationExecutor(connections[using])
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        read_kinds(by=None)


@transaction.atomic
def save_part_type(row: PartType, *, by: Any, reason: str = "") -> PartType:
    """Write a kind of part. Refuses one that says nothing, and a second one of the same figures."""
    if row.value is None and not row.words and not row.construction:
        raise refuse("words", "Give a value, or say in words what it is.")
    twin = twins_of(row).exclude(pk=row.pk).first()
    if twin is not None:
        raise refuse("kind", f"This is on record already: {twin}.")
    return write(row, by=by, reason=reason)
