"""XLSX as ECMA-376 part 1 lays it down: sheets, shared texts, number formats, cells. Formulas are not worked out."""

from functools import partial

from inventory.lists.actions.sheet_parts import (
    CUT,
    DAMAGED,
    LONGEST_NAME,
    SHARED,
    Enough,
    Package,
    Part,
    Rows,
    Sheet,
    Words,
    attribute,
    cell_text,
)
from inventory.lists.rules.number_formats import NUMBER, PLAIN, NumberFormat, figure_shown, moment_of, number_format
from inventory.lists.rules.records import LONGEST_LINE, FileRefused, clean

BOOK, LINKS, STYLES = "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"
FURTHEST_ROW, FURTHEST_COLUMN = 1_048_576, 16_384


class _Book(Part):
    """The sheets by name, and from which day their days are counted."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[tuple[str, str]] = []
        self.since_1904 = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            title, key = attribute(attributes, "name"), attribute(attributes, "id")
            self.sheets.append((title[:LONGEST_NAME], key[:LONGEST_NAME]))
        elif name == "workbookPr":
            self.since_1904 = attributes.get("date1904", "") in ("1", "true", "on")


class _Links(Part):
    def __init__(self) -> None:
        super().__init__()
        self.targets: dict[str, str] = {}
        self.texts = self.styles = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name != "Relationship":
            return
        target = attributes.get("Target", "")
        path = (target[1:] if target.startswith("/") else f"xl/{target}")[:LONGEST_NAME]
        self.targets[attributes.get("Id", "")[:LONGEST_NAME]] = path
        kind = attributes.get("Type", "").rpartition("/")[2]
        if kind == "sharedStrings":
            self.texts = path
        elif kind == "styles":
            self.styles = path


class _Styles(Part):
    """What the format of each style says."""

    def __init__(self) -> None:
        super().__init__()
        self.codes: dict[int, str] = {}
        self.numbers: list[int] = []
        self._of_cells = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "numFmt":
            self.codes[_figure(attributes.get("numFmtId", ""))] = attributes.get("formatCode", "")[:LONGEST_NAME]
        elif name == "cellXfs":
            self._of_cells = True
        elif name == "xf" and self._of_cells:
            self.numbers.append(_figure(attributes.get("numFmtId", "")))

    def end(self, name: str, text: str) -> None:
        if name == "cellXfs":
            self._of_cells = False

    def formats(self) -> list[NumberFormat]:
        read = {number: number_format(number, self.codes) for number in set(self.numbers)}
        return [read[number] for number in self.numbers]


class _Texts(Part):
    """The texts that cells share; what is only how a text is spoken (``rPh``) is none of it."""

    keeps = frozenset({"t"})

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self._now = Words()
        self._size = self._spoken = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "rPh":
            self._spoken += 1

    def end(self, name: str, text: str) -> None:
        if name == "t" and not self._spoken:
            self._now.add(text)
            self._size += len(text)
        elif name == "rPh":
            self._spoken -= 1
        elif name == "si":
            self.texts.append(clean(self._now.joined()))
            self._now = Words()
            self._size += 8
        if self._size > SHARED:
            raise FileRefused("The texts of the spreadsheet are too long together; take the list in by parts.")


class _Cells(Part):
    """The cells of one sheet into ``rows``."""

    keeps = frozenset({"v", "f", "t"})

    def __init__(self, texts: list[str], formats: list[NumberFormat], since_1904: bool, only_whether: bool) -> None:
        super().__init__()
        self.rows = Rows()
        self.texts, self.formats, self.since_1904, self.only_whether = texts, formats, since_1904, only_whether
        self.row, self.column = 0, -1
        self.cells: list[tuple[int, str, bool, str]] = []
        self._kind = self._style = ""
        self._value: str | None = None
        self._formula, self._inside, self._spoken = "", Words(), 0
        self._row_length = 0  # characters

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "c":
            self._begin(attributes)
        elif name == "row":
            self.row = _figure(attributes.get("r", "")) or self.row + 1
            self.column = -1
            if self.row > FURTHEST_ROW:
                raise FileRefused(DAMAGED)
        elif name == "rPh":
            self._spoken += 1

    def _begin(self, attributes: dict[str, str]) -> None:
        place = attributes.get("r", "")
        letters = place.rstrip("0123456789")
        column = 0
        for letter in letters[:4].upper():
            column = column * 26 + ord(letter) - 64
        self.column = column - 1 if column else self.column + 1
        if not 0 <= self.column < FURTHEST_COLUMN:
            raise FileRefused(DAMAGED)
        self._kind, self._style = attributes.get("t", "n"), attributes.get("s", "")
        self._value, self._formula, self._inside = None, "", Words()

    def end(self, name: str, text: str) -> None:
        if name == "v":
            self._value = text
        elif name == "f":
            self._formula = text
        elif name == "t" and not self._spoken:
            self._inside.add(text)
        elif name == "rPh":
            self._spoken -= 1
        elif name == "c":
            self._take()
        elif name == "row" and self.cells:
            self.cells.sort(key=lambda cell: cell[0])
            self.rows.add(self.row, self.cells)
            self.cells, self._row_length = [], 0

    def _take(self) -> None:
        text, is_day, sign = self._said_by_it()
        if text:
            if self.only_whether:
                raise Enough
            if self._row_length > LONGEST_LINE:  # the row is not read, and need not be held
                text = text[:CUT]
            self._row_length += len(text)
            self.cells.append((self.column, text, is_day, sign))
            if len(self.cells) > FURTHEST_COLUMN:
                raise FileRefused(DAMAGED)

    def _said_by_it(self) -> tuple[str, bool, str]:
        """(text, whether it is a day, currency shown) of the cell that has just ended."""
        value = self._value
        if self._kind == "inlineStr":
            return clean(self._inside.joined()), False, ""
        if self._kind == "e":
            return clean(value or "#VALUE!"), False, ""
        if not value:
            return (clean(f"={self._formula}") if self._formula else ""), False, ""
        if self._kind == "s":
            at = int(value) if value.isascii() and value.isdecimal() else -1
            return (self.texts[at] if 0 <= at < len(self.texts) else ""), False, ""
        if self._kind == "b":
            return cell_text(value.strip() in ("1", "true")), False, ""
        if self._kind == "str":
            return clean(value), False, ""
        if self._kind == "d":
            return clean(value.replace("T00:00:00", "").replace("T", " ")), True, ""
        return self._of_number(value)

    def _of_number(self, value: str) -> tuple[str, bool, str]:
        try:
            figure = float(value)
        except ValueError:
            return clean(value), False, ""
        if figure != figure or figure in (float("inf"), float("-inf")):
            return clean(value), False, ""
        at = _figure(self._style)
        shape = self.formats[at] if at < len(self.formats) else PLAIN
        if shape.shape != NUMBER:
            moment = moment_of(figure, shape.shape, since_1904=self.since_1904)
            if moment is not None:
                return cell_text(moment), True, ""
        return figure_shown(figure, shape), False, shape.currency


def _figure(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else 0


def xlsx_sheets(package: Package) -> list[Sheet]:
    """Each sheet of a workbook. Raises FileRefused for a damaged one."""
    book, links, styles, texts = _Book(), _Links(), _Styles(), _Texts()
    book.read(package, BOOK)
    if LINKS in package.names:
        links.read(package, LINKS)
    for part, path in ((styles, links.styles or STYLES), (texts, links.texts)):
        if path in package.names:
            part.read(package, path)
    formats = styles.formats()
    silent: dict[str, bool] = {}  # by path: several sheets may name one part

    def read(path: str, only_whether: bool) -> Rows | None:
        cells = _Cells(texts.texts, formats, book.since_1904, only_whether)
        if only_whether:
            if path not in silent:
                cells.read(package, path)
                silent[path] = not cells.stopped
            return None if silent[path] else cells.rows
        cells.read(package, path)
        return cells.rows if cells.rows.filled else None

    paths = [(name, links.targets.get(key, "")) for name, key in book.sheets]
    return [(name, partial(read, path)) for name, path in paths if path in package.names]
