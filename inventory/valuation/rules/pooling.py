"""Few prices of a type lean on those of its relatives: levels partly pooled, group by group and kind by kind.

Three floors: a type scatters about its equivalence group, a group about its kind of tube, a kind about all. How much
is told by the evidence (empirical Bayes): the variance between the members of a floor is what they scatter beyond their
own errors (R. DerSimonian and N. Laird 1986, the method of moments, here over many families at once). A level with
error variance v leans on its family by v / (v + variance between). A handful of members tells that variance badly, and
what comes out as none would make them all alike: a usual one stands beside it, worth ``USUAL_ROWS`` members.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import Families, Vector, Whole

#: Variances between types of a group, groups of a kind, and kinds, of logarithms: a third, twice, twice the price is
#: nothing odd among such. Our choice; of hundreds of types next to nothing.
USUAL = (0.1, 0.5, 0.5)
USUAL_ROWS = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Pooled:
    """Of every type its level and the error variance of it, and where that comes from: shares that add up to 1.

    ``own``: its own rows; ``group``: the rest of its group; ``kind``: the rest of its kind; ``others``: other kinds.
    ``between``: variance between types of a group, groups of a kind, and kinds; nan where no family has two members.
    """

    level: Vector
    variance: Vector
    own: Vector
    group: Vector
    kind: Vector
    between: tuple[float, float, float]

    @property
    def others(self) -> Vector:
        """What other kinds give to the level."""
        return np.maximum(1 - self.own - self.group - self.kind, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Floor:
    """Means of families from their members with evidence, and the variance between members.

    ``part``: of every member its share in the mean of its family.
    """

    level: Vector
    variance: Vector
    between: float
    part: Vector


def not_pooled(level: Vector, variance: Vector) -> Pooled:
    """Every level by itself: where the scatter within types is not told, nothing says how far to lean."""
    nothing = np.zeros(len(level))
    return Pooled(level, variance, nothing + 1, nothing, nothing, (np.nan, np.nan, np.nan))


def pooled(level: Vector, variance: Vector, families: Families) -> Pooled:
    """Levels leaning on their families. ``variance``: of the error of each level, infinite where a type has no row."""
    group, kind = families.group, np.zeros(int(families.group.max(initial=-1)) + 1, dtype=np.int64)
    kind[group[::-1]] = families.kind[::-1]  # that of the first type of the group
    types = Floor(level, variance, np.nan, np.zeros(0))
    groups = _gathered(types, group, len(kind), USUAL[0])
    kinds = _gathered(groups, kind, int(kind.max(initial=-1)) + 1, USUAL[1])
    all_in_one = np.zeros(len(kinds.level), dtype=np.int64)
    top = _gathered(kinds, all_in_one, 1, USUAL[2])
    kinds_found, of_kind = _leaning(kinds, top, all_in_one)
    groups_found, of_group = _leaning(groups, kinds_found, kind)
    found, own = _leaning(types, groups_found, group)
    # what a floor hands on is in part what it was given: from the top down, the share of one's own in each mean
    of_kind = of_kind + (1 - of_kind) * top.part
    through_kind, through_group = (1 - of_group) * of_kind[kind], (1 - own) * of_group[group]
    of_the_kind = own + through_group + (1 - own) * through_kind[group]
    of_the_group = own + through_group + (1 - own) * (through_kind * kinds.part)[group]
    of_itself = own + (1 - own) * groups.part * (of_group + through_kind * kinds.part)[group]
    return Pooled(
        found.level, found.variance, of_itself, of_the_group - of_itself, of_the_kind - of_the_group,
        (groups.between, kinds.between, top.between),
    )  # fmt: skip


def gathered(level: Vector, variance: Vector, family: Whole, families: int, usual: float) -> Floor:
    """Means of families from members with the variance of the error of each, and the variance between members.

    ``usual``: the variance between that stands beside what they tell of it.
    """
    return _gathered(Floor(level, variance, np.nan, np.zeros(0)), family, families, usual)


def _gathered(members: Floor, family: Whole, families: int, usual: float) -> Floor:
    there = np.isfinite(members.variance)
    level, variance, family = members.level[there], np.maximum(members.variance[there], 1e-12), family[there]
    count = np.bincount(family, minlength=families)
    weight = 1 / variance
    total = np.bincount(family, weight, families)
    seen = count > 0
    mean = np.zeros(families)
    mean[seen] = np.bincount(family, weight * level, families)[seen] / total[seen]
    free = float((count - seen).sum())
    beyond = float((weight * (level - mean[family]) ** 2).sum()) - free
    room = float((total[seen] - np.bincount(family, weight**2, families)[seen] / total[seen]).sum())
    between = float("nan")
    if free:
        between = (free * max(beyond / room, 0.0) + USUAL_ROWS * usual) / (free + USUAL_ROWS)
    weight = 1 / (variance + np.nan_to_num(between))
    total = np.bincount(family, weight, families)
    mean[seen] = np.bincount(family, weight * level, families)[seen] / total[seen]
    error = np.full(families, np.inf)
    error[seen] = 1 / total[seen]
    part = np.zeros(len(there))
    part[there] = weight / total[family]
    return Floor(mean, error, between, part)


def _leaning(members: Floor, above: Floor, family: Whole) -> tuple[Floor, Vector]:
    """Members leaning on their families, and the share of each that is its own.

    ``above`` are the families as they were found; its variance between is that of its members. Where no family has two
    members, a member is its family.
    """
    parent, parent_variance = above.level[family], above.variance[family]
    if np.isnan(above.between):
        return Floor(parent, parent_variance, members.between, members.part), np.zeros(len(family))
    lost = np.isinf(members.variance)
    variance = np.where(lost, 1.0, np.maximum(members.variance, 1e-12))
    own = np.where(lost, 0.0, above.between / (above.between + variance))
    own = np.where(np.isinf(parent_variance), np.where(lost, 0.0, 1.0), own)
    rest = 1 - own
    found = own * members.level + rest * parent
    error = rest * above.between + rest**2 * np.where(np.isinf(parent_variance), 0.0, parent_variance)
    error = np.where(np.isinf(parent_variance), members.variance, error)
    return Floor(found, error, members.between, members.part), own
