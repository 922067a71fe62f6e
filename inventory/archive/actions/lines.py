"""The lines of one member of an archive: each checked field by field, then written in bulk with its history."""

from typing import Any, Protocol

from django.core.exceptions import ValidationError
from django.core.files import File
from django.db import DatabaseError, models

from inventory.archive.actions.out import digest_in_store, media_member, media_store
from inventory.archive.actions.packed import Unpacked
from inventory.archive.queries.specs import Spec, is_person, kind_of, root_of
from inventory.archive.rules.lines import LineFault, NotThat, frozen, read
from tubes.models import TABLE

AT_ONCE = 1000  # rows written at a time
Row = dict[str, Any]


class ArchiveRefused(ValueError):
    """The archive cannot be taken in; every fault found, one a line."""

    def __init__(self, faults: list[LineFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, faults)))


class Reading(Protocol):
    """What a member needs of the whole: the archive, what is wrong so far, keys, files that were put away."""

    archive: Unpacked
    faults: list[LineFault]
    keys: dict[Any, dict[Any, int]]
    saved: list[str]
    missing: list[str]

    def fault(self, member: str, line: int, field: str, found: Any, expected: str) -> None: ...

    def lines(self, member: str) -> Any: ...


class MemberReader:
    """Reads the lines of one spec."""

    def __init__(self, reader: Reading, spec: Spec) -> None:
        self.reader, self.spec = reader, spec
        self.keys = reader.keys.setdefault(root_of(spec.model), {})
        self.is_root = root_of(spec.model) is spec.model
        self.fields = [(f, kind_of(f)) for f in spec.fields]
        self.history_fields = [(f, kind_of(f)) for f in spec.history_fields]
        self.waiting: list[tuple[int, Any, Any, Row, list[Any]]] = []  # line, key, row, lists of rows, history
        # Rows that name rows of their own kind: what an older state named may stand further down.
        own = [f for f in spec.history_fields if f.is_relation and not is_person(f.related_model)]
        self.late = any(root_of(f.related_model) is spec.model for f in own)
        self.later: list[tuple[int, Any, Any]] = []  # line, key, history
        self.seen: set[Any] = set()
        self.line = self.count = 0

    def take_in(self) -> int:
        for number, row in self.reader.lines(self.spec.file):
            self.line = number
            self.count += 1
            if "of" in row:
                self._flush()
                self._gone(row)
            else:
                self._one(row)
            if len(self.waiting) >= AT_ONCE:
                self._flush()
        self._flush()
        for self.line, key, history in self.later:  # noqa: B020 - faults name the line that is being read
            self._write_history([(self.keys[key], one) for one in self._history(history)])
        return self.count

    def _fault(self, field: str, found: Any, expected: str) -> None:
        self.reader.fault(self.spec.file, self.line, field, found, expected)

    def _one(self, line: Row) -> None:
        faults = len(self.reader.faults)
        history = line.pop("history", [])
        number = line.pop("number", None) if self.spec.numbered else None
        if self.spec.numbered and number != self.count:
            self._fault("number", number, f"{self.count}, as counted")
        many = {f.name: self._many(f, line.pop(f.name, [])) for f in self.spec.many}
        raw_key = number if self.spec.numbered else [line.get(name) for name in self.spec.key]
        values = self._values(self.fields, line, strict=True)
        self._keys_inside(values)
        key = frozen(raw_key[0] if isinstance(raw_key, list) and len(raw_key) == 1 else raw_key)
        if self.spec.key or self.spec.numbered:
            try:
                if key in self.seen:
                    self._fault(", ".join(self.spec.key), raw_key, "a key that stands once")
                self.seen.add(key)
            except TypeError:
                self._fault(", ".join(self.spec.key), raw_key, "a key")
        rows = [] if self.late else self._history(history)
        if len(self.reader.faults) > faults:
            return
        if self.late and history:
            self.later.append((self.line, key, history))
        row = self.spec.model(**values)
        if self.spec.named_only:
            row = _standing(row, self.spec.key[0])
        self._save_files(row)
        self.waiting.append((self.line, key, row, many, rows))

    def _values(self, fields: list[Any], line: Row, *, strict: bool) -> Row:
        """The columns that a line gives; what is not there is empty. ``strict``: not for rows as they were long ago."""
        values: Row = {}
        for field, kind in fields:
            raw = line.pop(field.name, None)
            if field.is_relation:
                values[field.attname] = self._key(field, raw, strict=strict)
            elif raw is None:
                values[field.attname] = self._empty(field, strict=strict)
            else:
                values[field.attname] = self._value(field, kind, raw, strict=strict)
        for name, raw in line.items():
            self._fault(name, raw, "no such field")
        return values

    def _keys_inside(self, values: Row) -> None:
        """Keys that stand inside a JSON value become the numbers of their rows here."""
        for field, name, model in self.spec.inside:
            if isinstance(value := values.get(field), dict) and name in value:
                values[field] = value | {name: self._many(_Named(f"{field}: {name}", model), value[name])}

    def _value(self, field: Any, kind: str, raw: Any, *, strict: bool) -> Any:
        try:
            value = read(kind, raw)
        except NotThat as wanted:
            self._fault(field.name, raw, str(wanted))
            return None
        if strict and field.choices and value not in ("", None) and value not in dict(field.flatchoices):
            self._fault(field.name, raw, "one of " + ", ".join(repr(c) for c, _ in field.flatchoices))
        try:
            field.run_validators(value)
        except ValidationError as refusal:
            self._fault(field.name, raw, refusal.messages[0])
        return value

    def _empty(self, field: Any, *, strict: bool) -> Any:
        if field.null:
            return None
        if isinstance(field, models.CharField | models.TextField | models.FileField):
            if strict and not field.blank and not field.has_default() and field.name in self.spec.key:
                self._fault(field.name, "nothing", "a text")
            return ""
        if field.has_default():
            return field.get_default()  # a column that the archive's version did not have
        self._fault(field.name, "nothing", "a value")
        return None

    def _key(self, field: Any, raw: Any, *, strict: bool) -> int | None:
        if raw is None:
            if not field.null:
                self._fault(field.name, "nothing", "a key")
            return None
        if not strict and (gone := _gone_number(raw)):
            return gone
        model = field.related_model
        keys = self.reader.keys.get(model if is_person(model) else root_of(model), {})
        try:
            key = frozen(raw)
            found = keys.get(key)
        except TypeError:
            found = None
        if found is None and self.is_root and root_of(model) is self.spec.model and self.waiting:
            self._flush()  # the row that is named may still be waiting
            found = keys.get(key)
        if found is None or (strict and found < 0):
            self._fault(field.name, raw, "the key of a line that stands before")
            return None
        return found

    def _many(self, field: Any, raw: Any) -> list[int]:
        if not isinstance(raw, list):
            self._fault(field.name, raw, "a list of keys")
            return []
        named = _Named(field.name, field.related_model)
        return [pk for one in raw if (pk := self._key(named, one, strict=False)) is not None]

    def _history(self, raw: Any) -> list[tuple[Any, Row]]:
        """History rows, to be given the number of their row, each with its lists of rows."""
        history = self.spec.history
        if not raw:
            return []
        if history is None or not isinstance(raw, list) or not all(isinstance(one, dict) for one in raw):
            self._fault("history", raw, "a list of objects" if history else "none: these rows keep no history")
            return []
        rows = []
        for one in raw:
            many = {f.name: self._many(f, one.pop(f.name, [])) for f in self.spec.many if self.spec.kept_many(f)}
            rows.append((history(**self._values(self.history_fields, one, strict=False)), many))
        return rows

    def _gone(self, line: Row) -> None:
        """The history of a row that is gone."""
        raw, history = line.pop("of"), self._history(line.pop("history", []))
        for name in line:
            self._fault(name, line[name], "no such field")
        try:
            pk = _gone_number(raw) or self.keys.get(frozen(raw))
        except TypeError:
            pk = None
        if pk is None:
            return self._fault("of", raw, "the key of a line that stands before")
        self._write_history([(pk, one) for one in history])
        return None

    def _save_files(self, row: Any) -> None:
        for field, _ in self.fields:
            if isinstance(field, models.FileField) and (name := getattr(row, field.attname).name):
                setattr(row, field.attname, self._save_file(field, name))

    def _save_file(self, field: Any, name: str) -> str:
        """Put a file into the media store under its name. One that lies there already must be the same."""
        about = self.reader.archive.members.get(media_member(name))
        if about is None:
            if name not in self.reader.archive.manifest.get("missing_files", []):
                self._fault(field.name, name, "a file in media/")
            else:
                self.reader.missing.append(name)
            return name
        store = media_store()
        if store.exists(name) and digest_in_store(store, name) == about["sha256"]:
            return name
        with self.reader.archive.zip.open(media_member(name)) as file:
            kept = store.save(name, File(file), max_length=field.max_length)
        self.reader.saved.append(kept)
        return kept

    def _flush(self) -> None:
        """Write the rows that wait, then what hangs on them."""
        waiting, self.waiting = self.waiting, []
        if not waiting:
            return
        manager = self.spec.model._base_manager
        try:
            manager.bulk_create([row for _, _, row, _, _ in waiting if row._state.adding])
            for _, key, row, many, _ in waiting:
                if self.is_root:
                    self.keys[key] = row.pk
                self._write_many(row.pk, many)
            self._write_history([(row.pk, one) for _, _, row, _, rows in waiting for one in rows])
        except DatabaseError as fault:
            where = f"lines {waiting[0][0]} to {waiting[-1][0]}"
            said = " ".join(str(fault).split())[:160]
            last = LineFault(self.spec.file, waiting[0][0], "line", where, f"rows that go together ({said})")
            raise ArchiveRefused([*self.reader.faults, last]) from fault

    def _write_many(self, pk: int, many: Row) -> None:
        for field in self.spec.many:
            near, far = field.m2m_field_name() + "_id", field.m2m_reverse_field_name() + "_id"
            through = field.remote_field.through
            through._base_manager.bulk_create(through(**{near: pk, far: other}) for other in many[field.name])

    def _write_history(self, rows: list[tuple[int, tuple[Any, Row]]]) -> None:
        history = self.spec.history
        if history is None or not rows:
            return
        name = self.spec.model._meta.pk.attname
        for pk, (row, _) in rows:
            setattr(row, name, pk)
        history._base_manager.bulk_create([row for _, (row, _) in rows], batch_size=AT_ONCE)
        for field in self.spec.many:
            kept = self.spec.kept_many(field)
            if kept is None:
                continue
            near, far = field.m2m_field_name() + "_id", field.m2m_reverse_field_name() + "_id"
            kept._base_manager.bulk_create(
                kept(id=0, history_id=row.pk, **{near: pk, far: other})  # which row of the table it was is not known
                for pk, (row, many) in rows
                for other in many[field.name]
            )


def _gone_number(raw: Any) -> int | None:
    """``{"gone": 3}`` as a number below nought, which no row will ever bear."""
    number = raw.get("gone") if isinstance(raw, dict) and len(raw) == 1 else None
    whole = isinstance(number, int) and not isinstance(number, bool) and 0 < number < 2**31
    return -number if whole else None  # type: ignore[operator]


class _Named:
    """A list of rows looks up its keys as a single reference does; an empty one is no key."""

    def __init__(self, name: str, model: Any) -> None:
        self.name, self.related_model, self.null = name, model, False


def _standing(row: Any, key: str) -> Any:
    """The row of knowledge that stands under that key already; the keeper's own words go over the tables'."""
    there = type(row)._base_manager.filter(**{key: getattr(row, key)}).first()
    if there is None:
        return row
    own = row.origin != TABLE
    names = [f.attname for f in row._meta.concrete_fields if not f.primary_key]
    for name in names if own else [name for name in names if name == "hazard"]:
        setattr(there, name, getattr(row, name))
    type(row)._base_manager.filter(pk=there.pk).update(**{name: getattr(there, name) for name in names})
    return there
