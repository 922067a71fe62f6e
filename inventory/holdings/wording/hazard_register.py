"""The register of hazards as page and paper show it: like things of one place on one line, what to do below."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.holdings.queries.hazard_register import Entry, Register, kinds_in
from inventory.holdings.rules.hazard_kinds import HazardKind
from inventory.holdings.rules.hazard_register import (
    BY_RULE,
    CONFIRMED,
    DISPROVED,
    NONE_FOUND,
    NOT_FOUND,
    PROPOSED,
    UNSEEN,
    Line,
)
from inventory.house.printed import Caution, Cell, Printed, Section, Words, table

LAW = "Local codes and licensed practice come first."
NO_PLACE = "In no place"
MOST_TAGS = 12  # named on one line
STANDS = {
    CONFIRMED: "confirmed", PROPOSED: "likely, not checked", BY_RULE: "by rule, not checked",
    DISPROVED: "disproved", NOT_FOUND: "checked, none found", UNSEEN: "nobody looked",
}  # fmt: skip
#: The class of the mark that each standing is shown by.
LOOKS = {
    CONFIRMED: "due",
    PROPOSED: "untested",
    BY_RULE: "untested",
    DISPROVED: "good",
    NOT_FOUND: "good",
    UNSEEN: "unknown",
}
INCOMPLETE = (
    "A register of hazards is no survey: what nobody looked at can hurt all the same. The marks are letters of our "
    "own; published signs are named by their numbers."
)


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """Like things of one place that a line is told of."""

    entries: tuple[Entry, ...]

    @property
    def first(self) -> Entry:
        return self.entries[0]

    @property
    def line(self) -> Line:
        return self.first.line

    @property
    def path(self) -> str:
        return self.first.path or NO_PLACE

    @property
    def what(self) -> str:
        """What it is, and how many."""
        many = len(self.entries)
        if self.check and many > 1:
            names = list(dict.fromkeys(one.what for one in self.entries))
            more = f" and {len(names) - MOST_TAGS} more" if len(names) > MOST_TAGS else ""
            return f"{many} things: {', '.join(names[:MOST_TAGS])}{more}"
        quantity = f", quantity {self.first.quantity}" if self.first.quantity and many == 1 else ""
        return f"{many} × {self.first.what}" if many > 1 else f"{self.first.what}{quantity}"

    @property
    def items(self) -> list[tuple[str, str]]:
        """(tag, way) of those that are named."""
        return [(one.item.tag, one.way) for one in self.entries[:MOST_TAGS]]

    @property
    def more(self) -> int:
        return max(0, len(self.entries) - MOST_TAGS)

    @property
    def tags(self) -> str:
        """Tags with the way each came there; as many as are named."""
        told = ", ".join(f"{tag} {way}".strip() for tag, way in self.items)
        return f"{told} and {self.more} more" if self.more else told

    @property
    def letters(self) -> str:
        return self.line.kind.letters if self.line.kind else ""

    @property
    def stands(self) -> str:
        return STANDS[self.line.standing]

    @property
    def look(self) -> str:
        """The class of its mark."""
        return LOOKS[self.line.standing]

    @property
    def looked(self) -> str:
        """Who looked, on which day."""
        by = f" by {self.line.by}" if self.line.by else ""
        return f"{self.line.on}{by}" if self.line.on else ""

    @property
    def figures(self) -> str:
        """What to ask the page of figures; empty where there is nothing to reckon."""
        return next((one.figures for one in self.line.grounds if one.figures), "")

    @property
    def check(self) -> int:
        """The number of the check that it tells of; 0 where it tells of none."""
        return self.line.look


def rows_of(entries: Iterable[Entry]) -> list[RegisterRow]:
    """Entries in their order, like things of one place drawn together; of one check all that stands in one place."""
    alike: dict[tuple[object, ...], list[Entry]] = {}
    for one in entries:
        line = one.line
        alike_in = () if line.look else (one.what, one.item.kind, one.quantity, line.on, line.by)
        key = (one.path, line.hazard, line.standing, line.look, line.reasons, line.against, *alike_in)
        alike.setdefault(key, []).append(one)
    return [RegisterRow(tuple(some)) for some in alike.values()]


def counted(register: Register) -> str:
    """At how many things anybody looked, in a sentence."""
    things = f"{register.things} thing{'s' if register.things != 1 else ''}"
    return f"Somebody looked at {register.looked} of {things} for hazards."


def register_printed(
    register: Register, entries: Sequence[Entry], asked: Sequence[str], people: Sequence[tuple[str, str, str]]
) -> Printed:
    """The register on paper. ``asked``: what it was narrowed by; ``people``: whom of the house to ask."""
    rows, sections = rows_of(entries), []
    for path in dict.fromkeys(row.path for row in rows):
        sections.append(Section(path, (table(COLUMNS, (_cells(row) for row in rows if row.path == path)),)))
    if not rows:
        sections.append(Section("Nothing", (Words(("No hazard is on record as it was asked for.",)),)))
    sections.append(Section("What to do, and whom to ask", (Words(tuple(map(told, kinds_in(entries))), points=True),)))
    if people:
        cells = [tuple(map(Cell, one)) for one in people]
        columns = (("Who", 0.28), ("How to reach", 0.38), ("About what", 0.34))
        sections.append(Section("Whom of the house to ask", (table(columns, cells),)))
    return Printed("Register of hazards", (*asked, counted(register)), tuple(sections), (Caution((LAW,), INCOMPLETE),))


COLUMNS = (("Hazard", 0.17), ("What", 0.31), ("How it stands", 0.19), ("Why", 0.33))


def told(kind: HazardKind) -> str:
    """What to do about a kind of hazard, its published signs and the texts behind it."""
    sign = f" Signs: {kind.sign}." if kind.sign else ""
    return f"{kind.letters} {kind.words}: {kind.to_do}{sign} ({kind.source})"


def _cells(row: RegisterRow) -> tuple[Cell, ...]:
    line = row.line
    name = "every kind" if line.hazard == NONE_FOUND else line.hazard
    letters = "" if row.letters in name.split() else row.letters  # "PCB oil" bears its letters already
    return (
        Cell(f"{letters} {name}".strip()), Cell(row.what, (row.tags,)),
        Cell(row.stands, tuple(filter(None, (row.looked,)))),
        Cell("", tuple(filter(None, (*line.reasons, line.against)))),
    )  # fmt: skip
