"""The family sheet: a type beside its kin, figure by figure and pin by pin, with the judge's word on each."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from tubes.queries.handbook import handbook
from tubes.queries.judging import Court, court
from tubes.queries.marks import Knowledge
from tubes.queries.named import type_or_form_named
from tubes.rules.base_diagram import TESTED, Diagram, diagram_of, marked_against
from tubes.rules.basing import changes_in_words, same_socket
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import Handbook
from tubes.rules.judge_parts import Conditions, Judgement
from tubes.rules.kinds import caution_of
from tubes.rules.relations import SAME, Relative
from tubes.rules.side_by_side import Line, side_by_side
from tubes.rules.sources import FROM_MEMORY, FROM_MEMORY_TWICE, OWN_WORDS
from tubes.rules.text import fold_key

KIN_ON_A_SHEET = 5  # beside the type itself: what a sheet of paper across has room for
MOST_TYPED, LONGEST_TYPED = 40, 600


@dataclass(frozen=True)
class Column:
    """One type on the sheet. ``judgement``: on this one in the place of the first; None of the first itself.

    ``relation``: how it is kin, ``note``: what the tables say of the two; empty for a type that a reader named.
    ``pins_differ``: what lies on other pins than in the first, in words; None where that cannot be told.
    ``other_socket``: it is known to go into another socket than the first.
    """

    figures: TypeFigures
    relation: str
    note: str
    judgement: Judgement | None
    diagram: Diagram | None
    pins_differ: tuple[str, ...] | None
    cautions: tuple[str, ...]
    other_socket: bool = False

    @property
    def name(self) -> str:
        return self.figures.name


@dataclass(frozen=True)
class FamilySheet:
    """One sheet: the type, then as many others as it has room for.

    ``kin``: all that could stand on it, each with whether it was asked for; ``left_out``: asked for, and on another
    sheet; ``leads``: relatives that no checked row bears out. ``texts``: keys of the texts that the figures rest on.
    """

    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    kin: tuple[tuple[str, bool], ...]
    left_out: tuple[str, ...]
    leads: tuple[str, ...]
    sheet: int
    sheets: int
    texts: tuple[str, ...]
    same: tuple[str, ...]
    refused: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return self.columns[0].name

    def as_dict(self) -> dict[str, object]:
        """The sheet as JSON."""
        return {
            "type": self.name,
            "same": list(self.same),
            "sheet": self.sheet,
            "sheets": self.sheets,
            "columns": [self._column(at, one) for at, one in enumerate(self.columns)],
            "left_out": list(self.left_out),
            "leads": list(self.leads),
        }

    def _column(self, at: int, one: Column) -> dict[str, object]:
        judged = one.judgement
        return {
            "type": one.name,
            "relation": one.relation,
            "note": one.note,
            "verdict": judged.verdict if judged else None,
            "findings": [finding.as_dict() for finding in judged.findings] if judged else [],
            "consequences": list(judged.consequences) if judged else [],
            "cautions": list(one.cautions),
            "figures": {
                line.figure: {
                    "value": cell.value, "standing": cell.standing, "grade": cell.grade, "source": cell.source,
                    **({"of": cell.of} if cell.of else {}),
                }
                for line in self.lines for cell in (line.entries[at],)
            },
            "base": _base(one.diagram),
            "other_socket": one.other_socket,
            "pins_differ": None if one.pins_differ is None else list(one.pins_differ),
        }  # fmt: skip


def _base(diagram: Diagram | None) -> dict[str, object] | None:
    if diagram is None:
        return None
    return {
        "base": diagram.base.name, "title": diagram.base.title, "basing": diagram.code, "told": diagram.told,
        "spacing_true": diagram.base.true, "source": diagram.source,
        **({"not_shown": diagram.apart} if diagram.apart else {}), **({"of": diagram.of} if diagram.of else {}),
        "pins": {one.name: one.words for one in diagram.terminals if one.codes},
    }  # fmt: skip


def base_of(name: str, judges: Court | None = None) -> Diagram | None:
    """The base of a type as it is drawn from below; None where nothing of it is known (queries of ``court``)."""
    judges = judges or court()
    return _diagram(judges[name], judges, handbook())


def _diagram(figures: TypeFigures, judges: Court, book: Handbook) -> Diagram | None:
    """The base of a type; a form whose base is taken along a row has the pins that a handbook tells of the lender."""
    basing = judges.basings.get(figures.word("basing"))
    rows = book.told(figures, tables=judges.own.tables.get(figures.name)).rows
    drawn = diagram_of(figures, basing, rows)
    if drawn and drawn.told == TESTED and fold_key(figures.name) not in {fold_key(row.type) for row in rows}:
        return replace(drawn, of=rows[0].type)  # a row that forms by letters share
    base, lender = figures.words.get("base"), judges.figures.get(figures.taken_from)
    if basing or rows or lender is None or lender.lends or base is None or base.via != lender.name:
        return drawn
    theirs = _diagram(lender, judges, book)
    return replace(theirs, of=lender.name) if theirs and theirs.told == TESTED else drawn


def kin_on_sheet(name: str, known: Knowledge) -> dict[str, Relative]:
    """Kin of a type that a checked row or the letters of a form bear out, closest first; not the tube itself."""
    found: dict[str, Relative] = {}
    for one in known.kin.relatives(name):
        if one.relation != SAME and not one.unchecked and one.type != name:
            found.setdefault(one.type, one)
    return found


def named_in(text: str, known: Knowledge) -> tuple[list[str], list[str]]:
    """Types that a reader typed in, parted by semicolons, commas or lines; and what could not be read, with why."""
    found: dict[str, None] = {}
    refused: list[str] = []
    if len(text) > LONGEST_TYPED:
        return [], [f"That is {len(text)} letters; {LONGEST_TYPED} at most are read."]
    for part in filter(None, (one.strip() for one in text.replace("\n", ";").split(";"))):
        for name in _whole_or_parted(part, known):
            try:
                found[type_or_form_named(name, known)] = None
            except ValueError as fault:
                refused.append(str(fault))
    if len(found) > MOST_TYPED:
        refused.append(f"{len(found)} types were typed in; the first {MOST_TYPED} are taken.")
    return list(found)[:MOST_TYPED], refused


def _whole_or_parted(text: str, known: Knowledge) -> list[str]:
    """A name may hold a comma itself (RV2,4P700)."""
    if "," not in text:
        return [text]
    try:
        type_or_form_named(text, known)
    except ValueError:
        return [part.strip() for part in text.split(",") if part.strip()]
    return [text]


def family_sheet(name: str, chosen: Iterable[str] | None = None, typed: str = "", sheet: int = 1) -> FamilySheet:
    """A type beside its kin (the queries of ``court`` and of the handbook, whatever their number).

    ``chosen``: which kin; all of them, what fits best first, where it is None. ``typed``: further types as a reader
    writes them. ``sheet``: which sheet of paper, from 1; one that is not there is the nearest one. Raises ValueError
    for a type that is not known.
    """
    judges, book = court(), handbook()
    known = judges.known
    name = type_or_form_named(name, known)
    kin = kin_on_sheet(name, known)
    further, refused = named_in(typed, known)
    asked = list(kin) if chosen is None else [one for one in kin if one in set(chosen)]
    judged = {
        other: judges.judge(name, other, Conditions()) for other in dict.fromkeys([*asked, *further]) if other != name
    }
    order = sorted(judged, key=lambda other: (other not in further, judged[other].rank))
    sheets = max(1, -(-len(order) // KIN_ON_A_SHEET))
    sheet = min(max(sheet, 1), sheets)
    shown = order[(sheet - 1) * KIN_ON_A_SHEET : sheet * KIN_ON_A_SHEET]
    columns = _columns(name, shown, judged, kin, judges, book)
    lines = side_by_side([one.figures for one in columns])
    return FamilySheet(
        columns,
        lines,
        tuple((other, other in asked) for other in kin),
        tuple(other for other in order if other not in shown),
        tuple(dict.fromkeys(one.type for one in known.kin.relatives(name) if one.unchecked and one.type not in kin)),
        sheet,
        sheets,
        _texts(lines, columns),
        tuple(sorted(known.kin.same_as(name) - {name})),
        tuple(refused),
    )  # fmt: skip


def _columns(
    name: str, others: Sequence[str], judged: Mapping[str, Judgement], kin: Mapping[str, Relative], judges: Court,
    book: Handbook,
) -> tuple[Column, ...]:  # fmt: skip
    first = judges[name]
    drawn = _diagram(first, judges, book)
    columns = [Column(first, "", "", None, drawn, None, _cautions(first))]
    for other in others:
        figures, row = judges[other], kin.get(other)
        diagram = _diagram(figures, judges, book)
        columns.append(
            Column(
                figures,
                (row.form or row.relation) if row else "",
                row.said if row else "",
                judged[other],
                marked_against(diagram, drawn) if diagram and drawn else diagram,
                _pins_differ(first, figures, judges),
                _cautions(figures),
                _other_socket(first, figures, judges),
            )
        )
    return tuple(columns)


def _pins_differ(first: TypeFigures, other: TypeFigures, judges: Court) -> tuple[str, ...] | None:
    wanted, candidate = (judges.basings.get(one.word("basing")) for one in (first, other))
    if wanted is None or candidate is None:
        return None
    return tuple(changes_in_words(wanted, candidate))


def _other_socket(first: TypeFigures, other: TypeFigures, judges: Court) -> bool:
    bases = first.word("base"), other.word("base")
    drawn = [judges.basings.get(one.word("basing")) for one in (first, other)]
    return all(bases) and not same_socket(*bases, *drawn)


def _cautions(figures: TypeFigures) -> tuple[str, ...]:
    of_kind = caution_of(figures.word("kind"))
    told = (figures.caution, "" if of_kind in figures.caution else of_kind)  # of the tables' types it holds both
    return tuple(filter(None, told))


def _texts(lines: Iterable[Line], columns: Iterable[Column]) -> tuple[str, ...]:
    cells = [one.source for line in lines for one in line.entries]
    cells += [one.diagram.source for one in columns if one.diagram]
    keys = {key for cell in cells for key in cell.replace(FROM_MEMORY_TWICE, FROM_MEMORY).split(", ")}
    return tuple(sorted(keys - {"", *OWN_WORDS}))
