"""What is valued, and its kin: a tube by its equivalents (types that are the same tube share their evidence), a set or
plug-in unit by its model, a book or coil set by its kind, or a mark that settles no type, by that very mark alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inventory.valuation.queries import naming
from inventory.valuation.queries.columns import What
from inventory.valuation.queries.sales import Of
from inventory.valuation.rules.evidence import CIVILIAN, MILITARY, Families
from inventory.valuation.rules.sale import Sale
from tubes.models import KEEPER, Rating
from tubes.queries import Knowledge
from tubes.queries.keeping import kept
from tubes.rules.relations import PLAIN_FORM, RUGGEDIZED, VARIANT
from tubes.rules.schemes import CIVIL
from tubes.rules.text import fold_key

TUBE, SET, UNIT, COMPANION, MARK = "tube", "set model", "unit model", "companion", "mark"
EQUIPMENT = (SET, UNIT, COMPANION)  # what goes by the market of sets, and not by that of tubes
#: What a row of evidence is of, by its column.
WHAT = {naming.TYPE: TUBE, naming.SET: SET, naming.UNIT: UNIT, naming.COMPANION: COMPANION}
OF_ONE_FAMILY = frozenset({RUGGEDIZED, PLAIN_FORM, VARIANT})


@dataclass(frozen=True, slots=True, order=True)
class Subject:
    """What is valued: ``what`` it is, and the name that stands for it and everything that is the same."""

    what: str
    name: str


def subject_of(sale: Sale | What, known: Knowledge) -> Subject | None:
    """What a sale is evidence for; None where its mark is empty or can mean several types."""
    if sale.type:
        return tube_subject(sale.type, known)
    for what, name in zip(EQUIPMENT, (sale.set_model, sale.unit_model, sale.companion), strict=True):
        if name:
            return Subject(what, name)
    return mark_subject(sale.designation, known)


def tube_subject(type_name: str, known: Knowledge) -> Subject:
    """A tube with everything that is the same tube, under the first of their names."""
    return Subject(TUBE, min(known.kin.same_as(type_name)))


def mark_subject(text: str, known: Knowledge) -> Subject | None:
    """A mark that settles no type, by the mark alone; None where it is empty or can mean several types."""
    key = fold_key(text)
    meanings = {reading.type for reading in known.read(text).readings if reading.type}
    return Subject(MARK, key) if key and len(meanings) < 2 else None


def evidence_for(subject: Subject, known: Knowledge) -> Of:
    """Where evidence for a subject can stand; among it also rows of other marks, where it is a mark."""
    if subject.what == TUBE:
        return Of(types={*known.kin.same_as(subject.name), subject.name})
    names = {subject.name}
    of = {SET: Of(set_models=names), UNIT: Of(unit_models=names), COMPANION: Of(companions=names)}
    return of.get(subject.what, Of(unsettled=True))


def mark_of(text: str, type_name: str, known: Knowledge) -> str:
    """``military`` or ``civilian`` by the scheme in which a text names a type; empty where that is not told."""
    if not type_name:
        return ""
    schemes = {one.scheme for one in known.read(text).readings if one.type == type_name}
    if schemes & CIVIL or text.strip().casefold() == type_name.casefold():
        return CIVILIAN
    return MILITARY if schemes else ""


def families_of(numbers: Mapping[Subject, int], known: Knowledge) -> tuple[Families, tuple[str, ...]]:
    """Groups and kinds of the subjects, with one more number for whatever has no evidence."""
    roots, kinds = family_names(known), _kinds()
    groups: dict[Subject, int] = {}
    words: dict[str, int] = {}
    group = np.zeros(len(numbers) + 1, dtype=np.int64)
    kind = np.zeros(len(numbers) + 1, dtype=np.int64)
    for subject, number in numbers.items():
        root = Subject(TUBE, roots.get(subject.name, subject.name)) if subject.what == TUBE else subject
        word = kinds.get(subject.name, "") if subject.what == TUBE else "" if subject.what == MARK else subject.what
        group[number] = groups.setdefault(root, len(groups))
        kind[number] = words.setdefault(word, len(words))
    group[-1], kind[-1] = len(groups), len(words)
    return Families(group, kind), (*words, "")


def family_names(known: Knowledge) -> Mapping[str, str]:
    """Of every type the name that its family goes by (one query)."""
    return kept("price families", lambda: _roots(known))


def _roots(known: Knowledge) -> dict[str, str]:
    """Of every type one name of its family: the same tube, its forms, ruggedized ones, checked variants."""
    above: dict[str, str] = {}

    def top(name: str) -> str:
        while (up := above.get(name, name)) != name:
            name = up
        return name

    names = sorted({*known.kin.classes, *known.types})
    for name in names:
        for other in known.kin.same_as(name):
            above[top(other)] = top(name)
        for one in known.kin.relatives(name):
            if one.relation in OF_ONE_FAMILY and not (one.unchecked or one.never):
                above[top(one.type)] = top(name)
    return {name: top(name) for name in names}


def _kinds() -> dict[str, str]:
    """The kind of tube of every type by name, the keeper's own word before the tables'."""
    rows = Rating.objects.exclude(kind="").values_list("type__name", "kind", "origin")
    return {name: kind for name, kind, _ in sorted(rows, key=lambda row: row[2] == KEEPER)}
