"""What the words of one heading tell of its column: lower case, without accents and dots, in nine languages.

The words themselves: ``heading_words``. Names of testers: from memory.
"""

import re
import unicodedata
from collections.abc import Sequence

from inventory.holdings.rules.readings import TESTER, VALUE, read_reading, unit_of_heading
from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_words import all_words

#: Signs and codes of money in a heading; a column under one holds prices, unless the word beside it tells of another.
_MONEY = re.compile(r"(?:us|ca|can|c|au|a|nz)?[$€£₽]|\b(?:eur|euros?|usd|gbp|chf|sfr|cad|aud|nzd|sek|nok|dkk|dem|dm)\b")
OF_MONEY = frozenset({f.PRICE, f.ASKED, f.INSURED})
#: Beside money these words, which else tell of a reading or of nothing, tell what a thing is worth.
_WORTH = frozenset("wert value waarde valeur".split())
#: Beside money these, which else are days, tell what was paid: Bought (EUR).
_WHEN = frozenset({f.ACQUIRED_ON, f.DATED, f.TESTED_ON})
#: A heading that names a test and no more than its instrument: Pruefung QX-7.
_A_TEST = re.compile(r"\b(?:prufung|messung|test|essai|keuring)\b")
_FIGURES = re.compile(r"[0-9.,]{1,7}%?\??(?:(?: ?[/;&+] ?| )[0-9.,]{1,7}%?\??){0,12}(?: ?\(?min\.? ?[0-9.,]{1,7}\)?)?")
#: Headings that tell of a test, not whether what stands below is its verdict, its day or its instrument.
TEST_WORDS = frozenset("tested gepruft getestet teste getest".split())


#: Letters with a stroke, which have no accent to take off.
_PLAIN = str.maketrans("łøđ", "lod")
#: Names of testers: a column of figures under one holds readings.
TESTERS = re.compile(
    r"(?<![^\W_])(?:avo|hickok|funke|taylor|metrix|triplett|jackson|b ?& ?k|eico|heathkit|weston|sencore|supreme|"
    r"neuberger|mullard|cartomatic|amplitrex|[a-zл]{1,4}-[0-9]{1,4}[a-z]?(?:[-/][a-z0-9]{1,3})?)"
    r"(?![^\W_])"
)
#: Letters and figures as testers bear them (QX 7, QX7), and as running numbers are written: Lot 7, Inv 2019.
_MAY_BE_A_TESTER = re.compile(r"[a-zл]{1,4} ?[0-9]{1,4}[a-z]?(?:[-/][a-z0-9]{1,3})?")
_NO_TESTER = re.compile(
    r"(?<![^\W_])(?:(?:lots?|los|inv|row|rows?|no|nr|num|n|val|ek|vk|cat|kat|pos|bin|box|bag|page|seite|line|item|part|"
    r"teil|set|ser|rev|year|jahr|jan|feb|mar|apr|may|jun|jul|aug|sept?|oct|okt|nov|dec|dez|qty|pcs|stk|count|sum|"
    r"col|tab|list|ref|id|sku|vt|cv|eur|usd|gbp|dm|chf)[- ]?[0-9]{1,4}[a-z]?|"
    r"[^\W\d_]{1,6}[- ]?(?:19|20)[0-9]{2})(?![^\W_])"
)


def fold_heading(heading: str) -> str:
    """A heading without case, accents, dots and what stands in brackets."""
    text = unicodedata.normalize("NFKD", heading[:200].casefold().translate(_PLAIN)).casefold()
    text = "".join(char for char in text if not unicodedata.combining(char))
    text = re.sub(r"\([^()]*\)|\[[^\[\]]*\]", " ", text)
    return " ".join(re.sub(r"[.:;*_!?°\"']", " ", text).replace("d achat", "d'achat").split())


_FIELD_OF: dict[str, str] = {}
for _word, _field in all_words():
    _FIELD_OF.setdefault(fold_heading(_word), _field)


def field_of_heading(heading: str) -> tuple[str | None, bool]:
    """What the words of a heading tell, or None; and whether that is sure.

    Money in it tells that the column holds prices, but not which, where the word beside it is not known. A word that
    is known tells what the column is, money or not, though not for sure: Notes (paid EUR).
    """
    folded = fold_heading(heading)
    plain = _respelled(folded)
    field = _FIELD_OF.get(folded) or _FIELD_OF.get(plain)
    if names_money(heading) and field not in OF_MONEY:
        for rest in (" ".join(re.sub("[-/]", " ", _MONEY.sub(" ", text)).split()) for text in (folded, plain)):
            beside = f.INSURED if rest in _WORTH else _FIELD_OF.get(rest) or _by_part(rest)
            if beside in OF_MONEY:
                return beside, True
            field = field or beside
        return (f.PRICE if field is None or field in _WHEN else field), False
    field = field or (f.MARK if service_letters(heading) else None)
    return field or _by_strokes(folded) or _by_part(folded) or _by_part(plain), True


def _by_strokes(folded: str) -> str | None:
    """The one field that every word of `Type / VT` tells; None where they tell two, or one is not known."""
    parts = [part.strip() for part in folded.split("/")]
    told = {_FIELD_OF.get(part) for part in parts}
    return told.pop() if len(parts) > 1 and len(told) == 1 else None


def names_money(heading: str) -> bool:
    """Whether a sign or a code of money stands in a heading, in brackets or not."""
    return _MONEY.search(heading[:200].casefold()) is not None


def _respelled(folded: str) -> str:
    """A folded heading with hyphens as spaces and umlauts that were written out as the letter alone."""
    text = " ".join(folded.replace("-", " ").split())
    return text.replace("ae", "a").replace("oe", "o").replace("ue", "u")


def tells_of_figures(heading: str, cells: Sequence[str]) -> bool:
    """Whether a heading names a test, and what stands below are figures."""
    folded = _respelled(fold_heading(heading))
    named = _A_TEST.search(folded) is not None or _names_a_tester(heading)
    return named and _are_figures(cells)


def may_name_a_tester(heading: str, cells: Sequence[str]) -> bool:
    """Whether a heading is letters and figures as testers bear them, over figures: `QX 7`; never `Lot 7`."""
    folded = fold_heading(heading)
    form = _MAY_BE_A_TESTER.fullmatch(folded) is not None and not _NO_TESTER.search(folded)
    return form and _are_figures(cells)


def _are_figures(cells: Sequence[str]) -> bool:
    """Whether most cells are figures as readings are written: `62`, `61/58`, `62 (min 40)`, `52 over 32`."""
    read = sum(_FIGURES.fullmatch(cell) is not None or _is_reading(cell) for cell in cells)
    return bool(cells) and read >= 0.8 * len(cells)


def _is_reading(cell: str) -> bool:
    read = read_reading(cell)
    return read.kind in (VALUE, TESTER) and bool(read.value) and cell[:1].isdigit()


def _names_a_tester(heading: str) -> bool:
    folded = fold_heading(heading)
    return TESTERS.search(folded) is not None and not _NO_TESTER.search(folded)


_SERVICE = re.compile(r"(?P<letters>vt|cv)(?: ?(?:no|nr|nummer|number|num|#|№))?")


def service_letters(heading: str) -> str:
    """The letters of the numbers of services that a column holds, beside or instead of types: VT, CV; else ""."""
    found = _SERVICE.fullmatch(_respelled(fold_heading(heading)))
    return found["letters"].upper() if found else ""


_PARTS = (
    (r"\bserial|\bserien|\bs/n\b", f.SERIAL),
    (r"\b(?:test|tested|gepr\w*|getest\w*)\b.*\b(?:date|on|am|op|datum)\b", f.TESTED_ON),
    (r"\b(?:tester|prufgerat|lampemetre|buizentester)\b", f.INSTRUMENT),
    (
        r"\b(?:readings?|gm|s|emission|messwert|wert|mesures?|meting)\s*/\s*(?:min|reject|limit|mindest|grenz|seuil|afkeur)",
        f.READING,
    ),
    (r"\b(?:min|minimum|reject|mindest\w*|grenzwert\w*|seuil|afkeur\w*)\b", f.MINIMUM),
    (r"\b(?:asking|verkaufspreis|vraagprijs)\b", f.ASKED),
    (r"\b(?:ins|insured|insurance|versicher\w*|assur\w*|verzeker\w*)\b", f.INSURED),
    (r"\b(?:qty|quantity|anzahl|aantal|quantite)\b", f.QUANTITY),
    (r"\b(?:loc|location|lager\w*|shelf|drawer|box)\b", f.PLACE),
    (r"\b(?:price|preis|prix|prijs|paid|cost)\b", f.PRICE),
    (r"\b(?:remarks?|notes?|comments?|bemerk\w*|opmerk\w*|remarque\w*)\b", f.NOTE),
    (r"\b(?:tube|valve|rohre|rohren|lampe|buis)\b", f.MARK),
    (r"\b(?:manufacturer|hersteller|fabrikant|fabricant|maker)\b", f.MAKER),
    (
        r"\b(?:readings?|gm|em|emission|messwerte?|steilheit|transconductance|conductance|pente|steilheid|meetwaarde|meting)\b",
        f.READING,
    ),
)


_SAYS_MINIMUM = re.compile(
    r"\b(?:min|minimum|reject\w*|limit|mindest\w*|grenzwert\w*|seuil|afkeur\w*|ausschuss\w*|cut-?off|mini|minimal\w*)\b"
)


def says_minimum(heading: str) -> bool:
    """Whether a heading of readings speaks of a minimum too: Reading/Min, Gm (min)."""
    return _SAYS_MINIMUM.search(" ".join(heading[:200].casefold().split())) is not None


def _by_part(folded: str) -> str | None:
    return next((field for pattern, field in _PARTS if re.search(pattern, folded)), None)


#: Scales of a reading alone; volts, watts and milliamperes stand over many a column.
_SCALES = frozenset({"mA/V", "mS", "micromho", "mmho", "uS", "%"})


def names_a_reading(heading: str) -> bool:
    """Whether a heading tells of a test reading by itself, so that a second such column is one more instrument."""
    return (
        field_of_heading(heading)[0] == f.READING
        or unit_of_heading(heading) in _SCALES
        or _A_TEST.search(_respelled(fold_heading(heading))) is not None
        or (field_of_heading(heading)[0] is None and (_names_a_tester(heading) or may_name_a_tester(heading, ["0"])))
    )
