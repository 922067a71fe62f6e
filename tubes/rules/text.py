"""What a person, a keyboard or a spreadsheet does to a number, undone for finding.

Nothing here decides whether two numbers are the same tube: keys made here are for finding only.
"""

import re
import unicodedata

_INVISIBLE = frozenset({"Cf", "Mn", "Me"})
# Dashes that Unicode does not file under dash punctuation: minus, hyphen bullet, modifier minus, box drawing.
_ODD_DASHES = frozenset("\u2212\u2043\u02d7\u2500\u2501\u30fc")
_DOTS = frozenset("\u00b7\u2022\u2219\u22c5\u2024")
# Composed signs that compatibility folding would turn into letters stuck to the number.
_TRADE_SIGNS = {ord(sign): " " for sign in "\u2122\u00ae\u00a9\u2120"}
_SLASHES = frozenset("\u2044\u2215\\")

_CYRILLIC_LOOK = "АВЕКМНОРСТХУІЅЈ"
_LATIN_LOOK = "ABEKMHOPCTXYISJ"
_GREEK_LOOK = "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ"
_GREEK_AS = "ABEZHIKMNOPTYX"
_TO_LATIN = str.maketrans(_CYRILLIC_LOOK + _GREEK_LOOK, _LATIN_LOOK + _GREEK_AS)
_TO_CYRILLIC = str.maketrans("ABEKMHOPCTXY", "АВЕКМНОРСТХУ")
SOVIET = {
    "А": "A", "Б": "B", "В": "V", "Г": "G", "Д": "D", "Е": "E", "Ё": "E", "Ж": "Zh", "З": "Z", "И": "I", "Й": "Y",
    "К": "K", "Л": "L", "М": "M", "Н": "N", "О": "O", "П": "P", "Р": "R", "С": "S", "Т": "T", "У": "U", "Ф": "F",
    "Х": "Kh", "Ц": "Ts", "Ч": "Ch", "Ш": "Sh", "Щ": "Shch", "Ы": "Y", "Э": "E", "Ю": "Yu", "Я": "Ya",
}  # fmt: skip
_CYRILLIC = re.compile("[\u0400-\u04ff]")
_LATIN = re.compile("[A-Za-z]")
_PIECE = re.compile(r"[^\W_]+")
_SEPARATORS = re.compile(r"[-\s/._]+")
_FIGURES = frozenset("0123456789")


def _plain_char(char: str) -> str:
    if char.isascii():
        return char if char.isprintable() and char != "\\" else "/" if char == "\\" else " "
    kind = unicodedata.category(char)
    if kind in _INVISIBLE:
        return ""
    if kind == "Pd" or char in _ODD_DASHES:
        return "-"
    if char in _DOTS:
        return "."
    if char in _SLASHES:
        return "/"
    if char.isspace() or kind in ("Cc", "Zs"):
        return " "
    return "'" if char in "\u2018\u2019\u02bc\u2032" else char


def light(text: str) -> str:
    """The text as written, with one kind of hyphen, one kind of space, and nothing that cannot be seen."""
    if text.isascii() and text.isprintable() and "\\" not in text:
        return " ".join(text.split())
    folded = unicodedata.normalize("NFKC", text.translate(_TRADE_SIGNS))
    return " ".join("".join(map(_plain_char, folded)).split())


# German military numbers write tenths of a volt behind a comma, which elsewhere parts two tubes: RV2,4P700.
_TENTHS = re.compile("(?<![A-Za-z0-9])(R[LVG] ?[0-9]{1,2}),(?=[0-9] ?[A-Z]{1,2} ?[0-9])", re.IGNORECASE)


def with_tenths(text: str) -> str:
    """The text with the comma inside a German military number as a point; length is kept."""
    return _TENTHS.sub(r"\1.", text) if "," in text else text


# NATO stock numbers: group 5960 (electron tubes), country 99 (United Kingdom), then 000 and the CV number in four
# figures; what other figures than 000 stand for no CV number is told by (common practice, no source).
_STOCK = re.compile(
    r"(?<![\w/-])(?:(5960)[-/ ]?(99)[-/ ]?([0-9]{3})[-/ ]?([0-9]{4})"
    r"|(5960)[-/ ]([0-9]{2})[-/ ]([0-9]{3})[-/ ]([0-9]{4})"
    r"|([0-9]{4})[- ]([0-9]{2})[- ]([0-9]{3})[- ]([0-9]{4}))(?![\w/-])"
)


def _stock_fault(match: re.Match[str]) -> str:
    """Why a NATO stock number holds no CV number; empty where it holds one."""
    group, country, more, last = filter(None, match.groups())
    of = [] if group == "5960" else [f"group {group}, and electron tubes are 5960"]
    of += [] if country == "99" else [f"country {country}, and the United Kingdom is 99"]
    if not of and (more != "000" or last == "0000"):
        of = [f"{more}-{last}, and a CV number stands behind 000"]
    return f"{match.group()} is a NATO stock number of {' and of '.join(of)}: it holds no CV number" if of else ""


def with_cv_numbers(text: str) -> str:
    """The text with a British NATO stock number of a tube as the CV number that it ends in."""
    return _STOCK.sub(lambda found: found.group() if _stock_fault(found) else f"CV{int(found[4])}", text)


def not_british(text: str) -> list[tuple[tuple[int, int], str]]:
    """Of each NATO stock number that holds no CV number: where it stands and why it is not read as one."""
    return [(match.span(), fault) for match in _STOCK.finditer(text) if (fault := _stock_fault(match))]


def fold_key(text: str) -> str:
    """Key for finding a designation, never for joining two.

    Compatibility folding, upper case; dashes, spaces, slashes, dots and underscores out; letter O read as figure 0.
    """
    if text.isascii() and text.isalnum():  # as nearly all are
        return text.upper().replace("O", "0")
    return _SEPARATORS.sub("", light(text).upper()).replace("O", "0")


def pieces(text: str) -> list[str]:
    """The unbroken runs of letters and figures of a text, upper case."""
    return [piece.upper() for piece in _PIECE.findall(light(text))]


def strict_key(parts: list[str]) -> str:
    """Like fold_key of the parts, but a break between two figures is kept as a hyphen.

    `VT-2 44` is two marks, not VT-244: figures are joined over a gap only where the published form has a gap too.
    """
    key = ""
    for part in parts:
        part = part.replace("O", "0")
        if key and part and key[-1] in _FIGURES and part[0] in _FIGURES:
            key += "-"
        key += part
    return key


def to_latin(word: str) -> str:
    """Cyrillic and Greek capitals that look like Latin ones, as the Latin ones; length is kept."""
    return word if word.isascii() else word.translate(_TO_LATIN)


def to_soviet(word: str) -> str | None:
    """A word in capitals that has Cyrillic letters, written in Latin letters (6Ж4П -> 6Zh4P), else None.

    Latin look-alikes among the Cyrillic letters count as Cyrillic: 6Н8C with a Latin C is 6Н8С.
    """
    if word.isascii() or not _CYRILLIC.search(word):
        return None
    return "".join(SOVIET.get(char, char) for char in word.translate(_TO_CYRILLIC))


def all_cyrillic(word: str) -> bool:
    """True when the word has Cyrillic letters and no Latin ones."""
    return _CYRILLIC.search(word) is not None and _LATIN.search(word) is None
