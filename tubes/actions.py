"""Changes of tube knowledge: the reference tables in, the keeper's own rows on top."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from django.db import models, transaction
from django.urls import NoReverseMatch, Resolver404, get_script_prefix, resolve, reverse

from inventory.house.writing import refuse, remove, write
from tubes.models import KEEPER, TABLE, Basing, Designation, JanMaker, Limit, Rating, RatingSource, Source, TubeType
from tubes.queries.judging import limits
from tubes.rules.limits import value_fault
from tubes.rules.relations import own_type_marks
from tubes.rules.schemes import BY_NAME
from tubes.rules.sources import STATED, field_sources, grade_of
from tubes.rules.tables import FIGURES, FILES, RATED_FIELDS, WORDS, Fault, TableRow, Tables, mark_of, read_tables

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
    changes nothing.
    """
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
        types = _load_types(named | set(cautions), own_type_marks(marks, named), cautions, result)
        _load_makers(rows["jan_makers.csv"], sources, result)
        for name in MARK_FILES:
            _load_marks(name, rows[name], types, sources, result)
        _load_ratings(rows["ratings.csv"], types, sources, result)
        _load_plain("limits", Limit, rows["limits.csv"], sources, result)
        _load_plain("basings", Basing, rows["basings.csv"], sources, result)
        _drop_types_nobody_names(set(types), result)
    return result


EVERY = models.Q()


def _sync(
    model: type[models.Model],
    wanted: Mapping[tuple[Any, ...], Mapping[str, Any]],
    key: tuple[str, ...],
    keep: bool = False,
    among: models.Q = EVERY,
) -> dict[str, int]:
    """Create, update and (unless ``keep``) delete the rows of origin *table* until they equal ``wanted``.

    ``among``: only these rows of the model are looked at.
    """
    have = {tuple(getattr(row, k) for k in key): row for row in model._default_manager.filter(among, origin=TABLE)}
    new = [
        model(**dict(zip(key, at, strict=True)), **cells, origin=TABLE)
        for at, cells in wanted.items()
        if at not in have
    ]
    changed = []
    for at, cells in wanted.items():
        row = have.get(at)
        if row is not None and any(getattr(row, name) != value for name, value in cells.items()):
            for name, value in cells.items():
                setattr(row, name, value)
            changed.append(row)
    gone = [row.pk for at, row in have.items() if at not in wanted]
    model._default_manager.bulk_create(new)
    if changed:
        model._default_manager.bulk_update(changed, list(next(iter(wanted.values()))))
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
    rows: tuple[TableRow, ...], types: Mapping[str, int], sources: Mapping[str, int], result: LoadResult
) -> None:
    def cells_of(row: TableRow) -> dict[str, Any]:
        words = {name: row.cells[name] for name in (*WORDS, "note")}
        return words | {name: row.figures.get(name) for name in FIGURES}

    wanted = {(types[row.cells["type"]],): cells_of(row) for row in rows}
    result.counts["ratings"] = _sync(Rating, wanted, ("type_id",))
    ratings = dict(Rating.objects.filter(origin=TABLE).values_list("type_id", "pk"))
    cited = {
        (ratings[types[row.cells["type"]]], found.field, sources[found.key], found.grade)
        for row in rows
        for found in field_sources(row.citations, [n for n in (*WORDS, *FIGURES, "note") if row.cells[n]])
    }
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


def _drop_types_nobody_names(wanted: set[str], result: LoadResult) -> None:
    """Types that left the tables go, unless something of the keeper's still names them."""
    gone = 0
    for row in TubeType.objects.filter(origin=TABLE).exclude(name__in=wanted):
        try:
            with transaction.atomic():
                row.delete()
            gone += 1
        except models.ProtectedError:
            continue
    result.counts["types"]["gone"] = gone


@transaction.atomic
def save_source(source: Source, *, by: Any) -> Source:
    """Write a text of the keeper's own."""
    if source.pk and source.origin == TABLE:
        raise refuse("key", "This text belongs to the reference tables; add one of your own under another key.")
    source.origin = KEEPER
    return write(source, by=by)


@transaction.atomic
def save_type(row: TubeType, *, by: Any, reason: str = "") -> TubeType:
    """Write a type of the keeper's own, or the hazard words of any type."""
    if not row.pk:
        row.origin = KEEPER
    if wrong := _not_in_an_address(row.name):
        raise refuse("name", f"{wrong} Write the type as it is printed, in one line.")
    return write(row, by=by, reason=reason)


def _not_in_an_address(name: str) -> str:
    """Why a type of this name would have no page of its own; empty where it has one."""
    if hidden := next((sign for sign in name if not sign.isprintable()), ""):
        return f"Between {name.split(hidden)[0][-10:]!r} and what follows stands a sign that is not seen ({hidden!a})."
    if {"", ".", ".."} & set(name.split("/")):
        return f"Of {name!r} a part between strokes is empty or only points, which no address keeps."
    try:
        address = unquote(reverse("tubes:type", args=[name]))
        found = resolve(f"/{address.removeprefix(get_script_prefix())}")  # where the site lies is no part of the route
    except (NoReverseMatch, Resolver404):
        found = None
    if found is None or found.view_name != "tubes:type" or found.kwargs.get("name") != name:
        return f"{name!r} would lead to another page."
    return ""


@transaction.atomic
def save_designation(row: Designation, *, by: Any, reason: str = "") -> Designation:
    """Write a designation of the keeper's own; it stands over the tables' row for the same type, scheme and mark."""
    if row.pk and row.origin == TABLE:
        row.pk, row._state.adding = None, True
    row.origin = KEEPER
    return write(row, by=by, reason=reason)


@transaction.atomic
def drop_designation(row: Designation, *, by: Any) -> None:
    """Take back a designation of the keeper's own; the tables' row, if any, stands again."""
    if row.origin == TABLE:
        raise refuse(
            "designation", "A row of the tables stays; to contradict it, add your own with relation 'refuted'."
        )
    remove(row, by=by)


@transaction.atomic
def save_rating(rating: Rating, *, source: Source, grade: str = STATED, by: Any, reason: str = "") -> Rating:
    """Write figures of the keeper's own; new and changed ones rest on ``source``. Empty: the tables' figure."""
    filled = [name for name in RATED_FIELDS if getattr(rating, name) not in (None, "")]
    if not filled:
        raise refuse("__all__", "Not one figure is given.")
    before = Rating.objects.filter(pk=rating.pk).first()
    rating.origin = KEEPER
    write(rating, by=by, reason=reason)
    grade = grade if source.origin == KEEPER else grade_of(source.key)
    standing = {row.field: row for row in rating.sources.all()}
    for name, row in standing.items():
        if name not in filled:
            row.delete()
    for name in filled:
        unchanged = before is not None and getattr(before, name) == getattr(rating, name)
        if name in standing and unchanged:
            continue  # a figure that stays keeps the text that it rests on
        row = standing.get(name) or RatingSource(rating=rating, field=name)
        row.source, row.grade = source, grade
        write(row, by=by)
    return rating


@transaction.atomic
def save_limit(row: Limit, *, by: Any, reason: str = "") -> Limit:
    """Write a limit of the keeper's own; it stands before the tables' row of the same key, which must be there."""
    there = Limit.objects.filter(key=row.key, origin=TABLE).first()
    if there is None:
        raise refuse("key", f"{row.key!r} is no limit that a rule asks for.")
    if wrong := value_fault(row.key, row.value, limits()):
        raise refuse("value", f"{wrong}.")
    if row.pk and row.origin == TABLE:
        row.pk, row._state.adding = None, True
    row.origin, row.unit, row.meaning = KEEPER, there.unit, there.meaning
    return write(row, by=by, reason=reason)


@transaction.atomic
def drop_limit(row: Limit, *, by: Any) -> None:
    """Take back a limit of the keeper's own; the tables' figure stands again, which must suit the others in force."""
    if row.origin == TABLE:
        raise refuse("key", "A limit of the tables stays; write one of your own to stand before it.")
    there = Limit.objects.filter(key=row.key, origin=TABLE).first()
    if there is not None and (wrong := value_fault(row.key, there.value, limits())):
        raise refuse("value", f"The tables' figure cannot stand again: {wrong}.")
    remove(row, by=by)
