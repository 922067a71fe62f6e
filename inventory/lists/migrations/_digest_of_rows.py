"""The digest of a row as it was when rows first got one: a step that was written never changes with the program.

Kept apart from ``lists.rules`` on purpose; a test says when the two are no longer one, for then rows of before need a
step that digests them anew.
"""

import re
import unicodedata
from decimal import Decimal
from hashlib import blake2b

BYTES = 16
STARTERS = "=+-@\t\r\n＝＋－＠"
FIGURE = re.compile(r"(?:us)?[$€£]?\s*([0-9]{0,15}(?:[.,][0-9]{1,6})?)\s*[$€£]?")
PERCENT = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*%")
DAY = re.compile(r"([0-9]{1,4})[-./ ]+([0-9]{1,2}|[^\W\d_]{3,9})\.?[-./ ]+([0-9]{1,4})(?: 00:00(?::00)?)?")
MONTH_NAMES = (
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
MONTHS = {name: number for number, names in enumerate(MONTH_NAMES, start=1) for name in names.split()}


def column_keys(headings, width):
    keys, seen = [], {}
    for index in range(max(width, len(headings))):
        heading = " ".join(headings[index].split())[:120] if index < len(headings) else ""
        key = heading or f"column {index + 1}"
        seen[key] = seen.get(key, 0) + 1
        keys.append(key if seen[key] == 1 else f"{key} #{seen[key]}")
    return keys


def row_digest(keys, cells):
    said = sorted(
        f"{fold_heading(key) or key}\x1f{folded}"
        for key, cell in zip(keys, cells, strict=False)
        if (folded := fold_cell(cell))
    )
    return blake2b("\x1e".join(said).encode("utf-8", "replace"), digest_size=BYTES).hexdigest() if said else ""


def fold_heading(heading):
    text = unicodedata.normalize("NFKD", heading[:200].casefold())
    text = "".join(char for char in text if not unicodedata.combining(char))
    text = re.sub(r"\([^()]*\)|\[[^\[\]]*\]", " ", text)
    return " ".join(re.sub(r"[.:;*_!°\"']", " ", text).replace("d achat", "d'achat").split())


def fold_cell(cell):
    text = " ".join(plain_cell(cell).split()).casefold()
    if not (text.isascii() and text.isalpha()):
        text = unicodedata.normalize("NFKC", text).replace("−", "-").replace("–", "-").lstrip("'")
    if not any("0" <= sign <= "9" for sign in text):
        return text
    if (found := FIGURE.fullmatch(text)) and found[1]:
        return figure(found[1])
    if found := PERCENT.fullmatch(text):
        return figure(str(Decimal(found[1].replace(",", ".")) / 100))
    return day(text) or text


def plain_cell(text):
    rest = text.lstrip("'")
    return text[1:] if text.startswith("'") and rest and rest[0] in STARTERS else text


def figure(text):
    return format(Decimal(text.replace(",", ".")).normalize(), "f")


def day(text):
    found = DAY.fullmatch(text)
    if not found:
        return ""
    middle = MONTHS.get(found[2]) or (int(found[2]) if found[2].isdigit() else 0)
    if not middle:
        return ""
    return "day " + " ".join(map(str, sorted((int(found[1]) % 100, middle, int(found[3]) % 100))))
