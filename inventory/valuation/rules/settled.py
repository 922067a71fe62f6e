"""Steps mended until they settle, how sure each is, and which of them the rows show.

Errors are the larger of the plain ones and those clustered by type, since prices of one type may move together, each by
Student's curve for as many rows or types as it is known from.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.absorbed import HUBER, Absorbed, Matrix, Mended, Rows, across, mended, sums_within
from inventory.valuation.rules.evidence import Flags, Vector
from inventory.valuation.rules.location import NORMAL_MAD
from inventory.valuation.rules.scatter import student

ROUNDS = 30  # at most
SETTLED = 1e-4
SURE = 1.959963984540054  # standard errors, 95 %


def settled_steps(rows: Rows, filled: Absorbed, told: Flags) -> tuple[Mended, float]:
    """Steps mended until they settle, and the scatter within types."""
    design, count = filled.design, filled.count
    spread = np.sqrt(count / np.maximum(count - 1, 1))[rows.type]  # a row draws its level towards itself
    several = (count > 1)[rows.type]
    bare, level = rows.y.copy(), np.bincount(rows.type, rows.y, len(count)) / np.maximum(count, 1)
    found = mended(rows, filled, told, bare, np.zeros(design.width), level, np.inf)
    scale = 0.0
    for _ in range(ROUNDS):
        design.take_off(bare, rows, found.change)
        left = np.abs((bare - found.level[rows.type]) * spread)[several]
        scale = NORMAL_MAD * float(np.median(left)) if len(left) else 0.0
        found = mended(rows, filled, told, bare, found.steps, found.level, scale)
        if np.abs(found.change).max(initial=0.0) < SETTLED:
            break
    return found, scale


@dataclass(frozen=True, slots=True, eq=False)
class Errors:
    """Where standard errors come from: plain, and the squares of what each type pulls at the columns.

    ``wider``: of each of the two the square of Student's quantile over the normal one.
    """

    matrix: Matrix
    plain: float
    clustered: Matrix
    wider: tuple[float, float]

    def at(self, columns: Flags) -> Vector:
        """Standard errors of those columns where the others are left out, as of a normal curve; else infinite."""
        errors = np.full(len(columns), np.inf)
        if columns.any():
            here = np.ix_(columns, columns)
            inverse = np.linalg.inv(self.matrix[here])
            plain, clustered = np.diag(inverse) * self.plain, np.diag(inverse @ self.clustered[here] @ inverse)
            errors[columns] = np.sqrt(np.maximum(plain * self.wider[0], clustered * self.wider[1]))
        return errors


def errors_of(rows: Rows, filled: Absorbed, pulls: Vector, scale: float, parts: tuple[float, float]) -> Errors:
    """``parts``: what of all the evidence the rows are, for the plain errors and for those clustered by type."""
    count = filled.count
    inside = max(float((np.abs(pulls) < HUBER * scale).mean()) if scale else 1.0, 0.1)
    free = max(len(pulls) - int((count > 0).sum()) - filled.design.width, 1)
    own = np.bincount(rows.type, pulls, len(count)) / np.maximum(count, 1)
    scores = sums_within(rows, filled.design, pulls, len(count)) - filled.within * own[:, None]
    types = int((count > 1).sum())
    more = types / (types - 1) if types > 1 else 1.0
    plain = float(np.square(pulls).sum()) / free / inside**2
    # Huber's own correction for few rows to each step (Huber 1981, 7.6, from memory)
    few = 1 + (len(filled.matrix) + int((count > 0).sum())) / len(pulls) * (1 - inside) / inside
    wider = few**2 * student(np.array([free, max(types - 1, 1)]), SURE) ** 2
    clustered = across(scores, scores) * (more * parts[1] / inside**2)
    return Errors(filled.matrix, plain * parts[0], clustered, (float(wider[0]), float(wider[1])))


def shown_of(
    filled: Absorbed, settled: Mended, errors: Errors, told: Flags, enough: Flags
) -> tuple[Vector, Vector, Vector, Flags]:  # fmt: skip
    """Steps (0 where not shown), all of them as they were found, their errors, and which are shown.

    What is shown among all may not be any more where the others are left at equal: it is left at equal, too.
    """
    found, known = settled.steps.copy(), errors.at(told)
    shown = enough & (np.abs(found) > SURE * known)
    while True:
        final, left = filled.solved(settled.right, shown), errors.at(shown)
        found, known = np.where(shown, final, found), np.where(shown, left, known)
        lost = shown & (np.abs(final) <= SURE * left)
        if not lost.any():
            return final, found, known, shown
        shown &= ~lost
