"""What is insured beside what it is worth: what is under-insured, over-insured, and what nobody can compare.

One thing's surplus makes up for no other thing's lack, and an insured sum of what has no evidence for none at all:
what was insured singly is paid singly (common practice, no source).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Valued:
    """Something with its value and what it is insured for; None where it is not known, not insured."""

    value: Decimal | None
    insured: Decimal | None

    @property
    def gap(self) -> Decimal | None:
        """What it is insured for beyond its value; below zero it is under-insured. None where either is not known."""
        return None if self.value is None or self.insured is None else self.insured - self.value


@dataclass(frozen=True)
class Cover:
    """The cover of several things. What is not insured is under-insured by its whole value."""

    every: tuple[Valued, ...]

    @property
    def gaps(self) -> list[Decimal]:
        return [gap for one in self.every if (gap := one.gap) is not None]

    @cached_property
    def not_insured(self) -> Decimal:
        """The value of what is not insured singly."""
        return sum((one.value for one in self.every if one.value is not None and one.insured is None), NOTHING)

    @cached_property
    def under(self) -> Decimal:
        """What is missing in all, ``not_insured`` among it."""
        return self.not_insured + sum((-gap for gap in self.gaps if gap < 0), NOTHING)

    @cached_property
    def over(self) -> Decimal:
        """What things are insured for beyond their value."""
        return sum((gap for gap in self.gaps if gap > 0), NOTHING)

    @cached_property
    def not_compared(self) -> list[Decimal]:
        """The insured sums of what has no evidence."""
        return [one.insured for one in self.every if one.value is None and one.insured is not None]

    @property
    def compared(self) -> bool:
        """Whether anything has a value and an insured sum."""
        return bool(self.gaps)


def joined(every: Iterable[Cover]) -> Cover:
    return Cover(tuple(one for cover in every for one in cover.every))


def by_tag(rows: Iterable[tuple[str, str, Decimal | None, Decimal | None]]) -> dict[str, Valued]:
    """Rows of (tag, tag of the whole in whose value it is contained or empty, value, insured). By tag the value of what
    is contained in no other beside what it, and what is contained in its value, is insured for.
    """
    every = list(rows)
    values = {tag: value for tag, whole, value, _ in every if not whole}
    insured: dict[str, Decimal] = {}
    for tag, whole, _, amount in every:
        if amount is not None:
            of = whole if values.get(whole) is not None else tag
            insured[of] = insured.get(of, NOTHING) + amount
    return {tag: Valued(values.get(tag), insured.get(tag)) for tag in dict.fromkeys((*values, *insured))}
