"""Money: an amount with the code of its currency. Decimal, never float; never added across currencies.

Nothing is converted here: that needs a day and a rate (``inventory.valuation``).
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from inventory.house.currencies import is_currency, no_currency

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Money:
    """``amount`` in ``currency``, a code of ISO 4217 in use or a former one.

    Raises ValueError for a code that is none and for an amount that is no finite number, TypeError for an amount that
    is no Decimal and where two currencies are added, subtracted or compared.
    """

    amount: Decimal
    currency: str

    def __post_init__(self) -> None:
        if not isinstance(self.amount, Decimal):
            raise TypeError(f"{self.amount!r} is no Decimal")
        if not self.amount.is_finite():
            raise ValueError(f"{self.amount} is no amount of money")
        if not is_currency(self.currency):
            raise ValueError(no_currency(self.currency))

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._same(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.amount - self._same(other), self.currency)

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._same(other)

    def __mul__(self, factor: Decimal | int) -> "Money":
        return Money(self.amount * factor, self.currency)

    def __truediv__(self, parts: Decimal | int) -> "Money":
        return Money(self.amount / parts, self.currency)

    def _same(self, other: "Money") -> Decimal:
        if other.currency != self.currency:
            raise TypeError(f"{other} and {self} are of two currencies; convert one at a dated rate first")
        return other.amount

    @property
    def rounded(self) -> "Money":
        """To a hundredth, halves to the even one."""
        return Money(self.amount.quantize(CENT, ROUND_HALF_EVEN), self.currency)

    @property
    def figure(self) -> str:
        """The amount to a hundredth, in figures; ``1234.50``."""
        return f"{self.rounded.amount:f}"

    def __str__(self) -> str:
        return f"{self.figure} {self.currency}"
