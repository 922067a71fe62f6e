"""Which sales of a type a figure rests on, by their grades, and why the others say nothing of it."""

from dataclasses import dataclass

from inventory.valuation.rules.estimate import Values
from inventory.valuation.rules.grade_order import WORKING
from inventory.valuation.rules.words import GRADES


@dataclass(frozen=True, slots=True)
class Rests:
    """``asked``: the place of the grade that is valued; ``grade``: the one that the figure is of: itself, or that of
    which sales tell what it fetches at most, or at least. ``refused``: it is not itself."""

    asked: int
    grade: int
    refused: bool

    @classmethod
    def of(cls, found: Values, asked: int) -> "Rests":
        """Of the first of the values."""
        if not found.refused[0]:
            return cls(asked, asked, False)
        return cls(asked, int(found.bound[0] if found.bounded[0] else found.floor[0]), True)

    def left_out(self, grade: int, *, leans: bool) -> str:
        """Why a sale of this grade, which counts, says nothing of the figure; empty where it does.

        ``leans``: the market of the grade that is asked for leans on that of working tubes.
        """
        if _market(grade) == _market(self.grade) or (leans and not self.refused and grade < WORKING):
            return ""
        if self.asked < WORKING:
            return "such ones are a market of their own, and say nothing of working ones"
        asked = GRADES[self.asked]
        if grade < WORKING and self.refused:
            return f"worse ones tell more closely what {asked} ones fetch at most"
        if grade < WORKING:
            return f"no step from working ones down to {asked} ones is shown, so it says nothing of those"
        if grade > self.asked:
            return f"a worse grade: it can only tell what {asked} ones fetch at least"
        return f"such ones are a market of their own, and say nothing of {asked} ones"


def _market(grade: int) -> int:
    return max(grade, WORKING - 1)
