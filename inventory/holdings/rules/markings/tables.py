"""The tables that codes rest on, as rows of ``fixtures/reference`` say them, each with its source."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

Rows = Iterable[Mapping[str, str]]
MEMORY = "from memory"
NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a colour or letter means in one use; ``said`` is empty where a writer says that it has no meaning there."""

    said: str
    note: str
    source: str

    @property
    def number(self) -> Decimal:
        return Decimal(self.said)

    @property
    def per_cent(self) -> Decimal | None:
        return Decimal(self.said) if self.said else None


@dataclass(frozen=True, slots=True)
class Style:
    """A style of part by its military designation."""

    part: str
    unit: str
    rating: str
    standard: str
    note: str
    source: str


@dataclass(frozen=True, slots=True, repr=False)
class MarkingTables:
    """``colours`` and ``letters``: use and colour or letter to its meanings, the usual first. ``words``: a word to its
    colour. ``gauges``: gauge and number to diameter in inches and source. ``titles``: key of a source to its title."""

    colours: Mapping[tuple[str, str], tuple[Meaning, ...]]
    words: Mapping[str, str]
    letters: Mapping[tuple[str, str], tuple[Meaning, ...]]
    styles: Mapping[str, Style]
    gauges: Mapping[tuple[str, str], tuple[Decimal, str]]
    titles: Mapping[str, str]

    def of(self, use: str, colour: str) -> tuple[Meaning, ...]:
        """The meanings of a colour in a use; none where it has none."""
        return self.colours.get((use, colour), ())

    def letter(self, use: str, letter: str) -> tuple[Meaning, ...]:
        return self.letters.get((use, letter), ())

    def colours_for(self, use: str) -> list[str]:
        """The colours that mean something in a use, in the order of the table."""
        return list(dict.fromkeys(colour for of, colour in self.colours if of == use))

    def back(self, use: str, said: str) -> str:
        """The colour that means ``said`` in a use; empty where none does."""
        return next(
            (colour for (of, colour), told in self.colours.items() if of == use and any(m.said == said for m in told)),
            "",
        )

    def cited(self, *sources: str) -> tuple[str, ...]:
        """Sources as one remark: their titles, and that something is from memory where it is so."""
        keys = list(dict.fromkeys(sources))
        read = [self.titles[key] for key in keys if key not in (MEMORY, NO_SOURCE)]
        said = [f"Source: {'; '.join(read)}"] if read else []
        if MEMORY in keys:
            said.append("In part from memory" if read or NO_SOURCE in keys else "From memory, no text read")
        if NO_SOURCE in keys:
            said.append("Common practice, no source")
        return tuple(said)


def read_tables(colours: Rows, words: Rows, letters: Rows, styles: Rows, gauges: Rows, sources: Rows) -> MarkingTables:
    """The tables of rows as they lie in files. Raises ValueError naming the row that is damaged."""
    titles = {row["key"]: row["title"] for row in sources}
    found = MarkingTables(
        _meanings(colours, "colour", titles),
        {row["word"]: _sourced(row, titles)["colour"] for row in words},
        _meanings(letters, "letter", titles),
        {
            row["style"]: Style(*(_sourced(row, titles)[name] for name in Style.__slots__))
            for row in styles
        },
        {(row["gauge"], row["number"]): (_number(row, "inch"), _sourced(row, titles)["source"]) for row in gauges},
        titles,
    )  # fmt: skip
    known = set(found.words.values()) | {"none"}
    for use, colour in found.colours:
        if colour not in known:
            raise ValueError(f"{use}, {colour}: no word of the table of colour words stands for that colour")
    return found


def _meanings(rows: Rows, of: str, titles: Mapping[str, str]) -> dict[tuple[str, str], tuple[Meaning, ...]]:
    found: dict[tuple[str, str], tuple[Meaning, ...]] = {}
    for row in rows:
        key = (row["use"], row[of])
        if row["meaning"] and not row["use"].startswith(("dots-type", "dots-characteristic")):
            _number(row, "meaning")
        meaning = Meaning(row["meaning"], row["note"], _sourced(row, titles)["source"])
        found[key] = (*found.get(key, ()), meaning)
    return found


def _sourced(row: Mapping[str, str], titles: Mapping[str, str]) -> Mapping[str, str]:
    if row["source"] not in titles:
        raise ValueError(f"{dict(row)}: {row['source']!r} is no source of marking_sources.csv")
    return row


def _number(row: Mapping[str, str], column: str) -> Decimal:
    try:
        return Decimal(row[column])
    except InvalidOperation:
        raise ValueError(f"{dict(row)}: {row[column]!r} in {column} is no number") from None
