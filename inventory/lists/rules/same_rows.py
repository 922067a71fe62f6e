"""Rows that say the same, whatever file they stand in: one digest for equal cells under equal headings.

A list that grew, or was saved again by another program, has the same rows in another form: the order of the columns,
spaces and case, ``3`` and ``3.0``, ``.50`` and ``0.5``, ``01432`` and ``1432``, ``$5.00`` and ``5``, a date as typed
and as a spreadsheet holds it. All of these are one here. Two rows that mean different things may thereby come out
equal; they are asked about, never left out in silence. How spreadsheets rewrite cells: common practice, no source.

A digest once written must come out again, so headings and months are folded here by words of its own: those that lists
are read by may grow.
"""

import re
import unicodedata
from collections.abc import Sequence
from decimal import Decimal
from hashlib import blake2b

from inventory.lists.rules import fields as f
from inventory.lists.rules.spreadsheet_cells import plain_cell
from inventory.lists.rules.stamps import STAMP

BYTES = 16
_FIGURE = re.compile(r"(?:us)?[$€£]?\s*([0-9]{0,15}(?:[.,][0-9]{1,6})?)\s*[$€£]?")
_PERCENT = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*%")
_DAY = re.compile(r"([0-9]{1,4})[-./ ]+([0-9]{1,2}|[^\W\d_]{3,9})\.?[-./ ]+([0-9]{1,4})(?: 00:00(?::00)?)?")

_MONTH_NAMES = (
    "jan january januar jänner janv janvier januari jän gennaio gen enero ene",
    "feb february februar févr février fév februari febbraio febrero",
    "mar march märz mrz mär mars maart mrt marzo",
    "apr april avr avril aprile abril abr",
    "may mai mei maggio mag mayo",
    "jun june juni juin giugno giu junio",
    "jul july juli juil juillet luglio lug julio",
    "aug august août augustus agosto ago",
    "sep sept september septembre settembre set septiembre setiembre",
    "oct october okt oktober octobre ottobre ott octubre",
    "nov november novembre noviembre",
    "dec december dez dezember déc décembre dicembre dic diciembre",
)
_MONTHS = {name: number for number, names in enumerate(_MONTH_NAMES, start=1) for name in names.split()}


def row_digest(keys: Sequence[str], cells: Sequence[str]) -> str:
    """The digest of a row (32 hexadecimal figures) by the names of its columns; "" for a row without a filled cell."""
    said = sorted(
        f"{_fold_heading(key) or key}\x1f{folded}"
        for key, cell in zip(keys, cells, strict=False)
        if key != STAMP and (folded := fold_cell(cell))
    )
    return blake2b("\x1e".join(said).encode("utf-8", "replace"), digest_size=BYTES).hexdigest() if said else ""


def core_digest(keys: Sequence[str], mapping: Sequence[str], cells: Sequence[str]) -> str:
    """The digest of a row without its readings and their minimum; ``mapping`` names the field of each column."""
    test = [at < len(mapping) and mapping[at] in (f.READING, f.MINIMUM) for at in range(len(cells))]
    return row_digest(keys, ["" if hidden else cell for hidden, cell in zip(test, cells, strict=True)])


def _fold_heading(heading: str) -> str:
    text = unicodedata.normalize("NFKD", heading[:200].casefold())
    text = "".join(char for char in text if not unicodedata.combining(char))
    text = re.sub(r"\([^()]*\)|\[[^\[\]]*\]", " ", text)
    return " ".join(re.sub(r"[.:;*_!°\"']", " ", text).replace("d achat", "d'achat").split())


def fold_cell(cell: str) -> str:
    """What a cell says, without what programs change when they save it."""
    text = " ".join(plain_cell(cell).split()).casefold()
    if not (text.isascii() and text.isalpha()):
        text = unicodedata.normalize("NFKC", text).replace("−", "-").replace("–", "-").lstrip("'")
    if not any("0" <= sign <= "9" for sign in text):
        return text
    if (found := _FIGURE.fullmatch(text)) and found[1]:
        return _figure(found[1])
    if found := _PERCENT.fullmatch(text):
        return _figure(str(Decimal(found[1].replace(",", ".")) / 100))
    return _day(text) or text


def _figure(text: str) -> str:
    return format(Decimal(text.replace(",", ".")).normalize(), "f")


def _day(text: str) -> str:
    """A date by its figures, whichever comes first; years by their last two."""
    found = _DAY.fullmatch(text)
    if not found:
        return ""
    middle = _MONTHS.get(found[2]) or (int(found[2]) if found[2].isdigit() else 0)
    if not middle:
        return ""
    return "day " + " ".join(map(str, sorted((int(found[1]) % 100, middle, int(found[3]) % 100))))
