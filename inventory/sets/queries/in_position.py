"""Which stand-in sits in which position of the sets now, with what follows from that."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.holdings.rules import stand_ins as curated
from inventory.sets.models import StandIn, StandInFitted
from inventory.sets.rules.stand_ins import StandInWord, differing

InPosition = dict[tuple[int, int], tuple["Sitting", ...]]


@dataclass(frozen=True)
class Sitting:
    """A stand-in in a position of a set. ``general``: the curated row that it follows; ``differs``: another word on
    the model says the contrary of it.
    """

    stay: StandInFitted
    general: curated.StandIn | None = None
    differs: bool = False

    @property
    def row(self) -> StandIn:
        return self.stay.stand_in

    @property
    def name(self) -> str:
        """What it is, in words."""
        return f"{self.row.instead} (a stand-in)"

    @property
    def why(self) -> str:
        """That it sits there, since when, and on whose word, in sentences."""
        row = self.row
        against = " Another word says the contrary of it." if self.differs else ""
        struck = f" That word is struck out: {row.struck.rstrip('.')}." if row.struck else ""
        word = f"{row.get_verdict_display()} ({row.source}, {row.on})"
        return f"{self.name} sits in it since {self.stay.since}: {word}.{against}{struck}"

    @property
    def changes(self) -> tuple[str, ...]:
        """What changes with it, what can hurt, and whether it can be undone; the keeper's own words first."""
        row, general = self.row, self.general
        own = f"with {row.instead} here: {row.changes}" if row.changes else ""
        known = [f"{one.what}, generally: {one.words}" for one in general.changes] if general else []
        told = own or known
        cautions = dict.fromkeys(filter(None, (row.caution, general.caution if general else "")))
        undone = row.get_reversible_display() if row.reversible else ""
        return (
            *filter(None, (own,)), *known, *(() if told else (f"what changes with {row.instead} is not said",)),
            *(f"caution: {text}" for text in cautions), *filter(None, (undone,)),
        )  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        row = self.row
        return {
            "instead": row.instead, "since": self.stay.since.isoformat(), "word": row.verdict, "differs": self.differs,
            "source": row.source, "changes": list(self.changes),
        }  # fmt: skip


def stand_ins_in(chassis: Iterable[int]) -> InPosition:
    """By set and position: the stand-ins that sit there now, one as a rule (at most two queries)."""
    stays = StandInFitted.objects.filter(
        chassis__in=list(chassis), until__isnull=True, stand_in__position__isnull=False
    )
    rows = list(stays.select_related("stand_in__position").order_by("since", "pk"))
    if not rows:
        return {}
    table = {row.key: row for row in stand_in_table()}
    words = StandIn.objects.filter(set_model__in={one.stand_in.set_model_id for one in rows}, struck="")
    split = differing(
        StandInWord(one.pk, f"{one.set_model_id} {one.replaced}", one.instead, one.serves, one.general)
        for one in words.select_related("position")
    )
    found: dict[tuple[int, int], list[Sitting]] = defaultdict(list)
    for stay in rows:
        word = stay.stand_in
        found[stay.chassis_id, word.position_id or 0].append(Sitting(stay, table.get(word.general), word.pk in split))
    return {key: tuple(several) for key, several in found.items()}
