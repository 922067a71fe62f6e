"""Made price evidence with known truth: the same kinds of rows as a keeper's, of invented types, in several shapes."""

from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.evidence import YEAR, Evidence, Families, Vector, evidence_of
from inventory.valuation.rules.words import GRADES

FIRST_DAY = 730_000  # in 1999; any would do
GRADE_TIMES = (1.6, 1.25, 1.0, 0.6, 0.35, 0.08)
VENUE_TIMES = (1.0, 1.5, 0.8, 0.9, 0.6)
_GRADE_SHARES = (0.12, 0.18, 0.35, 0.22, 0.09, 0.04)
_VENUE_SHARES = (0.5, 0.2, 0.1, 0.15, 0.05)


@dataclass(frozen=True, slots=True)
class Shape:
    """How evidence is made. ``tail``: the n-th commonest type has rows in proportion to ``n ** -tail``.

    ``scatter``: of one type, a standard deviation of logarithms; ``uneven``: how far that differs between types, too;
    ``freedom``: of Student's curve, normal if None; ``odd``: share of rows far off; ``premium``: of military marks, a
    step; ``own_steps``: how far the steps of grades differ between types; ``one_grade``: each type has one grade alone.
    """

    rows: int = 20_000
    types: int = 300
    tail: float = 1.0
    scatter: float = 0.35
    uneven: float = 0.3
    freedom: float | None = None
    odd: float = 0.03
    trend: float = 0.02
    waves: float = 0.0
    premium: float = 0.0
    own_steps: float = 0.0
    one_grade: bool = False
    steps: bool = True


SHAPES = {
    "usual": Shape(),
    "heavy tails": Shape(freedom=2.5),
    "many odd prices": Shape(odd=0.15),
    "very uneven": Shape(uneven=0.8),
    "few types": Shape(types=5),
    "mostly thin": Shape(rows=2_000, types=900, tail=0.3),
    "one type has most": Shape(tail=1.7),
    "each type in one grade": Shape(one_grade=True),
    "grades differ by type": Shape(own_steps=0.3),
    "prices in waves": Shape(waves=0.3, trend=0.0),
    "nothing but scatter": Shape(steps=False, odd=0.0, trend=0.0),
    "a handful": Shape(rows=120, types=20),
    "one row a type": Shape(rows=200, types=100_000, tail=0.0),
}


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """Evidence, its families, and of every row what such a tube truly fetches: the middle of all such sales."""

    evidence: Evidence
    families: Families
    truth: Vector


def made_evidence(shape: Shape, seed: int) -> Made:
    """Rows of invented types, two types to a group, groups of eight kinds."""
    random = np.random.default_rng(seed)
    rows, types = shape.rows, shape.types
    share = np.arange(1, types + 1) ** -shape.tail
    home = random.choice(types, rows, p=share / share.sum())
    group = np.arange(types) // 2
    kind = group % 8
    level = np.log(20) + random.normal(0, 0.6, 8)[kind] + random.normal(0, 1, types)[group]
    level += random.normal(0, 0.2, types)
    grade = random.integers(0, 6, types)[home] if shape.one_grade else random.choice(6, rows, p=_GRADE_SHARES)
    venue, mark = random.choice(5, rows, p=_VENUE_SHARES), random.integers(-1, 2, rows)
    day = FIRST_DAY + random.integers(0, 12 * 365, rows)
    years = (day - FIRST_DAY) / YEAR
    truth = level[home] + shape.trend * years + shape.waves * np.sin(years) + shape.premium * (mark == 1)
    if shape.steps:
        truth += np.log(GRADE_TIMES)[grade] + np.log(VENUE_TIMES)[venue]
    truth += random.normal(0, shape.own_steps, (types, len(GRADES)))[home, grade]
    scatter = shape.scatter * np.exp(random.normal(0, shape.uneven, types))[home]
    drawn = random.normal(size=rows) if shape.freedom is None else random.standard_t(shape.freedom, rows)
    odd = (random.random(rows) < shape.odd) * random.choice([-1, 1], rows) * random.uniform(1.5, 3, rows)
    prices = np.exp(truth + scatter * drawn + odd)
    evidence = evidence_of(home, prices, day, grades=grade, venues=venue, marks=mark)
    return Made(evidence, Families(group, kind), np.exp(truth))


def sized(shape: Shape, rows: int | None, types: int | None) -> Shape:
    """The shape with as many rows and types."""
    return replace(shape, rows=rows or shape.rows, types=types or shape.types)
