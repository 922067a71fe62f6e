"""Questions about the reference rows themselves: do they agree with each other?"""

from tubes.models import TubeType
from tubes.queries import knowledge
from tubes.queries.judging import rated_rows
from tubes.rules.graph import ONE_VALUE, FigureFact, Findings, MarkFact, check_rows


def check_reference() -> Findings:
    """Cycles and contradictions of the effective rows, each with the rows that make it (five queries)."""
    known = knowledge()
    marks = [MarkFact(m.type, m.scheme, m.designation, m.relation, m.note, m.source, m.origin) for m in known.marks]
    named = TubeType.objects.filter(own_mark=False).values_list("name", flat=True)
    return check_rows(marks, _figure_facts(), named)


def _figure_facts() -> list[FigureFact]:
    """The effective cells that one tube cannot have two of."""
    facts = {}
    for row, behind in rated_rows():
        for field in ONE_VALUE:
            if (value := getattr(row, field)) not in (None, ""):
                name, (_, texts) = row.type.name, behind.get(field, ([], []))
                facts[name, field] = FigureFact(name, field, value, ", ".join(texts), row.origin)
    return list(facts.values())
