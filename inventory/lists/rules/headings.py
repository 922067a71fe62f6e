"""What each column of a list is, proposed from the words of its heading and from the cells below; the keeper decides.

The words themselves: ``heading_words``. Names of testers: from memory.
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from inventory.holdings.rules.readings import unit_of_heading
from inventory.lists.rules import fields as f
from inventory.lists.rules.column_content import guess_content
from inventory.lists.rules.heading_words import all_words
from inventory.lists.rules.value_columns import of_values

#: Signs and codes of money in a heading; a column under one holds prices, unless the word beside it tells of another.
_MONEY = re.compile(r"(?:us|ca|can|c|au|a|nz)?[$€£₽]|\b(?:eur|euros?|usd|gbp|chf|sfr|cad|aud|nzd|sek|nok|dkk|dem|dm)\b")
_OF_MONEY = frozenset({f.PRICE, f.ASKED, f.INSURED})
#: Beside money these words, which else tell of a reading or of nothing, tell what a thing is worth.
_WORTH = frozenset("wert value waarde valeur".split())
#: Beside money these, which else are days, tell what was paid: Bought (EUR).
_WHEN = frozenset({f.ACQUIRED_ON, f.DATED, f.TESTED_ON})
#: A heading that names a test and no more than its instrument: Pruefung QX-7.
_A_TEST = re.compile(r"\b(?:prufung|messung|test|essai|keuring)\b")
_FIGURES = re.compile(r"[0-9.,]{1,7}%?\??(?:(?: ?[/;&+] ?| )[0-9.,]{1,7}%?\??){0,12}(?: ?\(?min\.? ?[0-9.,]{1,7}\)?)?")
#: Headings that tell of a test, not whether what stands below is its verdict, its day or its instrument.
_TEST_WORDS = frozenset("tested gepruft getestet teste getest".split())


#: Letters with a stroke, which have no accent to take off.
_PLAIN = str.maketrans("łøđ", "lod")
#: Names of testers, and the form of their designations (TV-7, I-177): a column of figures under one holds readings.
_TESTERS = re.compile(
    r"(?<![^\W_])(?:avo|hickok|funke|taylor|metrix|triplett|jackson|b ?& ?k|eico|heathkit|weston|sencore|supreme|"
    r"neuberger|mullard|cartomatic|amplitrex|[a-zл]{1,4}-? ?[0-9]{1,4}[a-z]?(?:[-/][a-z0-9]{1,3})?)"
    r"(?![^\W_])"
)


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a column is taken for, and why. `sure` is False where words are silent or cells speak against them;
    `by_heading` where the words of the heading tell it.
    """

    index: int
    heading: str
    field: str
    reason: str
    sure: bool
    unit: str = ""
    by_heading: bool = False


def fold_heading(heading: str) -> str:
    """A heading without case, accents, dots and what stands in brackets."""
    text = unicodedata.normalize("NFKD", heading[:200].casefold().translate(_PLAIN)).casefold()
    text = "".join(char for char in text if not unicodedata.combining(char))
    text = re.sub(r"\([^()]*\)|\[[^\[\]]*\]", " ", text)
    return " ".join(re.sub(r"[.:;*_!?°\"']", " ", text).replace("d achat", "d'achat").split())


_FIELD_OF: dict[str, str] = {}
for _word, _field in all_words():
    _FIELD_OF.setdefault(fold_heading(_word), _field)


def propose(headings: Sequence[str], samples: Sequence[Sequence[str]] = ()) -> tuple[Proposal, ...]:
    """One proposal for each column; `samples` are some rows below the heading. Never raises."""
    width = max([len(headings), *(len(row) for row in samples[:200])])
    columns = [[row[i].strip() for row in samples[:200] if i < len(row) and row[i].strip()] for i in range(width)]
    names = [headings[i].strip() if i < len(headings) else "" for i in range(width)]
    found = [_one(index, names[index], columns[index]) for index in range(width)]
    found = of_values(found, [fold_heading(name) for name in names], columns)
    return _once(_dated(_tested(_least(found, samples), columns)))


def _one(index: int, heading: str, cells: Sequence[str]) -> Proposal:
    guess, share = guess_content(cells)
    field, sure = field_of_heading(heading)
    unit = unit_of_heading(heading)
    if field is None and not unit and _tells_of_figures(heading, cells):
        reason = f"the heading says {heading!r}, and the cells below are figures"
        return Proposal(index, heading, f.READING, reason, False, by_heading=True)
    if field is None and unit:
        field = f.READING
    if field not in _OF_MONEY and guess == f.PRICE and share >= 0.6 and _names_money(heading):
        reason = f"the heading says {heading!r}, and {share:.0%} of the cells look like prices"
        return Proposal(index, heading, f.PRICE, reason, False, by_heading=True)
    if field is not None:
        against = guess in _AGAINST.get(field, ()) and share >= 0.8 and len(cells) >= 3
        reason = f"the heading says {heading!r}"
        if against:
            reason += f", but the cells below look like {guess.replace('_', ' ')}"
        sure = sure and not against
        return Proposal(index, heading, field, reason, sure, unit if field == f.READING else "", True)
    if not cells:
        why = "no heading known and no cells" if heading else "no heading and no cells"
        return Proposal(index, heading, f.OTHER if heading else f.IGNORED, why, not heading)
    if guess and share >= 0.6:
        return Proposal(index, heading, guess, f"{share:.0%} of the cells look like {guess.replace('_', ' ')}", False)
    return Proposal(index, heading, f.OTHER, "neither heading nor cells tell: kept as text", False)


def field_of_heading(heading: str) -> tuple[str | None, bool]:
    """What the words of a heading tell, or None; and whether that is sure.

    Money in it tells that the column holds prices, but not which, where the word beside it is not known. A word that
    is known tells what the column is, money or not, though not for sure: Notes (paid EUR).
    """
    folded = fold_heading(heading)
    plain = _respelled(folded)
    field = _FIELD_OF.get(folded) or _FIELD_OF.get(plain)
    if _names_money(heading) and field not in _OF_MONEY:
        for rest in (" ".join(re.sub("[-/]", " ", _MONEY.sub(" ", text)).split()) for text in (folded, plain)):
            beside = f.INSURED if rest in _WORTH else _FIELD_OF.get(rest) or _by_part(rest)
            if beside in _OF_MONEY:
                return beside, True
            field = field or beside
        return (f.PRICE if field is None or field in _WHEN else field), False
    return field or _by_strokes(folded) or _by_part(folded) or _by_part(plain), True


def _by_strokes(folded: str) -> str | None:
    """The one field that every word of `Type / VT` tells; None where they tell two, or one is not known."""
    parts = [part.strip() for part in folded.split("/")]
    told = {_FIELD_OF.get(part) for part in parts}
    return told.pop() if len(parts) > 1 and len(told) == 1 else None


def _names_money(heading: str) -> bool:
    """Whether a sign or a code of money stands in a heading, in brackets or not."""
    return _MONEY.search(heading[:200].casefold()) is not None


def _respelled(folded: str) -> str:
    """A folded heading with hyphens as spaces and umlauts that were written out as the letter alone."""
    text = " ".join(folded.replace("-", " ").split())
    return text.replace("ae", "a").replace("oe", "o").replace("ue", "u")


def _tells_of_figures(heading: str, cells: Sequence[str]) -> bool:
    """Whether a heading names a test, and what stands below are figures."""
    figures = sum(_FIGURES.fullmatch(cell) is not None for cell in cells)
    folded = _respelled(fold_heading(heading))
    named = _A_TEST.search(folded) or _TESTERS.search(fold_heading(heading))
    return bool(cells) and figures >= 0.8 * len(cells) and named is not None


#: A field by words, and contents that speak against it.
_AGAINST = {
    f.QUANTITY: (f.MARK, f.PLACE, f.PRICE, f.DATED),
    f.PRICE: (f.MARK, f.DATED),
    f.MARK: (f.QUANTITY, f.PRICE, f.DATED),
    f.STATE: (f.DATED, f.INSTRUMENT),
    f.TESTED_ON: (f.MARK, f.PRICE, f.INSTRUMENT),
    f.INSTRUMENT: (f.DATED,),
    f.ACQUIRED_ON: (f.MARK, f.PRICE),
}
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


def _tested(found: list[Proposal], columns: Sequence[Sequence[str]]) -> list[Proposal]:
    """What stands under `Tested`: the day or the instrument where the cells tell, the day beside a column of states."""
    for at, one in enumerate(found):
        if fold_heading(one.heading) not in _TEST_WORDS and one.field != f.TESTED_ON:
            continue
        guess, share = guess_content(columns[at])
        looks = guess if share >= 0.6 else ""
        state = any(other.field == f.STATE for other in found if other.index != at)
        if looks == f.INSTRUMENT or (looks == f.DATED and one.field == f.STATE):
            field = f.INSTRUMENT if looks == f.INSTRUMENT else f.TESTED_ON
            reason = f"{share:.0%} of the cells look like {'instruments' if looks == f.INSTRUMENT else 'dates'}"
            found[at] = replace(one, field=field, reason=f"the heading says {one.heading!r}, {reason}", sure=False)
        elif one.field == f.STATE and state and looks != f.STATE:
            found[at] = replace(one, field=f.TESTED_ON, reason="tested, beside a column of states", sure=False)
    return found


def _least(found: list[Proposal], samples: Sequence[Sequence[str]]) -> list[Proposal]:
    """A column of figures without a heading, right of the readings and nowhere above them, may be their minimum."""
    for at, one in enumerate(found[1:], start=1):
        if one.heading or found[at - 1].field != f.READING:
            continue
        rows = [(row[at - 1].strip(), row[at].strip()) for row in samples[:200] if at < len(row) and row[at].strip()]
        pairs = [(float(reading), float(least)) for reading, least in rows if _plain(reading) and _plain(least)]
        if len(pairs) >= 3 and len(pairs) == len(rows) and all(0 < least < reading for reading, least in pairs):
            reason = "figures right of the readings, each below its reading"
            found[at] = replace(one, field=f.MINIMUM, reason=reason, sure=False)
    return found


def _plain(cell: str) -> bool:
    return re.fullmatch(r"[0-9]{1,6}(?:\.[0-9]{1,4})?", cell) is not None


def _dated(found: list[Proposal]) -> list[Proposal]:
    """A bare `Date` belongs to what it stands beside: where it came from, or what it tested."""
    for at, one in enumerate(found):
        if one.field != f.DATED:
            continue
        beside = {other.field for other in found[max(0, at - 2) : at + 3]}
        tests = (f.READING, f.MINIMUM, f.STATE, f.INSTRUMENT)
        for near, field in (((f.FROM, f.PRICE), f.ACQUIRED_ON), (tests, f.TESTED_ON)):
            if beside & set(near):
                named = next(name for name in near if name in beside).replace("_", " ")
                found[at] = replace(one, field=field, reason=f"a date beside {named}", sure=False)
                break
    return found


#: Scales of a reading alone; volts, watts and milliamperes stand over many a column.
_SCALES = frozenset({"mA/V", "mS", "micromho", "mmho", "uS", "%"})
_OF_READINGS = frozenset({f.READING, f.MINIMUM, f.INSTRUMENT})


def _names_a_reading(heading: str) -> bool:
    """Whether a heading tells of a test reading by itself, so that a second such column is one more instrument."""
    return (
        field_of_heading(heading)[0] == f.READING
        or unit_of_heading(heading) in _SCALES
        or _A_TEST.search(_respelled(fold_heading(heading))) is not None
        or (field_of_heading(heading)[0] is None and _TESTERS.search(fold_heading(heading)) is not None)
    )


_MANY = frozenset({f.DATED, f.OTHER, f.IGNORED, f.NOTE, f.CONDITION, f.PLACE, f.VALUE})


def _once(found: list[Proposal]) -> tuple[Proposal, ...]:
    """A field goes to one column, the sure one first; the others are kept as text."""
    taken: dict[str, int] = {}
    named = [one for one in found if one.field == f.READING and _names_a_reading(one.heading)]
    several = _OF_READINGS if len(named) > 1 else frozenset()
    for one in sorted(found, key=lambda p: (not p.sure, p.index)):
        if one.field in _MANY or (one.field in several and (one.field != f.READING or one in named)):
            continue
        if one.field in taken and f.PRICE not in taken and _names_money(one.heading):
            reason = f"{one.reason}, and column {taken[one.field] + 1} is {one.field.replace('_', ' ')} already"
            found[one.index] = replace(one, field=f.PRICE, reason=reason, sure=False, unit="")
            taken[f.PRICE] = one.index
        elif one.field in taken:
            reason = f"{one.reason}, but column {taken[one.field] + 1} is {one.field.replace('_', ' ')} already"
            found[one.index] = replace(one, field=f.OTHER, reason=reason, sure=False, unit="")
        else:
            taken[one.field] = one.index
    return tuple(found)
