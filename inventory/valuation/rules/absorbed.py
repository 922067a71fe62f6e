"""Steps of words and time on logarithms of prices, the level of every type absorbed: sums over rows, small matrices.

Columns are dummies of grade, venue and mark against the commonest word of each, and the date in years where asked.
Odd prices are held in by Huber's curve (P. J. Huber 1964) in the way of modified residuals (Huber 1981, from memory):
what is left of a price beyond ``HUBER`` scatters counts as that far, and the steps are mended by what is left until
they settle.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.valuation.rules.evidence import ATTRIBUTES, YEAR, Evidence, Flags, Small, Vector, Whole

Matrix = NDArray[np.float64]
HUBER = 1.345  # 95 % efficient where the scatter is normal
SIZES = tuple(len(words) + 1 for _, words in ATTRIBUTES)  # place 0 is "not said"
COMBINATIONS = int(np.prod(SIZES))
PLACES = np.indices(SIZES).reshape(len(SIZES), -1)  # of every combination, the place of each of its words
CELLS = 2_000_000  # of a table of types and combinations that is made at once
_NOTHING = 1e-7  # of what a column holds, left of it when the others are taken out: told by nothing


def combination(grade: Small | Whole, venue: Small | Whole, mark: Small | Whole) -> NDArray[np.intp]:
    """One number for three words, each counted from -1 (not said)."""
    wide = (np.asarray(grade, dtype=np.int16) + 1) * SIZES[1] + (np.asarray(venue, dtype=np.int16) + 1)
    wide *= SIZES[2]
    wide += np.asarray(mark, dtype=np.int16) + 1
    return wide.astype(np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows that count: type, logarithm of the price, years since the first day, combination of words."""

    type: Whole
    y: Vector
    years: Vector
    combination: NDArray[np.intp]


def rows_of(evidence: Evidence, first: int) -> Rows:
    """The rows of evidence, all of which count; years are counted from the day ``first``."""
    words = combination(evidence.grade, evidence.venue, evidence.mark)
    return Rows(evidence.type, np.log(evidence.price), (evidence.day - first) / YEAR, words)


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """Columns: of every one its attribute and place; ``dummies`` has a row for every combination; then the time.

    ``counts``: rows of every column; ``references``: of every attribute the place of the word that others stand
    against; ``seen``: rows of every combination.
    """

    columns: tuple[tuple[int, int], ...]
    references: tuple[int, ...]
    dummies: Matrix
    counts: Whole
    seen: Whole
    with_time: bool

    @property
    def width(self) -> int:
        return len(self.columns) + self.with_time

    def offsets(self, steps: Vector) -> Vector:
        """Of every combination of words the sum of its steps."""
        return np.asarray(self.dummies @ steps[: len(self.columns)], dtype=np.float64)

    def take_off(self, bare: Vector, rows: Rows, steps: Vector) -> Vector:
        """``bare`` with the steps of words and time taken off, in place."""
        bare -= self.offsets(steps)[rows.combination]
        if self.with_time and steps[-1]:
            bare -= steps[-1] * rows.years
        return bare


def design_of(rows: Rows, *, with_time: bool) -> Design:
    """Columns for the words that occur; against the commonest that is said, if any is."""
    seen = np.bincount(rows.combination, minlength=COMBINATIONS)
    columns, references, counts = [], [], []
    for number, size in enumerate(SIZES):
        here = np.bincount(PLACES[number], seen, size).astype(np.int64)
        reference = int(np.argmax(here[1:])) + 1 if here[1:].any() else 0
        references.append(reference)
        for place in np.flatnonzero(here).tolist():
            if place != reference:
                columns.append((number, place))
                counts.append(int(here[place]))
    dummies = np.zeros((COMBINATIONS, len(columns)))
    for column, (number, place) in enumerate(columns):
        dummies[:, column] = PLACES[number] == place
    whole = np.array([*counts, *([len(rows.y)] if with_time else [])], dtype=np.int64)
    return Design(tuple(columns), tuple(references), dummies, whole, seen, with_time)


@dataclass(frozen=True, slots=True, eq=False)
class Absorbed:
    """The design as the rows fill it. ``matrix``: columns across columns with the levels of types taken out.

    ``within[t, c]``: the sum of column c over the rows of type t, ``count[t]`` of them.
    """

    design: Design
    matrix: Matrix
    within: Matrix
    count: Whole

    def told(self) -> Flags:
        """Which columns the rows tell: something is left of each when those told before it are taken out."""
        told = np.zeros(len(self.matrix), dtype=np.bool_)
        least = _NOTHING * max(float(self.count.sum()), 1.0)
        for column in np.argsort(-np.diag(self.matrix), kind="stable"):
            own = float(self.matrix[column, column])
            if told.any():
                across = self.matrix[told, column]
                own -= across @ np.linalg.solve(self.matrix[np.ix_(told, told)], across)
            told[column] = own > max(least, _NOTHING * self.matrix[column, column])
        return told

    def solved(self, right: Vector, columns: Flags) -> Vector:
        """Steps of those columns, the others at 0."""
        steps = np.zeros(len(right))
        if columns.any():
            steps[columns] = np.linalg.solve(self.matrix[np.ix_(columns, columns)], right[columns])
        return steps

    def compared(self) -> Whole:
        """Of every column how many types have rows in it and beside it."""
        shared = (self.within > 0) & (self.within < self.count[:, None])
        return np.asarray(shared.sum(axis=0), dtype=np.int64)


def absorbed(rows: Rows, design: Design, count: Whole) -> Absorbed:
    """The columns of the rows, once; ``count``: rows of every type."""
    within = sums_within(rows, design, None, len(count))
    words, dummies = len(design.columns), design.dummies
    matrix = np.zeros((design.width, design.width))
    matrix[:words, :words] = dummies.T @ (design.seen[:, None] * dummies)
    if design.with_time:
        timed = np.bincount(rows.combination, rows.years, COMBINATIONS)
        matrix[:words, -1] = matrix[-1, :words] = dummies.T @ timed
        matrix[-1, -1] = np.einsum("i,i->", rows.years, rows.years)
    share = within / np.maximum(count, 1)[:, None]
    return Absorbed(design, matrix - across(within, share), within, count)


def across(one: Matrix, other: Matrix) -> Matrix:
    """``one.T @ other`` of long, thin tables: threads of linear algebra wait for one another where cores are busy."""
    return np.asarray(np.einsum("tp,tq->pq", one, other))


def sums_within(rows: Rows, design: Design, weights: Vector | None, types: int) -> Matrix:
    """Of every type the sum of each column, times the weights where there are."""
    table = np.zeros((types, design.width))
    for places, size, dummies in _words(rows, design, types):
        at = rows.type * size
        at += places
        cells = np.bincount(at, weights, types * size).reshape(types, size).astype(np.float64, copy=False)
        table[:, : len(design.columns)] += np.einsum("tc,pc->tp", cells, np.ascontiguousarray(dummies.T))
    if design.with_time:
        table[:, -1] = np.bincount(rows.type, rows.years if weights is None else weights * rows.years, types)
    return table


def _words(rows: Rows, design: Design, types: int) -> Iterator[tuple[NDArray[np.intp], int, Matrix]]:
    """The words of every row: all at once, or where that makes too large a table, grade, venue and mark one by one."""
    if types * COMBINATIONS <= CELLS:
        yield rows.combination, COMBINATIONS, design.dummies
        return
    for number, size in enumerate(SIZES):
        dummies = np.zeros((size, len(design.columns)))
        for column, (attribute, place) in enumerate(design.columns):
            if attribute == number:
                dummies[place, column] = 1
        yield PLACES[number][rows.combination], size, dummies


@dataclass(frozen=True, slots=True, eq=False)
class Mended:
    """Steps and levels, mended once. ``change``: by how much the steps were.

    ``pulls``: what was left of each row, held in; ``right``: what the steps solve, before any column is left out.
    """

    steps: Vector
    level: Vector
    change: Vector
    pulls: Vector
    right: Vector


def mended(
    rows: Rows, filled: Absorbed, told: Flags, bare: Vector, steps: Vector, level: Vector, scale: float
) -> Mended:
    """Steps mended by what is left of the rows (``bare``: with ``steps`` off). ``scale``: the scatter within types."""
    design, count = filled.design, np.maximum(filled.count, 1)
    pulls = bare - level[rows.type]
    if scale < np.inf:
        np.clip(pulls, -HUBER * scale, HUBER * scale, out=pulls)
    own = np.bincount(rows.type, pulls, len(count)) / count
    right = np.zeros(design.width)
    right[: len(design.columns)] = design.dummies.T @ np.bincount(rows.combination, pulls, COMBINATIONS)
    if design.with_time:
        right[-1] = np.einsum("i,i->", pulls, rows.years)
    right -= np.einsum("tp,t->p", filled.within, own)
    change = filled.solved(right, told)
    right += filled.matrix @ steps
    return Mended(
        steps + change, level + own - np.einsum("tp,p->t", filled.within, change) / count, change, pulls, right
    )
