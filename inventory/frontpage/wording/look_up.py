"""The answer of a look-up as JSON, and as plain text for a terminal."""

from collections.abc import Iterator, Sequence
from typing import Any

from inventory.frontpage.queries import LookUp, Match, StandIn
from inventory.frontpage.wording.said import said_only
from inventory.holdings.models import Tube
from inventory.house.search import Finds
from inventory.lists.queries.uncounted import Uncounted
from tubes.queries.judging import figures_told
from tubes.rules.judge_parts import CARE, VERDICTS
from tubes.rules.relations import SAME, Relative

WITH_CARE = VERDICTS[CARE]
MARK_KEYS = ("scheme", "designation", "relation", "note", "source")


def look_up_as_json(found: LookUp, others: Sequence[Finds] = ()) -> dict[str, Any]:
    """The answer in plain lists and dictionaries; ``beginning`` marks the forms of a family number.

    ``others``: what the text finds that is no type.
    """
    answer = {"query": found.query, "matches": [match_as_json(match) for match in found.matches]}
    return answer | said_only(
        forms_not_told=found.more_forms,
        only_parts=list(found.parts),
        only_parts_words=found.part_words,
        marked_so=match_as_json(found.marked_so) if found.marked_so else None,
        begins_so_here=[{"type": name, "tubes": count} for name, count in found.begun_here],
        found=[finds_as_json(one) for one in others],
    )


def finds_as_json(one: Finds) -> dict[str, Any]:
    """What a text finds of one kind: how many, and the first rows."""
    rows = [
        {"name": row.name, "words": row.words, "url": row.url} | said_only(in_doubt=row.in_doubt) for row in one.rows
    ]
    return {"kind": one.kind, "count": one.count, "rows": rows}


def match_as_json(match: Match) -> dict[str, Any]:
    """One meaning of the text; keys beyond the first six are there only where they have something to say."""
    card, stock = match.card, match.stock
    return {
        "type": card.name,
        "designations": [{name: getattr(mark, name) for name in MARK_KEYS} for mark in card.marks],
        "relatives": [
            *({"type": name, "relation": "same", "note": ""} for name in card.same),
            *(_relative_as_json(relative) for relative in card.relatives),
        ],
        "owned": stock.as_dict() | stock.said.as_dict(),
        "places": [{"place": p, "good": good, "untested": untested} for p, good, untested in stock.places],
        "positions": [{"set_model": model, "position": mark} for model, mark in match.positions],
        **said_only(
            figures=figures_told(card.name),
            caution=card.hazard,
            not_found=stock.missed,
            uncounted=[one.as_dict() for one in match.uncounted],
            beginning=match.beginning,
            read_as="" if match.read_as == SAME else match.read_as,
            type_not_settled=not match.settled,
            positions_as_form=[
                {"set_model": p.set_model, "position": p.mark, "wants": p.wants, "form": p.form, "verdict": WITH_CARE}
                for p in match.as_form
            ],
            good_forms=[_form_as_json(one) for one in match.good_forms],
            taken_from=match.marked.taken_from if match.marked else "",
        ),
    }


def _relative_as_json(relative: Relative) -> dict[str, Any]:
    plain = {"type": relative.type, "relation": relative.relation, "note": relative.note}
    return plain | said_only(note_of=relative.told_of if relative.note else "")


def _form_as_json(one: StandIn) -> dict[str, Any]:
    """Good ones of another form; those of no settled type say so, and whose figures count for them."""
    plain = {"type": one.type, "form": one.form, "good": one.good, "verdict": one.verdict}
    marked = one.marked
    return (
        plain
        | one.said.as_dict()
        | said_only(note=one.note, type_not_settled=marked is not None, taken_from=marked.taken_from if marked else "")
    )


def tube_words(tube: Tube) -> list[str]:
    """What is said of a tube beside the keeper's word: what its last tests say against it, for what it is reserved."""
    return [*([tube.doubt.text] if tube.doubt else []), *(claim.text for claim in tube.item.claims)]


def look_up_lines(
    found: LookUp, others: Sequence[Finds], untyped: list[Tube], uncounted: list[Uncounted]
) -> Iterator[str]:
    """The answer line by line; ``untyped`` and ``uncounted``: what bears the text without a type."""
    here = untyped or uncounted or others
    if found.parts:
        yield f"{found.query}: {found.part_words}"
    elif not found.matches:
        yield f"{found.query}: not in the tables{'' if here else ' and not in the collection'}"
    if not found.matches:
        if found.begun_here:
            yield f"  here and begins so: {', '.join(f'{count} {name}' for name, count in found.begun_here)}"
        if found.like:
            more = f", and {found.more_like} more" if found.more_like else ""
            yield f"  begins alike: {', '.join(found.like)}{more}"
    for one in others:
        yield from (f"  {one.kind} {row.name}: {row.words}".rstrip(": ") for row in one.rows)
        if one.more:
            yield f"  and {one.more} more of that kind"
    for row in uncounted:
        yield f"  on a list, type not settled: {row.mark}, {row.told}"
    for tube in untyped:
        doubt = "".join(f", {words}" for words in tube_words(tube))
        yield f"  here, type not settled: {tube.tag} marked {tube.marked}, {tube.state}{doubt}, {tube.where}"
    for match in found.told:
        if match is next(iter(found.forms), None):
            yield f"{found.query} names a family; its forms:"
        yield from _match_lines(match)
    if found.more_forms:
        yield f"and {found.more_forms} more forms; ask for one of them by its whole number"


def _match_lines(match: Match) -> Iterator[str]:
    stock = match.stock
    counts = ", ".join(f"{count} {state}" for state, count in stock.as_dict().items())
    counts += f"; of the good ones {stock.said.told}".replace("of them ", "") if stock.said else ""
    yield f"{match.card.name}{'' if match.settled else ', a mark whose type is not settled'}: {counts}"
    if match.marked and match.marked.taken_from:
        yield f"  read by its letters: figures taken from {match.marked.taken_from}, with care"
    if match.read_words:
        yield f"  {match.read_words}"
    if match.card.hazard:
        yield f"  Caution: {match.card.hazard}"
    if stock.missed:
        yield f"  {stock.missed} not found at a stock-take"
    for one in match.uncounted:
        yield f"  {one.told}"
    for path, good, untested in stock.places:
        yield f"  in {path}: {good} good, {untested} untested"
    for mark in match.card.marks:
        note = f" ({mark.note})" if mark.note else ""
        yield f"  {mark.scheme} {mark.designation}: {mark.relation}{note} [{mark.source_told}]"
    for name in match.card.same:
        yield f"  related: {name}: same"
    for relative in match.card.relatives:
        note = f" ({relative.said})" if relative.note else ""
        yield f"  related: {relative.type}: {relative.relation}{note}"
    for model, position in match.positions:
        yield f"  wanted in {model} {position}"
    for place in match.as_form:
        yield f"  with care in {place.set_model} {place.mark}, which wants {place.wants} ({place.form})"
    for form in match.good_forms:
        yield f"  with care instead of it: {form.good} good {form.type} ({form.words}){form.said.behind}"
