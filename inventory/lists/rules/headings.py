"""What each column of a list is, proposed from the words of its heading and from the cells below; the keeper decides.

The words themselves: ``heading_words``, read by ``heading_text``; what stands beside them: ``heading_neighbours``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.holdings.rules.readings import unit_of_heading
from inventory.lists.rules import fields as f
from inventory.lists.rules.column_content import guess_content
from inventory.lists.rules.heading_neighbours import beside_others
from inventory.lists.rules.heading_text import OF_MONEY, field_of_heading, fold_heading, names_money, tells_of_figures
from inventory.lists.rules.value_columns import of_values

__all__ = ["Proposal", "propose"]

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


def propose(headings: Sequence[str], samples: Sequence[Sequence[str]] = ()) -> tuple[Proposal, ...]:
    """One proposal for each column; `samples` are some rows below the heading. Never raises."""
    width = max([len(headings), *(len(row) for row in samples[:200])])
    columns = [[row[i].strip() for row in samples[:200] if i < len(row) and row[i].strip()] for i in range(width)]
    names = [headings[i].strip() if i < len(headings) else "" for i in range(width)]
    found = [_one(index, names[index], columns[index]) for index in range(width)]
    found = of_values(found, [fold_heading(name) for name in names], columns)
    return beside_others(found, samples, columns)


def _one(index: int, heading: str, cells: Sequence[str]) -> Proposal:
    guess, share = guess_content(cells)
    field, sure = field_of_heading(heading)
    unit = unit_of_heading(heading)
    if field is None and not unit and tells_of_figures(heading, cells):
        reason = f"the heading says {heading!r}, and the cells below are figures"
        return Proposal(index, heading, f.READING, reason, False, by_heading=True)
    if field is None and unit:
        field = f.READING
    if field not in OF_MONEY and guess == f.PRICE and share >= 0.6 and names_money(heading):
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
