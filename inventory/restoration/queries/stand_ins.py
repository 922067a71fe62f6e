"""What does the work of a part or tube that a plan is short of, and is no such part: beside the line, and no cover."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from inventory.holdings.queries.stand_ins import stand_in_table, stand_ins_for
from inventory.holdings.rules import stand_ins as curated
from inventory.holdings.rules.part_text import PartTextFault, read_part
from inventory.restoration.models import Requirement
from inventory.restoration.queries.lines import Line
from inventory.restoration.rules.instead import Instead
from inventory.restoration.rules.words import NOT_SAID, SHORT
from inventory.sets.models import StandIn
from inventory.sets.queries.stand_ins import OwnStandIn, kinds_of, own_words
from inventory.sets.rules.stand_ins import same_part

WANTING = (SHORT, NOT_SAID)


def with_stand_ins(lines: Sequence[Line]) -> list[Line]:
    """Lines of one plan with what does the work of those that it is short of (a fixed number of queries)."""
    wanting = [line for line in lines if line.status in WANTING]
    if not wanting:
        return list(lines)
    own = _own({line.chassis.model_id for line in wanting})
    kinds = kinds_of({line.slot.wanted for line in wanting if line.slot and line.slot.wanted})
    return [
        replace(line, instead=_instead(line, own.get(line.chassis.model_id, ()), kinds))
        if line.status in WANTING
        else line
        for line in lines
    ]


def _own(models: Iterable[int]) -> dict[int, Sequence[OwnStandIn]]:
    """The keeper's own words by set model (one query)."""
    found: dict[int, list[OwnStandIn]] = defaultdict(list)
    rows = StandIn.objects.filter(set_model__in=list(models), struck="").select_related("position")
    for one in own_words(rows, {}):
        found[one.row.set_model_id].append(one)
    return dict(found)


def _instead(line: Line, own: Sequence[OwnStandIn], kinds: dict[str, tuple[str, str]]) -> tuple[Instead, ...]:
    """The words on this very part of the model first, then what is generally known and nobody said a word on."""
    mine = [one for one in own if _is_of(one.row, line)]
    told = [
        Instead(
            one.row.instead, one.row.verdict, f"{one.row.source}, {one.row.on}", one.differs, one.row.general,
            one.row.caution or (one.general.caution if one.general else ""),
        )
        for one in mine
    ]  # fmt: skip
    named = {one.row.general for one in mine}
    general = (row for row in _general(line, kinds) if row.key not in named)
    return (*told, *(Instead(row.instead, "", row.source, False, row.key, row.caution) for row in general))


def _is_of(row: StandIn, line: Line) -> bool:
    if line.slot is not None:
        return row.position_id == line.slot.position.pk
    return same_part(row.part, f"{line.position} {line.need}")


def _general(line: Line, kinds: dict[str, tuple[str, str]]) -> Sequence[curated.StandIn]:
    """The curated rows for the tube, the kind of part, or the words that a line asks for."""
    if line.slot is not None:
        kind, filling = kinds.get(line.slot.wanted, ("", ""))
        return curated.for_tube(stand_in_table(), kind, filling)
    if line.part_type is not None:
        return stand_ins_for(line.part_type.figures, line.need)
    if line.requirement is None or line.requirement.kind != Requirement.PART:
        return ()
    try:
        return stand_ins_for(read_part(line.requirement.words).figures, line.requirement.words)
    except PartTextFault:
        return ()
