"""The reference tables into the database: rows of origin *table* equal to the files, all or nothing."""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.db import models, transaction

from inventory.house.keys import in_parts
from tubes.actions.loaded import digest_of, note_loaded, stands_loaded
from tubes.models import (
    KEEPER,
    TABLE,
    Basing,
    Designation,
    HandbookRow,
    JanMaker,
    Limit,
    Rating,
    RatingSource,
    RecallDoubt,
    Source,
    TubeType,
)
from tubes.rules.figures import cutoff_in
from tubes.rules.handbook_names import named_alone
from tubes.rules.kinds import caution_of
from tubes.rules.relations import own_type_marks
from tubes.rules.rows_of_tables import agreed_in, behind, marked_in_tables, others_in, told_in
from tubes.rules.schemes import BY_NAME
from tubes.rules.tables import FIGURES, FILES, TESTED, WORDS, Fault, TableRow, Tables, mark_of, read_tables

MARK_FILES = ("designations.csv", "relations.csv")
SOURCE_FILES = ("sources.csv", "ratings_sources.csv")


@dataclass
class LoadResult:
    """What a load did or would do, and every fault of the tables."""

    faults: tuple[Fault, ...]
    counts: dict[str, dict[str, int]] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        return {"loaded": self.counts, "faults": [str(fault) for fault in self.faults]}


def tables_in(folder: Path) -> Tables:
    """The tables of a folder, read and checked. Raises ValueError when there is no such folder."""
    if not folder.is_dir():
        raise ValueError(f"{folder} is no folder; expected one with {', '.join(FILES)}")
    texts = {}
    faults = []
    for name in FILES:
        file = folder / name
        if not file.exists():
            continue
        try:
            texts[name] = file.read_bytes().decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            line = file.read_bytes()[: fault.start].count(b"\n") + 1
            faults.append(Fault(name, line, "text", f"byte {fault.object[fault.start]:#x}, expected UTF-8"))
            texts[name] = file.read_bytes().decode("utf-8-sig", errors="replace")
    tables = read_tables(texts)
    return Tables(tables.rows, (*faults, *tables.faults))


def load_reference(folder: Path) -> LoadResult:
    """Make the rows of origin *table* equal to the tables in ``folder``, all or nothing.

    Nothing is written when a table has a fault. The keeper's own rows are never touched. Run twice, the second run
    changes nothing, and reads no table where no row was changed between.
    """
    digest = digest_of(folder)
    if (standing := stands_loaded(digest)) is not None:
        return LoadResult((), standing)
    tables = tables_in(folder)
    result = LoadResult(tables.faults)
    if tables.faults:
        return result
    with transaction.atomic():
        rows = tables.rows
        sources = _load_sources([row for name in SOURCE_FILES for row in rows[name]], result)
        marks = [mark_of(row) for name in MARK_FILES for row in rows[name]]
        named = {row.cells["type"] for name in (*MARK_FILES, "ratings.csv") for row in rows[name]}
        cautions = {row.cells["type"]: row.cells["caution"] for row in rows["cautions.csv"]}
        for row in rows["ratings.csv"]:
            if said := caution_of(row.cells["kind"]):
                cautions.setdefault(row.cells["type"], said)
        known = named | set(cautions)
        own_marks = own_type_marks(marks, named)
        alone = named_alone(
            (row.cells["type"] for row in rows["handbook_tests.csv"]),
            {*known, *own_marks, *(mark.designation for mark in marks)},
        )
        told = told_in(tables)
        marked = marked_in_tables(tables, marks, known, own_marks)
        types = _load_types(known | set(alone.values()), own_marks, cautions, result)
        _load_makers(rows["jan_makers.csv"], sources, result)
        for name in MARK_FILES:
            _load_marks(name, rows[name], types, sources, result)
        _load_ratings(rows["ratings.csv"], agreed_in(told), types, sources, result)
        _load_plain("limits", Limit, rows["limits.csv"], sources, result)
        _load_plain("basings", Basing, rows["basings.csv"], sources, result)
        figured, others = {**marked.figures, **alone}, others_in(told) | marked.others
        _load_handbook(rows["handbook_tests.csv"], figured, others, sources, result)
        _load_doubts(rows["recall_doubts.csv"], sources, result)
        if not _drop_types_nobody_names(set(types), result):  # else looked at again: they may go another time
            note_loaded(digest, result.counts)
    return result


EVERY = models.Q()


def _sync(
    model: type[models.Model],
    wanted: Mapping[tuple[Any, ...], Mapping[str, Any]],
    key: tuple[str, ...],
    keep: bool = False,
    among: models.Q = EVERY,
    afresh: bool = False,
) -> dict[str, int]:
    """Create, update and (unless ``keep``) delete the rows of origin *table* until they equal ``wanted``.

    ``among``: only these rows of the model are looked at. ``afresh``: nothing points at a row, so that one that changed
    is written anew, which is many times as quick.
    """
    names = list(next(iter(wanted.values()), {}))
    rows = model._default_manager.filter(among, origin=TABLE).order_by().values_list(*key, "pk", *names)
    size = len(key)
    have = {row[:size]: (row[size], row[size + 1 :]) for row in rows}
    new, changed = [], []
    for at, cells in wanted.items():
        pk, held = have.get(at, (None, None))
        if pk is None:
            new.append(model(**dict(zip(key, at, strict=True)), **cells, origin=TABLE))
        elif held != tuple(cells[name] for name in names):
            changed.append(model(pk=pk, **dict(zip(key, at, strict=True)), **cells, origin=TABLE))
    gone = [pk for at, (pk, _) in have.items() if at not in wanted]
    if changed and afresh:
        for some in in_parts(row.pk for row in changed):
            model._default_manager.filter(pk__in=some).delete()
    model._default_manager.bulk_create([*new, *changed] if afresh else new)
    if changed and not afresh:
        model._default_manager.bulk_update(changed, names)
    if gone and not keep:
        model._default_manager.filter(pk__in=gone).delete()
    return {"new": len(new), "changed": len(changed), "gone": 0 if keep else len(gone), "in tables": len(wanted)}


def _load_sources(rows: Iterable[TableRow], result: LoadResult) -> dict[str, int]:
    wanted: dict[tuple[Any, ...], Mapping[str, Any]] = {}
    for row in rows:
        # A key that stands in both files means the same text; the first file's wording is kept.
        wanted.setdefault((row.cells["key"],), {k: v for k, v in row.cells.items() if k != "key"})
    taken = set(Source.objects.filter(origin=KEEPER).values_list("key", flat=True))
    wanted = {at: cells for at, cells in wanted.items() if at[0] not in taken}
    result.counts["sources"] = _sync(Source, wanted, ("key",), keep=True)
    return dict(Source.objects.values_list("key", "pk"))


def _load_types(
    named: set[str], own_marks: frozenset[str], cautions: Mapping[str, str], result: LoadResult
) -> dict[str, int]:
    taken = set(TubeType.objects.filter(origin=KEEPER).values_list("name", flat=True))
    wanted = {
        (name,): {"own_mark": name in own_marks, "table_caution": cautions.get(name, "")}
        for name in sorted(named | own_marks)
        if name not in taken
    }
    result.counts["types"] = _sync(TubeType, wanted, ("name",), keep=True)
    return {name: pk for name, pk in TubeType.objects.values_list("name", "pk") if name in named | own_marks}


def _load_makers(rows: Iterable[TableRow], sources: Mapping[str, int], result: LoadResult) -> None:
    wanted = {
        (row.cells["code"],): {"maker": row.cells["maker"], "source_id": sources[row.citations[0].key]} for row in rows
    }
    result.counts["maker codes"] = _sync(JanMaker, wanted, ("code",))


def _load_marks(
    name: str, rows: tuple[TableRow, ...], types: Mapping[str, int], sources: Mapping[str, int], result: LoadResult
) -> None:
    """Marks of types, or relations of types by their names; a table of relations that is missing takes none away."""
    by_name = models.Q(scheme=BY_NAME)
    wanted = {}
    for row in rows:
        mark = mark_of(row)
        cells = {"relation": mark.relation, "note": mark.note, "source_id": sources[row.citations[0].key]}
        wanted[types[mark.type], mark.scheme, mark.designation] = cells
    found = _sync(
        Designation, wanted, ("type_id", "scheme", "designation"),
        keep=not rows, among=by_name if name == "relations.csv" else ~by_name,
    )  # fmt: skip
    result.counts[name.removesuffix(".csv")] = found


def _load_ratings(
    rows: tuple[TableRow, ...],
    agreed: Mapping[tuple[str, str], str],
    types: Mapping[str, int],
    sources: Mapping[str, int],
    result: LoadResult,
) -> None:
    """Figures of types, each with the texts behind it."""

    def cells_of(row: TableRow) -> dict[str, Any]:
        words = {name: row.cells[name] for name in (*WORDS, "note")}
        words["cutoff"] = cutoff_in(row.cells["note"])
        return words | {name: row.figures.get(name) for name in FIGURES}

    wanted = {(types[row.cells["type"]],): cells_of(row) for row in rows}
    result.counts["ratings"] = _sync(Rating, wanted, ("type_id",))
    ratings = dict(Rating.objects.filter(origin=TABLE).values_list("type_id", "pk"))
    cited = set()
    for row in rows:
        rating = ratings[types[row.cells["type"]]]
        filled = [n for n in (*WORDS, *FIGURES, "note") if row.cells[n]]
        filled += ["cutoff"] if cutoff_in(row.cells["note"]) else []
        cited |= {(rating, one.field, sources[one.key], one.grade) for one in behind(row, agreed, filled)}
    have = RatingSource.objects.filter(rating__origin=TABLE)
    standing = {(s.rating_id, s.field, s.source_id, s.grade): s.pk for s in have}
    RatingSource.objects.filter(pk__in=[pk for at, pk in standing.items() if at not in cited]).delete()
    new = [RatingSource(rating_id=r, field=f, source_id=s, grade=g) for r, f, s, g in sorted(cited - set(standing))]
    RatingSource.objects.bulk_create(new)
    result.counts["figures"] = {"new": len(new), "in tables": len(cited)}


def _load_plain(
    name: str, model: type[models.Model], rows: tuple[TableRow, ...], sources: Mapping[str, int], result: LoadResult
) -> None:
    """Rows with one key column and one source. A table that is not there takes nothing away."""
    key = "key" if model is Limit else "code"

    def cells_of(row: TableRow) -> dict[str, Any]:
        cells = {name: value for name, value in row.cells.items() if name not in (key, "source")}
        return {**cells, **row.figures, "source_id": sources[row.cells["source"]]}

    wanted = {(row.cells[key],): cells_of(row) for row in rows}
    result.counts[name] = _sync(model, wanted, (key,), keep=not rows)


def _drop_types_nobody_names(wanted: set[str], result: LoadResult) -> int:
    """Types that left the tables go, unless something of the keeper's still names them; the number of those."""
    gone = stay = 0
    held = TubeType.objects.filter(origin=TABLE).values_list("pk", "name")
    left = [pk for pk, name in held if name not in wanted]
    for row in [one for some in in_parts(left) for one in TubeType.objects.filter(pk__in=some)]:
        try:
            with transaction.atomic():
                row.delete()
            gone += 1
        except models.ProtectedError:
            stay += 1
    result.counts["types"]["gone"] = gone
    return stay


def _load_handbook(
    rows: tuple[TableRow, ...],
    figured: Mapping[str, str],
    others: Container[tuple[str, int]],
    sources: Mapping[str, int],
    result: LoadResult,
) -> None:
    """Rows of the handbook of tests. A table that is not there takes nothing away.

    ``figured``: the types whose figures its rows are; ``others``: rows of another tube than what bears their number.
    """
    words = ("electrodes", "base", "pins_as_tested", "cap", "remarks")
    wanted = {
        (row.cells["type"], int(row.figures["system"])): {
            **{name: row.cells[name] for name in words},
            **{name: row.figures.get(name) for name in TESTED},
            "names": figured.get(row.cells["type"], ""),
            "of_another": (row.cells["type"], int(row.figures["system"])) in others,
            "source_id": sources[row.cells["source"]],
        }
        for row in rows
    }
    result.counts["handbook"] = _sync(HandbookRow, wanted, ("type", "system"), keep=not rows, afresh=True)


def _load_doubts(rows: tuple[TableRow, ...], sources: Mapping[str, int], result: LoadResult) -> None:
    """What was recalled otherwise. A table that is not there takes nothing away."""
    key = ("about", "scheme", "field")
    wanted = {
        tuple(row.cells[name] for name in key): {
            "tables_say": row.cells["tables_say"],
            "recalled_as": row.cells["recalled_as"],
            "source_id": sources[row.cells["source"]],
        }
        for row in rows
    }
    result.counts["doubts"] = _sync(RecallDoubt, wanted, key, keep=not rows)
