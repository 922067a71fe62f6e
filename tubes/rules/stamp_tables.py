"""The published designations, indexed for finding, and which types they tie together."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, islice, takewhile

from tubes.rules.handbook_names import HandbookNames, left_out, scheme_of
from tubes.rules.schemes import BY_NAME, PLAIN, SOVIET
from tubes.rules.sources import HANDBOOK
from tubes.rules.text import fold_key, pieces, strict_key


@dataclass(frozen=True, slots=True)
class DesignationRow:
    """One row of the table: `designation` in `scheme` stands for `type`; relation same, ruggedized, variant or near."""

    type: str
    scheme: str
    designation: str
    relation: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One possible meaning of (a part of) a stamp; `type` and `relation` are None when the tables do not have it.

    `grade`: how sure the meaning is, where a handbook alone tells it.
    """

    scheme: str
    designation: str
    maker_code: str | None
    maker: str | None
    type: str | None
    relation: str | None
    note: str
    grade: str = ""


_RANK = {"same": 0, "ruggedized": 1, "variant": 2, "near": 3}


def rank(reading: Reading) -> tuple[int, bool]:
    """Order of readings: the same tube first, then what may stand in, and Soviet readings last among equals."""
    return _RANK.get(reading.relation or "", 4), reading.scheme == SOVIET


def _keys(name: str) -> set[str]:
    return {strict_key(pieces(name)), fold_key(name)}


@dataclass(frozen=True, slots=True)
class StampTables:
    """Built once from the rows; never changed afterwards.

    `wide`: the same with the types that only a handbook names, for stamps of which the tables have nothing.
    """

    rows: Mapping[str, tuple[DesignationRow, ...]]  # by strict key and by fold key
    types: Mapping[str, str]  # key -> type name
    names: Mapping[str, str]  # fold key -> the name as published, designations first
    makers: Mapping[str, str]
    code_lengths: tuple[int, ...]  # of the maker codes, longest first
    in_order: tuple[str, ...]  # the keys of names, sorted
    by_length: Mapping[int, tuple[str, ...]]  # length -> the keys of names of that length, in the order of names
    links: frozenset[tuple[str, str]]  # types that one row, or one number, ties together
    longest: int
    book: HandbookNames = field(default_factory=HandbookNames)
    wide: "StampTables | None" = None

    @classmethod
    def build(
        cls,
        rows: Iterable[DesignationRow],
        makers: Mapping[str, str],
        types: Iterable[str],
        book: HandbookNames | None = None,
    ) -> "StampTables":
        """Index the rows, the Navy and JAN maker codes, and every type name (those of the rows are added).

        Rows of the scheme BY_NAME relate two types by their names and are no stamp. `book`: what a handbook adds.
        """
        table = [row for row in rows if row.scheme != BY_NAME]
        narrow = cls._of(table, makers, types)
        if book is None:
            return narrow
        return replace(narrow, book=HandbookNames(another=book.another), wide=narrow._widened(book))

    def _widened(self, book: HandbookNames) -> "StampTables":
        """The same with the names that a handbook adds."""
        names = {**{key: book.row[key] for key in book.soviet}, **book.alone, **self.names}
        types = dict(self.types)
        for name in book.alone.values():
            types.update({key: types.get(key, name) for key in _keys(name)})
        return replace(
            self,
            types=types,
            names=names,
            in_order=tuple(sorted(names)),
            by_length={length: tuple(key for key in names if len(key) == length) for length in set(map(len, names))},
            longest=max((len(key) for key in (*self.rows, *types)), default=0),
            book=book,
        )

    @classmethod
    def _of(cls, table: list[DesignationRow], makers: Mapping[str, str], types: Iterable[str]) -> "StampTables":
        by_key: dict[str, list[DesignationRow]] = defaultdict(list)
        names: dict[str, str] = {}
        for row in table:
            for key in _keys(row.designation):
                by_key[key].append(row)
            names.setdefault(fold_key(row.designation), row.designation)
        type_keys: dict[str, str] = {}
        for name in dict.fromkeys([*types, *(row.type for row in table)]):
            type_keys.update(dict.fromkeys(_keys(name), name))
            names.setdefault(fold_key(name), name)
        return cls(
            rows={key: tuple(found) for key, found in by_key.items()},
            types=type_keys,
            names=names,
            makers=dict(makers),
            code_lengths=tuple(sorted({len(code) for code in makers}, reverse=True)),
            in_order=tuple(sorted(names)),
            by_length={length: tuple(key for key in names if len(key) == length) for length in set(map(len, names))},
            links=_links(table, type_keys),
            longest=max((len(key) for key in (*by_key, *type_keys)), default=0),
        )

    def find(self, key: str, raw: str) -> list[Reading]:
        """Readings of a key; `raw` is the same text with the letters O as written, capitals and no gaps.

        A type name also reads as plain, unless a row says the same of the very same text (OA2). In Latin letters a
        number that is both Soviet and American (6K7) keeps its plain reading.
        """
        rows = self.rows.get(key, ())
        other = {row.designation: self.book.another.get(fold_key(row.designation), "") for row in rows}
        found = [
            Reading(
                row.scheme, row.designation, None, None, row.type, row.relation,
                "; ".join(filter(None, (row.note, other[row.designation]))),
            )
            for row in rows
        ]  # fmt: skip
        name = self.types.get(key)
        if name is not None and fold_key(name) in self.book.alone:
            found.append(self._by_book(name, "same", name, ""))
        elif name is not None:
            told = any(
                row.type == name and row.scheme != SOVIET and "".join(pieces(row.designation)) == raw for row in rows
            )
            if not told:
                found.append(Reading(PLAIN, name, None, None, name, "same", self.book.another.get(fold_key(name), "")))
        return sorted(found or self._in_book(key), key=rank)

    def _in_book(self, key: str) -> list[Reading]:
        """What a handbook's way of writing tells of a key: letters left out, Soviet ones written Latin."""
        if soviet := self.book.soviet.get(key):
            said = f"named by the handbook row {self.book.row[key]}, Latin letters that look like the Soviet ones"
            return [replace(one, note=f"{one.note}; {said}" if one.note else said) for one in self.find_soviet(soviet)]
        parts = left_out(key)
        if parts is None or parts[0] not in self.book.alone:
            return []
        number, letters, relation = parts
        name = self.book.alone[number]
        more = f", which leaves out the letters of the form ({letters})"
        return [self._by_book(name, relation, name + letters, more)]

    def _by_book(self, name: str, relation: str, designation: str, more: str) -> Reading:
        key = fold_key(name)
        told = (f"named by the handbook row {self.book.row[key]}{more}", self.book.twice.get(key, ""))
        note = "; ".join(filter(None, told))
        return Reading(scheme_of(name), designation, None, None, name, relation, note, HANDBOOK)

    def find_soviet(self, written: str) -> list[Reading]:
        """Readings of a number transliterated from Cyrillic, Soviet rows only."""
        rows = self.rows.get(fold_key(written), ())
        return [
            Reading(row.scheme, row.designation, None, None, row.type, row.relation, row.note)
            for row in rows
            if row.scheme == SOVIET
        ]

    def has(self, key: str) -> bool:
        return key in self.rows or key in self.types

    def linked(self, one: str, other: str) -> bool:
        """True when a row ties the two types together, or they are one type."""
        return one == other or (one, other) in self.links or (other, one) in self.links

    def base_of(self, key: str) -> tuple[str, str] | None:
        """(key, suffix) of the longest number in the tables that the key adds suffix letters to, else None."""
        for cut in range(1, min(5, len(key) - 1)):
            if not key[-cut].isalpha():
                return None
            if self.has(key[:-cut]):
                return key[:-cut], key[-cut:]
        return None

    def longer(self, key: str, limit: int) -> list[str]:
        """Published names that add nothing but suffix letters to the key, for a hint; type names first."""
        first = bisect_left(self.in_order, key)
        begin_with_it = takewhile(lambda other: other.startswith(key), islice(self.in_order, first, None))
        found = [other for other in begin_with_it if other[len(key) :].isalpha()]
        return [self.names[other] for other in sorted(found, key=lambda o: (o not in self.types, len(o), o))[:limit]]


def _links(rows: Sequence[DesignationRow], types: Mapping[str, str]) -> frozenset[tuple[str, str]]:
    links: set[tuple[str, str]] = set()
    sharing: dict[tuple[str, str], list[str]] = defaultdict(list)
    for row in rows:
        other = types.get(fold_key(row.designation))
        if other is not None and other != row.type:
            links.add((row.type, other))
        if row.relation == "same":
            sharing[row.scheme, row.designation].append(row.type)
    for names in sharing.values():
        links.update(combinations(names, 2))
    return frozenset(links)
