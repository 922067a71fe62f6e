"""Numbers of the keeper's own that were given before: a list gives none of them a second time in silence.

A number once used is not issued again (Spectrum, Deaccessioning and disposal; laws.md L10.1).
"""

from dataclasses import dataclass, field, replace
from datetime import date

from inventory.holdings.models import Fact
from inventory.holdings.queries.coming import never_there
from inventory.holdings.rules.facts import OWN_NUMBER
from inventory.holdings.rules.prices import ROW
from inventory.lists.actions.ask import Ask, Remarks, Stop
from inventory.lists.actions.places import fold
from inventory.lists.actions.questions import IT_IS_HERE, Answers
from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import RowReading

IT_LEFT = "it is the one that left: leave this row out"
WITHOUT = "without"


@dataclass
class GivenNumbers:
    """Which thing bears or bore which number, asked for when the first row with one comes."""

    _borne: dict[str, tuple[str, date | None]] | None = field(default=None)
    _here: dict[str, int] = field(default_factory=dict)  # rows of this list, by the number of their one thing

    def bearer(self, number: str) -> tuple[str, date | None] | None:
        """(tag, day on which it left) of the thing whose number it is. What a list said of a whole row is nobody's."""
        if self._borne is None:
            rows = Fact.objects.filter(about=OWN_NUMBER, struck="").exclude(per=ROW).order_by("-pk")
            rows = rows.exclude(never_there("item__"))
            told = rows.values_list("text", "item__tag", "item__gone_on")
            self._borne = {fold(text): (tag, gone) for text, tag, gone in told}
        return self._borne.get(fold(number))

    def give(self, row: int, found: RowReading, things: int) -> None:
        """The one thing of a row bears the number that its list calls the keeper's own."""
        own = found.register.get(f.OWN_NUMBER, "")
        if own and things == 1 and not found.own:
            self._here.setdefault(fold(own), row)

    def settle(self, row: int, found: RowReading, answers: Answers, remarks: Remarks) -> RowReading | Stop:
        """The row without a number that is another's; a question where the list calls it a number of the keeper's own.

        A running number of the list is another's only where that one has left: lists count their rows from 1.
        """
        own = found.register.get(f.OWN_NUMBER, "")
        text = own or ("" if found.own else found.number)
        first = self._here.get(fold(own)) if own and not found.own else None
        if first not in (None, row) and answers.get("own_number") != WITHOUT:
            another = [(WITHOUT, "another thing: write it without that number")]
            return Ask("own_number", f.OWN_NUMBER, f"{own} is the own number of row {first} too", another, IT_IS_HERE)
        if first not in (None, row):
            return _without(found)
        if not text or (there := self.bearer(text)) is None:
            return found
        tag, gone = there
        whose = f"{text} is the own number of {tag}{f', which left on {gone}' if gone else ''}"
        if own and answers.get("own_number") != WITHOUT:
            another = [(WITHOUT, "another thing: write it without that number")]
            return Ask("own_number", f.OWN_NUMBER, whose, another, IT_LEFT if gone else IT_IS_HERE)
        if not own and gone is None:
            return found
        if not own:
            remarks.add(f.NUMBER, text, f"{whose}: written without it", "give it another number")
        return _without(found)


def _without(found: RowReading) -> RowReading:
    return replace(found, number="", register={**found.register, f.OWN_NUMBER: ""})
