"""Settled rows into the register: batches of rows of each kind, each with its history, tags taken a batch at a time."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any

from django.utils import timezone

from inventory.holdings.actions import give_tags, pass_tags
from inventory.holdings.models import Fact, HazardMark, Item, Movement, PartLot, Tube
from inventory.house.areas import kinds
from inventory.house.writing import keep_history, person_or_none
from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.part_types import PartTypes
from inventory.lists.actions.read import ReadRow
from inventory.lists.actions.settle import Settled, Settler
from inventory.lists.actions.things import Thing
from inventory.lists.models import ImportMade, ImportRow, ImportRun
from inventory.lists.rules import fields as f
from inventory.lists.rules.records import Line, kept_cells
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED
from inventory.pairing.models import Companion
from inventory.sets.models import Chassis, PlugInUnit

WRITTEN_AT_ONCE = 1000  # rows of one table in one statement
MOST_THINGS = 1_000_000
ITEM_KINDS = {
    f.TUBES: Item.TUBE,
    f.PARTS: Item.PARTS,
    f.OTHERS: Item.PARTS,
    f.CHASSIS: Item.CHASSIS,
    f.UNITS: Item.UNIT,
    f.COMPANIONS: Item.COMPANION,
}
SORTS: dict[str, Any] = {
    Item.TUBE: Tube,
    Item.PARTS: PartLot,
    Item.CHASSIS: Chassis,
    Item.UNIT: PlugInUnit,
    Item.COMPANION: Companion,
}


@dataclass
class Tally:
    """Counts of rows by outcome, and of records by kind, as the command answers them."""

    rows: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    records: Counter[str] = field(default_factory=Counter)

    def add(self, settled: Settled) -> None:
        self.rows += 1
        self.outcomes[settled.outcome] += 1
        self.records.update(thing.kind for thing in settled.things)
        if sum(self.records.values()) > MOST_THINGS:
            raise FileRefused(f"The list makes more than {MOST_THINGS} things; take it in by parts.")

    def as_dict(self) -> dict[str, Any]:
        said = self.outcomes
        apart = said[HELD] + said[REFUSED] + said[NOT_AN_ITEM]
        return {
            "rows": self.rows,
            "written": self.rows - apart,
            "remarked": said[REMARKED],
            "held": said[HELD],
            "refused": said[REFUSED],
            "not_items": said[NOT_AN_ITEM],
            "records": {kind: self.records[kind] for kind in f.KINDS},
        }


def remark_dicts(settled: Settled) -> list[dict[str, str]]:
    """The remarks of a row ready for JSON; ``code`` only where one has a code."""
    told = [asdict(remark) for remark in settled.remarks]
    return [{key: text for key, text in one.items() if text or key != "code"} for one in told]


def import_row(
    run: ImportRun, read: ReadRow, settled: Settled, *, on_trial: bool = False, answers: dict[str, str] | None = None
) -> ImportRow:
    """The row that keeps the original cells, with what became of it; on trial also what is wrong with its form."""
    source = read.source
    return ImportRow(
        run=run,
        row=read.row,
        line=read.line,
        cells=kept_cells(source if on_trial else Line(source.number, source.cells, shown=source.shown)),
        outcome=settled.outcome,
        remarks=remark_dicts(settled),
        question=settled.question,
        understood=settled.understood,
        answers=answers or {},
        digest=settled.digest,
        core=settled.core,
        uncounted=uncounted_in(settled.question),
    )


def uncounted_in(question: dict[str, Any]) -> str:
    """What ``ImportRow.uncounted`` is by the question of a row."""
    return str(question.get("type") or question.get("mark", ""))[:80] if question.get("about") == "count" else ""


class Writer:
    """Writes what the settler made of rows, within a transaction of the caller's."""

    def __init__(self, run: ImportRun, settler: Settler, *, by: Any, today: date) -> None:
        self.run, self.maker, self.by, self.today = run, settler.maker, by, today
        self.part_types = PartTypes()
        self.at = timezone.now()
        self.reason = reason_of(run)

    def write(self, batch: Iterable[tuple[ReadRow, Settled]]) -> list[tuple[ReadRow, Settled, list[str]]]:
        """Write one batch with its rows; gives back the tags made from each."""
        pairs = list(batch)
        rows = [import_row(self.run, read, settled) for read, settled in pairs]
        ImportRow.objects.bulk_create(rows, batch_size=WRITTEN_AT_ONCE)
        tags = self.make([(row, settled) for row, (_, settled) in zip(rows, pairs, strict=True)])
        return [(read, settled, made) for (read, settled), made in zip(pairs, tags, strict=True)]

    def make(self, pairs: Sequence[tuple[ImportRow, Settled]]) -> list[list[str]]:
        """Make the things of rows that are kept already; gives back the tags made from each."""
        things = [(row, thing) for row, settled in pairs for thing in settled.things]
        tags = self._tags(things)
        items = [
            Item(
                tag=tag,
                kind=ITEM_KINDS[thing.kind],
                place_id=self.maker.places.write(thing.spot, by=self.by) if thing.spot else None,
                **thing.item,
            )
            for tag, (_, thing) in zip(tags, things, strict=True)
        ]
        Item.objects.bulk_create(items, batch_size=WRITTEN_AT_ONCE)
        self._history(items)
        self._records(items, [thing for _, thing in things])
        self._around(items, things)
        made: dict[int, list[str]] = defaultdict(list)
        for item, (row, _) in zip(items, things, strict=True):
            made[row.pk].append(item.tag)
        return [made[row.pk] for row, _ in pairs]

    def _tags(self, things: Sequence[tuple[ImportRow, Thing]]) -> list[str]:
        """A tag for each thing in order: its own where the list gives one, the others of a kind taken at once."""
        own = [thing.tag for _, thing in things]
        first = {tag: at for at, tag in reversed(list(enumerate(own)))}
        own = [tag if first[tag] == at else "" for at, tag in enumerate(own)]
        pass_tags(filter(None, own))
        wanting = ["" if tag else ITEM_KINDS[thing.kind] for tag, (_, thing) in zip(own, things, strict=True)]
        count = Counter(filter(None, wanting))
        given = {kind: iter(self._free(kinds()[kind].letters, count[kind])) for kind in sorted(count)}
        return [tag or next(given[kind]) for tag, kind in zip(own, wanting, strict=True)]

    def _free(self, prefix: str, count: int) -> list[str]:
        tags = give_tags(prefix, count)
        while taken := set(self._taken(tags)):
            tags = [tag for tag in tags if tag not in taken] + give_tags(prefix, len(taken))
        return tags

    def _taken(self, tags: list[str]) -> Iterable[str]:
        for start in range(0, len(tags), 500):
            some = tags[start : start + 500]
            yield from Item.objects.filter(tag__in=some).values_list("tag", flat=True)

    def _history(self, rows: Sequence[Any]) -> None:
        keep_history(rows, "+", by=self.by, reason=self.reason, at=self.at)

    def _records(self, items: Sequence[Item], things: Sequence[Thing]) -> None:
        by_sort: dict[str, list[Any]] = defaultdict(list)
        for item, thing in zip(items, things, strict=True):
            by_sort[item.kind].append(SORTS[item.kind](item_id=item.pk, **thing.values, **self._model(thing)))
        for kind, rows in by_sort.items():
            SORTS[kind].objects.bulk_create(rows, batch_size=WRITTEN_AT_ONCE)
            self._history(rows)

    def _model(self, thing: Thing) -> dict[str, int | None]:
        maker = self.maker
        if thing.kind == f.CHASSIS:
            return {"model_id": maker.set_models.write(thing.model, by=self.by)}
        if thing.kind == f.UNITS:
            return {"model_id": maker.unit_models.write(thing.model, by=self.by)}
        if thing.kind == f.COMPANIONS:
            return {"kind_id": maker.kinds.write(thing.model, maker.set_models, by=self.by)}
        if thing.kind in (f.PARTS, f.OTHERS):
            return {"type_id": self.part_types.write(thing.model, thing.values, by=self.by)}
        return {}

    def _around(self, items: Sequence[Item], things: Sequence[tuple[ImportRow, Thing]]) -> None:
        """First moves, hazard marks, facts, and where each thing came from."""
        person = person_or_none(self.by)
        moves, marks, made, facts = [], [], [], []
        for item, (row, thing) in zip(items, things, strict=True):
            if thing.spot:
                moves.append(Movement(item=item, to_path=thing.spot.path, on=self.today, by=person, reason=self.reason))
            for hazard, why in thing.hazards:
                marks.append(HazardMark(item=item, hazard=hazard, reason=why, on=self.today))
            made.append(ImportMade(row=row, item=item, facts=thing.facts))
            facts += [Fact(item=item, from_list=True, by=person, **values) for values in map(asdict, thing.told)]
        Movement.objects.bulk_create(moves, batch_size=WRITTEN_AT_ONCE)
        HazardMark.objects.bulk_create(marks, batch_size=WRITTEN_AT_ONCE)
        self._history(marks)
        Fact.objects.bulk_create(facts, batch_size=WRITTEN_AT_ONCE)
        self._history(facts)
        ImportMade.objects.bulk_create(made, batch_size=WRITTEN_AT_ONCE)


def reason_of(run: ImportRun, told: str = "taken in with list") -> str:
    """What the history of everything made by a list says of why: an undo knows by it what was made and what changed.

    It is kept with the list, since in another house its number is another. Nothing but the list's own history says it.
    A list that has none yet gets its own here, so that the first question writes one row, also where nothing else is
    changed.
    """
    if not run.reason:
        run.reason = _told_before(run) or _not_told_yet(run, told)
        ImportRun.objects.filter(pk=run.pk).update(reason=run.reason)
    return run.reason


def _told_before(run: ImportRun) -> str:
    """What the history says of a thing of a list that came with an archive of before, where the list did not say it."""
    item = ImportMade.objects.filter(row__run=run).order_by("pk").values_list("item_id", flat=True).first()
    made = Item.history.filter(id=item, history_type="+") if item else Item.history.none()
    return (made.values_list("history_change_reason", flat=True).first() or "")[:100]


def _not_told_yet(run: ImportRun, told: str) -> str:
    """A reason of its own: a list of another house may have had the number."""
    told = text = f"{told} {run.pk}"
    number = 1
    while (
        ImportRun.objects.filter(reason=text).exclude(pk=run.pk).exists()
        or Item.history.filter(history_type="+", history_change_reason=text).exists()
    ):
        number += 1
        text = f"{told} ({number})"
    return text
