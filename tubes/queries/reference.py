"""Questions about the reference rows themselves: do they agree with each other, with a handbook, with themselves?"""

from typing import Any

from tubes.models import RecallDoubt, TubeType
from tubes.queries import knowledge
from tubes.queries.gaps import own_otherwise
from tubes.queries.handbook import contradictions
from tubes.queries.judging import court, rated_rows
from tubes.rules.graph import ONE_VALUE, FigureFact, Findings, MarkFact, check_rows
from tubes.rules.plausible import implausible


def check_reference() -> Findings:
    """Cycles and contradictions of the effective rows, each with the rows that make it (five queries)."""
    known = knowledge()
    marks = [MarkFact(m.type, m.scheme, m.designation, m.relation, m.note, m.source, m.origin) for m in known.marks]
    named = TubeType.objects.filter(own_mark=False).values_list("name", flat=True)
    return check_rows(marks, _figure_facts(), named)


def held_against() -> dict[str, Any]:
    """What the handbook contradicts, what breaks a rule of plausibility, and what was recalled otherwise.

    Nothing of it counts for or against a tube: it is for whoever looks a row up.
    """
    judges = court()
    cells = ("about", "scheme", "field", "tables_say", "recalled_as")
    return {
        "handbook": contradictions(),
        "implausible": [one.as_dict() for one in implausible(judges.figures.values(), judges.known.kin)],
        "own_otherwise": [one.as_dict() for found in own_otherwise().values() for one in found],
        "recalled_otherwise": list(RecallDoubt.objects.values(*cells)),
    }


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
