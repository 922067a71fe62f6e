"""Few prices of a type lean on those of its relatives: levels partly pooled, group by group and kind by kind.

Three floors: a type scatters about its equivalence group, a group about its kind of tube, a kind about all. How much
is told by the evidence (empirical Bayes): the variance between the members of a floor is what they scatter beyond their
own errors (R. DerSimonian and N. Laird 1986, the method of moments, here over many families at once). A level with
error variance v leans on its family by v / (v + variance between).
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import Families, Vector, Whole


@dataclass(frozen=True, slots=True, eq=False)
class Pooled:
    """Of every type its level and the error variance of it, and where that comes from: shares that add up to 1.

    ``between``: variance between types of a group, groups of a kind, and kinds; nan where no family has two members.
    """

    level: Vector
    variance: Vector
    own: Vector
    group: Vector
    between: tuple[float, float, float]

    @property
    def kind(self) -> Vector:
        """What the rest of the kind, and other kinds, give to the level."""
        return np.maximum(1 - self.own - self.group, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class _Floor:
    """Means of families from their members with evidence, and the variance between members."""

    level: Vector
    variance: Vector
    between: float


def not_pooled(level: Vector, variance: Vector) -> Pooled:
    """Every level by itself: where the scatter within types is not told, nothing says how far to lean."""
    nothing = np.zeros(len(level))
    return Pooled(level, variance, nothing + 1, nothing, (np.nan, np.nan, np.nan))


def pooled(level: Vector, variance: Vector, families: Families) -> Pooled:
    """Levels leaning on their families. ``variance``: of the error of each level, infinite where a type has no row."""
    group, kind = families.group, np.zeros(int(families.group.max(initial=-1)) + 1, dtype=np.int64)
    kind[group[::-1]] = families.kind[::-1]  # that of the first type of the group
    types = _Floor(level, variance, np.nan)
    groups = _gathered(types, group, len(kind))
    kinds = _gathered(groups, kind, int(kind.max(initial=-1)) + 1)
    top = _gathered(kinds, np.zeros(len(kinds.level), dtype=np.int64), 1)
    kinds_found = _leaning(kinds, top, np.zeros(len(kinds.level), dtype=np.int64))[0]
    groups_found, of_group = _leaning(groups, kinds_found, kind)
    found, own = _leaning(types, groups_found, group)
    through = (1 - own) * of_group[group]  # what the group gives, of which a part is the type's own again
    with np.errstate(invalid="ignore"):
        part = 1 / (variance + np.nan_to_num(groups.between)) * groups.variance[group]
    part = np.where(np.isfinite(part), np.minimum(part, 1.0), 0.0)
    return Pooled(
        found.level, found.variance, own + through * part, through * (1 - part),
        (groups.between, kinds.between, top.between),
    )  # fmt: skip


def _gathered(members: _Floor, family: Whole, families: int) -> _Floor:
    there = np.isfinite(members.variance)
    level, variance, family = members.level[there], np.maximum(members.variance[there], 1e-12), family[there]
    count = np.bincount(family, minlength=families)
    weight = 1 / variance
    total = np.bincount(family, weight, families)
    seen = count > 0
    mean = np.zeros(families)
    mean[seen] = np.bincount(family, weight * level, families)[seen] / total[seen]
    beyond = float((weight * (level - mean[family]) ** 2).sum()) - float((count - seen).sum())
    room = float((total[seen] - np.bincount(family, weight**2, families)[seen] / total[seen]).sum())
    between = max(beyond / room, 0.0) if (count > 1).any() else float("nan")
    weight = 1 / (variance + np.nan_to_num(between))
    total = np.bincount(family, weight, families)
    mean[seen] = np.bincount(family, weight * level, families)[seen] / total[seen]
    error = np.full(families, np.inf)
    error[seen] = 1 / total[seen]
    return _Floor(mean, error, between)


def _leaning(members: _Floor, above: _Floor, family: Whole) -> tuple[_Floor, Vector]:
    """Members leaning on their families, and the share of each that is its own.

    ``above`` are the families as they were found; its variance between is that of its members. Where no family has two
    members, a member is its family.
    """
    parent, parent_variance = above.level[family], above.variance[family]
    if np.isnan(above.between):
        return _Floor(parent, parent_variance, members.between), np.zeros(len(family))
    lost = np.isinf(members.variance)
    variance = np.where(lost, 1.0, np.maximum(members.variance, 1e-12))
    own = np.where(lost, 0.0, above.between / (above.between + variance))
    own = np.where(np.isinf(parent_variance), np.where(lost, 0.0, 1.0), own)
    rest = 1 - own
    found = own * members.level + rest * parent
    error = rest * above.between + rest**2 * np.where(np.isinf(parent_variance), 0.0, parent_variance)
    error = np.where(np.isinf(parent_variance), members.variance, error)
    return _Floor(found, error, members.between), own
