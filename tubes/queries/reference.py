"""Questions about the reference rows themselves: do they agree with each other, with a handbook, with themselves?"""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from tubes.models import Rating, RecallDoubt, TubeType
from tubes.queries.gaps import own_otherwise
from tubes.queries.handbook import contradictions, handbook
from tubes.queries.judging import Court, court, rated_rows
from tubes.queries.marks import knowledge
from tubes.rules.explained import IN_DOUBT, OWN, RECALLED, UNNAMED, why_implausible
from tubes.rules.figures import Figure
from tubes.rules.graph import ONE_VALUE, FigureFact, Findings, MarkFact, check_rows
from tubes.rules.named_in_notes import Named, named_by_none
from tubes.rules.plausible import implausible
from tubes.rules.text import fold_key


def check_reference() -> Findings:
    """Cycles and contradictions of the effective rows, each with the rows that make it (five queries)."""
    known = knowledge()
    stated = [m for m in known.marks if m.pk]  # what a rule derives is no row
    marks = [MarkFact(m.type, m.scheme, m.designation, m.relation, m.note, m.source, m.origin) for m in stated]
    named = TubeType.objects.filter(own_mark=False).values_list("name", flat=True)
    return check_rows(marks, _figure_facts(), named)


def held_against() -> dict[str, Any]:
    """What the handbook contradicts, what breaks a rule of plausibility, and what was recalled otherwise.

    Nothing of it counts for or against a tube: it is for whoever looks a row up.
    """
    judges = court()
    rated = [one for name, one in judges.figures.items() if name not in judges.known.by_handbook]
    return {
        "handbook": contradictions(),
        "implausible": [
            one.as_dict() | {"why": why_implausible(one.types)} for one in implausible(rated, judges.known.kin)
        ],
        "recalled_otherwise": list(_recalled_otherwise(judges)),
        "own_otherwise": [one.as_dict() | {"why": OWN} for found in own_otherwise().values() for one in found],
        "names_no_row": [one.as_dict() | {"why": UNNAMED} for one in names_no_row()],
    }


def _recalled_otherwise(judges: Court) -> Iterator[dict[str, str]]:
    """What was recalled otherwise, with what the tables answer meanwhile, be it taken from a form of the type."""
    read_as = defaultdict(list)
    for mark in judges.known.marks:
        read_as[fold_key(mark.designation)].append(f"{mark.type} {mark.relation}")
    cells = ("about", "scheme", "field", "tables_say", "recalled_as")
    for one in RecallDoubt.objects.values(*cells):
        stands = one["tables_say"]
        if not stands and one["field"]:
            stands = _figure_of(judges, one["about"], one["field"])
        elif not stands:
            stands = ", ".join(dict.fromkeys(read_as[fold_key(one["about"])]))
        yield one | {"tables_say": stands, "why": IN_DOUBT if stands else RECALLED}


def _figure_of(judges: Court, name: str, field: str) -> str:
    figures = judges.figures.get(name)
    found = figures and (figures.numbers.get(field) or figures.words.get(field))
    if not found:
        return ""
    said = f"{found.value:g}" if isinstance(found, Figure) else found.value
    return f"{said} (taken from {found.via})" if found.via else said


def names_no_row() -> list[Named]:
    """Marks that a note names as kin and no row explains (two queries, and those of ``knowledge``)."""
    known = knowledge()
    marks = {fold_key(name) for name in (*known.types, *(m.designation for m in known.marks), *handbook().names)}
    notes = {(m.type, m.note) for m in known.marks if m.note}
    notes |= set(Rating.objects.exclude(note="").values_list("type__name", "note"))
    return sorted(set(named_by_none(notes, marks)), key=lambda one: (one.about, one.mark))


def doubts_of(names: frozenset[str]) -> list[RecallDoubt]:
    """What was recalled otherwise of the figures of these types, or of marks so written (one query)."""
    return list(RecallDoubt.objects.filter(about__in=names))


def _figure_facts() -> list[FigureFact]:
    """The effective cells that one tube cannot have two of."""
    facts = {}
    for row, behind in rated_rows():
        for field in ONE_VALUE:
            if (value := getattr(row, field)) not in (None, ""):
                name, (_, texts) = row.type.name, behind.get(field, ([], []))
                facts[name, field] = FigureFact(name, field, value, ", ".join(texts), row.origin)
    return list(facts.values())
