"""The family sheet in words: what page and PDF alike show of it."""

from collections.abc import Iterator
from dataclasses import dataclass

from tubes.queries import knowledge
from tubes.queries.family import Column, FamilySheet
from tubes.rules.base_diagram import DRAWN, TESTED, Diagram
from tubes.rules.judge_parts import Judgement
from tubes.rules.side_by_side import DIFFERS, UNKNOWN, Entry
from tubes.rules.sources import DERIVED, grade_words, in_titles
from tubes.wording.base_diagrams import Drawing, drawing_of
from tubes.wording.template_filters import figure_label, rated

NOT_EQUAL, ELSEWHERE = "\u2260", "\u2020"
REASONS = 3  # of one candidate on the sheet at most; the others are named by their checks
CHANGES = 3  # of pins that are spelled out; the drawing shows them all
ROOM = 2_400  # letters of all reasons together that a sheet of paper has room for
SHORT = 80  # letters of what a change entails: longer texts give way first
USUAL, A_ROW = 4_000, 75  # letters that a sheet has room for in its usual size; what a row of figures takes of them
_NOTED = {
    "alt_heater_v": "heater, other connection, V",
    "alt_heater_a": "heater, other connection, A",
    "gc_umho": "conversion transconductance, micromho",
    "regulation_v": "running voltage, V",
    "regulation_ma": "running current, most mA",
    "start_v": "voltage to start, V",
}
LETTERS = "H heater, F filament, HM and FM its middle, K cathode, P plate, G1 to G5 grids, D diode plate, S shell"
SECOND = "\u2032 of the second section"
AS_TESTED_LETTERS = (
    "Small letters are pins as a handbook wires them for a test: h heater, k cathode and what is tied to it, g1 grid, "
    "g2 screen, a plate, d diode; what is tied together is not told apart."
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure as it is shown; ``sign``: that it differs, ``by``: by how much, in words where it is no number."""

    text: str
    sign: str = ""
    by: str = ""
    grade: str = ""
    elsewhere: bool = False

    @property
    def known(self) -> bool:
        return bool(self.grade)


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of all columns."""

    label: str
    cells: tuple[Cell, ...]
    differs: bool = False


@dataclass(frozen=True, slots=True)
class Reasons:
    """What the judge says of one type in the place of the first, and what is to be minded."""

    name: str
    verdict: str
    told: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """The whole sheet. ``drawings``: one a column, None where no base is known; ``titles``: of the texts behind it."""

    sheet: FamilySheet
    drawings: tuple[Drawing | None, ...]
    rows: tuple[Row, ...]
    reasons: tuple[Reasons, ...]
    legend: tuple[str, ...]
    titles: tuple[str, ...]

    @property
    def columns(self) -> tuple[tuple[Column, Drawing | None], ...]:
        return tuple(zip(self.sheet.columns, self.drawings, strict=True))

    @property
    def others(self) -> bool:
        """Whether anything stands beside the type."""
        return len(self.sheet.columns) > 1

    @property
    def dense(self) -> bool:
        """Whether there is more to say than a sheet has room for in its usual letters."""
        reasons = (text for one in self.reasons for text in (*one.told, *one.cautions))
        return sum(map(len, (*reasons, *self.legend, *self.titles))) + A_ROW * len(self.rows) > USUAL

    @property
    def left_out(self) -> str:
        """Which kin have no room here and on which sheet they stand; empty where all are here."""
        if not self.sheet.left_out:
            return ""
        names = ", ".join(self.sheet.left_out)
        return f"Sheet {self.sheet.sheet} of {self.sheet.sheets}. Left out here, on another sheet: {names}."


def shown(sheet: FamilySheet) -> Shown:
    """A family sheet ready to be shown."""
    drawings = tuple(drawing_of(one.diagram, one.name) if one.diagram else None for one in sheet.columns)
    rows = tuple(
        Row(_label(line.figure), tuple(_cell(line.figure, one) for one in line.entries), line.differs)
        for line in sheet.lines
    )
    reasons = next(found for found in _shorter_and_shorter(sheet) if found)
    titles = tuple(in_titles(key, knowledge().titles) for key in sheet.texts)
    return Shown(sheet, drawings, (*rows, _pins(sheet)), reasons, _legend(sheet), titles)


def _label(figure: str) -> str:
    return _NOTED.get(figure) or figure_label(figure)


def _cell(figure: str, one: Entry) -> Cell:
    if one.standing == UNKNOWN:
        return Cell(UNKNOWN)
    text = (
        rated(one.value, "").replace("-", " ")
        if isinstance(one.value, str) and figure != "base"
        else rated(one.value, "")
    )
    differs = one.standing == DIFFERS
    return Cell(text, NOT_EQUAL if differs else "", (one.by or DIFFERS) if differs else "", one.grade, bool(one.of))


def _pins(sheet: FamilySheet) -> Row:
    """What lies on other pins than in the first type."""
    first, *others = sheet.columns
    cells = [Cell(_told(first.diagram), grade="-"), *(_pins_of(one, first) for one in others)]
    return Row("pins", tuple(cells), any(cell.sign for cell in cells))


def _pins_of(one: Column, first: Column) -> Cell:
    if one.other_socket:
        return Cell("another socket", NOT_EQUAL, grade="-")
    if one.pins_differ is None:
        return Cell(f"{UNKNOWN}: {_told(one.diagram)}")
    if not one.pins_differ:
        return Cell(f"as {first.name}", grade="-")
    moved = [change.replace(" -> ", "\u00a0\u2192 ") for change in one.pins_differ]
    more = f"; {len(moved) - CHANGES} more, as drawn" if len(moved) > CHANGES + 1 else ""
    return Cell(f"{'; '.join(moved[: CHANGES if more else None])}{more}", NOT_EQUAL, grade="-")


def _told(diagram: Diagram | None) -> str:
    if diagram is None:
        return "no base known"
    return {DRAWN: "as drawn", TESTED: "as tested only"}.get(diagram.told, "electrodes not known")


def _shorter_and_shorter(sheet: FamilySheet) -> Iterator[tuple[Reasons, ...]]:
    """The reasons of all types, with fewer of each spelled out until the paper has room; nothing where it has not."""
    for most in range(REASONS, -1, -1):
        found = tuple(_reasons(one, most) for one in sheet.columns)
        letters = sum(len(text) for one in found for text in (*one.told, *one.cautions))
        yield found if letters <= ROOM or not most else ()


def _reasons(one: Column, most: int) -> Reasons:
    judged = one.judgement
    told: list[str] = []
    if judged is not None:
        told = [finding.text for finding in judged.telling[:most]]
        told += _rest(judged, most)
        entails = [text for text in judged.consequences if text.removeprefix("caution: ") not in one.cautions]
        told += [f"{text}." for text in entails if most == REASONS or len(text) < SHORT or text.startswith("caution: ")]
    return Reasons(one.name, judged.verdict if judged else "", tuple(told), one.cautions)


def _rest(judged: Judgement, most: int) -> list[str]:
    more = [f"{finding.check} ({finding.verdict})" for finding in judged.telling[most:]]
    told = [f"{'Also' if most else 'Against it'}: {', '.join(more)}."] if more else []
    return told + ([f"Not known: {', '.join(judged.unknown)}."] if judged.unknown else [])


def _legend(sheet: FamilySheet) -> tuple[str, ...]:
    """What the signs and grades mean, of those that stand on the sheet."""
    entries = [one for line in sheet.lines for one in line.entries]
    grades = {one.grade: grade_words(one.grade) for one in entries if one.grade}
    graded = "; ".join(f"{short}: {words}" for short, words in grades.items() if short != words)
    told = [f"{NOT_EQUAL} differs from {sheet.name}."] if len(sheet.columns) > 1 else []
    told.append("Figures that are known of none of them are left out.")
    if graded:
        told.append(f"Grades: {graded}{'; derived from other figures' if DERIVED in grades else ''}.")
    taken = {
        one.name: ", ".join(dict.fromkeys(line.entries[at].of for line in sheet.lines if line.entries[at].of))
        for at, one in enumerate(sheet.columns)
    }
    if any(taken.values()):
        from_where = "; ".join(f"{name} from {of}" for name, of in taken.items() if of)
        told.append(f"{ELSEWHERE} stands in the row of another type: {from_where}.")
    diagrams = [one.diagram for one in sheet.columns if one.diagram]
    if any(one.told == DRAWN for one in diagrams):
        second = any(code.endswith("b") for one in diagrams for pin in one.terminals for code in pin.codes)
        told.append(f"Bases: {LETTERS}{f', {SECOND}' if second else ''}.")
    if any(one.told == TESTED for one in diagrams):
        told.append(AS_TESTED_LETTERS)
    told += [f"{one.name}: {one.diagram.apart}" for one in sheet.columns if one.diagram and one.diagram.apart]
    loose = [one.name for one in sheet.columns if one.diagram and not one.diagram.base.true]
    if loose:
        told.append(f"Spacing of the pins not drawn true (broken outline): {', '.join(loose)}.")
    return tuple(told)
