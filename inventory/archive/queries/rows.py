"""The rows of the archive as lines: every reference by the key of its line, never by a number of this database."""

from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from typing import Any

from django.contrib.auth import get_user_model
from django.db import connection, transaction
from django.db.models import FileField

from inventory.archive.queries.specs import SPECS, ModelClass, Spec, is_person, kind_of, root_of, rows_of
from inventory.archive.rules.lines import frozen, write_line, written
from inventory.house.access import role_of

AT_ONCE = 2000  # rows fetched at a time
Row = dict[str, Any]


@contextmanager
def one_moment() -> Iterator[None]:
    """Read everything as it stood at one moment, while others go on writing."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")  # atomic() would begin IMMEDIATE and keep every writer waiting
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield


def _chunks(rows: Iterator[Row]) -> Iterator[list[Row]]:
    while chunk := list(islice(rows, AT_ONCE)):
        yield chunk


class ArchiveRows:
    """Gives the lines of one spec after the other, in the order of SPECS; the keys of rows are kept, not the rows."""

    def __init__(self) -> None:
        self.keys: dict[ModelClass, dict[int, Any]] = {}
        self.gone: dict[ModelClass, dict[int, int]] = {}
        self.files: list[str] = []
        self._people: dict[int, str] = dict(get_user_model().objects.values_list("pk", "username"))
        self._named: set[int] = set()

    def lines(self, spec: Spec) -> Iterator[str]:
        """The lines of a spec: its rows with their histories, then the histories of rows that are gone."""
        if root_of(spec.model) is spec.model:
            self._know(spec)
        fields = [(f, kind_of(f)) for f in spec.fields]
        names = [f.attname for f, _ in fields] + ["pk"]
        for chunk in _chunks(rows_of(spec).values(*names).iterator(chunk_size=AT_ONCE)):
            pks = [row["pk"] for row in chunk]
            histories, many = self._histories(spec, pks), self._many(spec, pks)
            for row in chunk:
                line: Row = {"number": self.keys[spec.model][row["pk"]]} if spec.numbered else {}
                line |= self._encoded(fields, row)
                self._name_inside(spec, line)
                line |= many.get(row["pk"], {})
                if row["pk"] in histories:
                    line["history"] = histories[row["pk"]]
                self.files += [row[f.attname] for f, _ in fields if isinstance(f, FileField) and row[f.attname]]
                yield write_line(line)
        yield from self._gone_lines(spec)

    def people(self) -> Iterator[str]:
        """A line for everybody whom a record names: name and role, no password. To be asked for last."""
        for person in get_user_model().objects.filter(pk__in=self._named).order_by("username"):
            line = {"username": person.username, "first_name": person.first_name, "last_name": person.last_name}
            role = role_of(person)
            kept = {name: text for name, text in (line | {"role": role}).items() if text}
            yield write_line(kept | ({} if person.is_active else {"active": False}))

    def _know(self, spec: Spec) -> None:
        """Keep the key of every row of a model, and count the rows of which only the history is left."""
        names = [spec.model._meta.get_field(name).attname for name in spec.key]  # type: ignore[union-attr]
        keys: dict[int, Any] = {}
        self.keys[spec.model] = keys
        found = rows_of(spec).values_list("pk", *names).iterator(chunk_size=AT_ONCE)
        for number, (pk, *parts) in enumerate(found, 1):
            if spec.numbered:
                keys[pk] = number
            elif spec.key:
                key = [self._part(spec, name, part) for name, part in zip(spec.key, parts, strict=True)]
                keys[pk] = key[0] if len(key) == 1 else key
            else:
                keys[pk] = None
        self.gone[spec.model] = self._count_gone(spec.model, keys)

    def _part(self, spec: Spec, name: str, value: Any) -> Any:
        field = spec.model._meta.get_field(name)
        return self._reference(field.related_model, value) if field.is_relation else value  # type: ignore[arg-type]

    def _count_gone(self, root: ModelClass, live: dict[int, Any]) -> dict[int, int]:
        """Numbers for rows that are gone, in the order of their first history row.

        Rows alike in that (two hazards that one undone list had made, whose things are gone too) keep the order they
        had: an archive gives the row {"gone": 3} the number -3, so they go by their numbers without the sign.
        """
        first: dict[int, str] = {}
        for spec in SPECS:
            history = spec.history
            if root_of(spec.model) is not root or history is None:
                continue
            name = spec.model._meta.pk.attname
            rows = history._base_manager.order_by("history_date", "history_id")
            dead = sorted(set(rows.order_by().values_list(name, flat=True).distinct()) - set(live) - {None})
            plain = [(f, kind_of(f)) for f in spec.history_fields if not f.is_relation]
            for start in range(0, len(dead), AT_ONCE):
                for row in rows.filter(**{f"{name}__in": dead[start : start + AT_ONCE]}).values():
                    text = row["history_date"].isoformat() + spec.member + write_line(self._encoded(plain, row))
                    first[row[name]] = min(first.get(row[name], text), text)
        return {pk: number for number, pk in enumerate(sorted(first, key=lambda pk: (first[pk], pk > 0, abs(pk))), 1)}

    def _reference(self, model: Any, pk: int | None) -> Any:
        if pk is None:
            return None
        if is_person(model):
            if pk in self._people:
                self._named.add(pk)
            return self._people.get(pk)
        root = root_of(model)
        if pk in self.keys.get(root, {}):
            return self.keys[root][pk]
        number = self.gone.get(root, {}).get(pk)
        return {"gone": number} if number else None  # nothing is left of it, not even a history

    def _encoded(self, fields: list[Any], row: Row) -> Row:
        """The filled columns of a row; what is not there is empty."""
        line: Row = {}
        for field, kind in fields:
            value = row[field.attname]
            value = self._reference(field.related_model, value) if field.is_relation else written(kind, value)
            if value is not None and not (value == "" and not field.null):
                line[field.name] = value
        return line

    def _name_inside(self, spec: Spec, line: Row) -> None:
        """Numbers that stand inside a JSON value become keys too; rows of which nothing is left are no longer named."""
        for field, name, model in spec.inside:
            if name in (value := line.get(field, {})):
                named = [self._reference(model, pk) for pk in value[name]]
                line[field] = value | {name: [key for key in named if key is not None]}

    def _histories(self, spec: Spec, pks: list[int]) -> dict[int, list[Row]]:
        history = spec.history
        if history is None:
            return {}
        name = spec.model._meta.pk.attname
        fields = [(f, kind_of(f)) for f in spec.history_fields]
        found: dict[int, list[Row]] = defaultdict(list)
        rows = history._base_manager.filter(**{f"{name}__in": pks}).order_by("history_date", "history_id")
        many = self._many_then(spec, rows)
        for row in rows.values().iterator(chunk_size=AT_ONCE):
            found[row[name]].append(self._encoded(fields, row) | many.get(row["history_id"], {}))
        return found

    def _many_then(self, spec: Spec, histories: Any) -> dict[int, Row]:
        """The lists of rows as they were at history rows."""
        found: dict[int, Row] = {}
        for field in spec.many:
            kept = spec.kept_many(field)
            if kept is None:
                continue
            far = field.m2m_reverse_field_name() + "_id"
            for history_id, other in kept._base_manager.filter(history__in=histories).values_list("history_id", far):
                found.setdefault(history_id, {}).setdefault(field.name, []).append(
                    self._reference(field.related_model, other)
                )
        for lists in found.values():
            for name in lists:
                lists[name].sort(key=_sortable)
        return found

    def _many(self, spec: Spec, pks: list[int]) -> dict[int, Row]:
        found: dict[int, Row] = defaultdict(dict)
        for field in spec.many:
            near, far = field.m2m_field_name() + "_id", field.m2m_reverse_field_name() + "_id"
            pairs = field.remote_field.through._base_manager.filter(**{f"{near}__in": pks}).values_list(near, far)
            listed: dict[int, list[Any]] = defaultdict(list)
            for pk, other in pairs:
                listed[pk].append(self._reference(field.related_model, other))
            for pk, others in listed.items():
                found[pk][field.name] = sorted(others, key=_sortable)
        return found

    def _gone_lines(self, spec: Spec) -> Iterator[str]:
        """``{"of": …, "history": […]}`` for rows that are gone and for rows that do not go out themselves."""
        history, root = spec.history, root_of(spec.model)
        if history is None:
            return
        name = spec.model._meta.pk.attname
        live = set(self.keys[root]) if root is spec.model else set(rows_of(spec).values_list("pk", flat=True))
        dead = set(history._base_manager.order_by().values_list(name, flat=True).distinct()) - live - {None}
        named = [(self._reference(spec.model, pk), pk) for pk in dead]
        for key, pk in sorted(named, key=lambda pair: (isinstance(pair[0], dict), _sortable(pair[0]))):
            yield write_line({"of": key, "history": self._histories(spec, [pk])[pk]})


def _sortable(key: Any) -> str:
    return f"{key['gone']:012}" if isinstance(key, dict) else repr(frozen(key))
