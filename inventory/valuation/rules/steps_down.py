"""What weak tubes, or duds, fetch beside working ones: the step down between them, from the types that have both.

Every such type tells how far the level of its weak ones lies below that of its working ones, surely or vaguely as each
of the two levels is known; how far the step itself differs from type to type is told by the evidence, with a usual
difference beside it (as in ``pooling``: R. DerSimonian and N. Laird 1986, the method of moments). The step is shown
where enough sales of enough types are compared and its 95 % interval lies below "equal" as a whole. Where it is shown,
weak ones of a type lean on its working ones, by the step, with the error of it; where it is not, they stand alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import Flags, Vector, Whole
from inventory.valuation.rules.factors import FEWEST_ROWS, Factor, between
from inventory.valuation.rules.pooling import USUAL_ROWS, Pooled, gathered
from inventory.valuation.rules.scatter import FAR, student
from inventory.valuation.rules.settled import SURE

FEWEST_TYPES = 2  # a step that one type shows is that of this type; our choice
USUAL_BETWEEN = 0.1  # the variance of the step between types, of logarithms: as of levels within a group; our choice


@dataclass(frozen=True, slots=True)
class StepDown:
    """``step``: a logarithm, with the variance of its error, and the variance ``between`` types; nan where none tells.

    ``compared``: rows of such ones of types that have both; ``types``: how many of these there are; ``free``: rows that
    the errors are as good as known from.
    """

    step: float
    variance: float
    between: float
    rows: int
    compared: int
    types: int

    @property
    def free(self) -> float:
        return self.types - 1 + USUAL_ROWS

    @property
    def error(self) -> float:
        """The standard error, as of a normal curve at 95 %."""
        return float(np.sqrt(self.variance) * student(np.array([self.free]), SURE)[0]) if self.types else np.inf

    @property
    def enough(self) -> bool:
        """Whether there are enough rows and types to compare."""
        return self.compared >= FEWEST_ROWS and self.types >= FEWEST_TYPES

    @property
    def shown(self) -> bool:
        """Whether the evidence shows that such ones fetch less."""
        return self.enough and self.step + SURE * self.error < 0

    def factor(self, word: str, against: str) -> Factor:
        """What is told of it. ``against``: the commonest of the working grades."""
        low, high = between(self.step, self.error) if self.types else (None, None)
        shown = self.shown if self.types else None
        times = float(np.exp(self.step)) if self.shown else None
        return Factor("grade", word, against, times, low, high, self.rows, self.types, shown, self._why())

    def _why(self) -> str:
        if self.shown:
            return ""
        if not self.types:
            lacks = "no type has both such ones and working ones"
        elif not self.enough:
            lacks = f"{self.compared} of at least {FEWEST_ROWS} rows, {self.types} of at least {FEWEST_TYPES} types"
            lacks += " that have both"
        else:
            lacks = "the types that have both do not show that such ones fetch less"
        return f"{lacks}: its own sales tell what such ones fetch, and nothing else does"


def step_down(
    levels: tuple[Vector, Vector], errors: tuple[Vector, Vector], counts: tuple[Whole, Whole]
) -> StepDown:  # fmt: skip
    """Of every type the level, its error variance and the rows, each of working ones and of such as are compared."""
    both = (counts[0] > 0) & (counts[1] > 0)
    rows, compared, types = int(counts[1].sum()), int(counts[1][both].sum()), int(both.sum())
    if not types:
        return StepDown(np.nan, np.nan, np.nan, rows, compared, types)
    apart, error = (levels[1] - levels[0])[both], (errors[0] + errors[1])[both]
    middle, far = float(np.median(apart)), FAR * np.sqrt(error + USUAL_BETWEEN)
    apart = np.clip(apart, middle - far, middle + far)  # odd prices are held in
    found = gathered(apart, error, np.zeros(types, dtype=np.int64), 1, USUAL_BETWEEN)
    variance, varies = float(found.variance[0]), found.between
    if types == 1:  # which tells nothing of how types differ
        variance, varies = variance + USUAL_BETWEEN, USUAL_BETWEEN
    return StepDown(float(found.level[0]), variance, varies, rows, compared, types)


def leaning(down: StepDown, level: Vector, error: Vector, working: Pooled, there: Flags) -> Pooled:
    """Levels of weak ones, or duds, leaning on those of working ones of the type (``there``) by the step shown.

    ``error``: of each level the variance, infinite where a type has no such row. What is neither is left as it is.
    """
    known = np.isfinite(error)
    own = np.where(known, down.between / (down.between + np.where(known, np.maximum(error, 1e-12), 1.0)), 0.0)
    own = np.where(there, own, known.astype(np.float64))
    rest = np.where(there, 1 - own, 0.0)
    parent, unsure = working.level + down.step, working.variance + down.variance
    found = own * np.where(known, level, 0.0) + rest * np.where(there, parent, 0.0)
    variance = rest * down.between + np.square(rest) * np.where(there, unsure, 0.0)
    variance = np.where(there, variance, error)
    lent: Mapping[str, Vector] = {name: rest * getattr(working, name) for name in ("own", "group", "kind")}
    return Pooled(found, variance, own + lent["own"], lent["group"], lent["kind"], working.between)
