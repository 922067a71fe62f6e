"""Values and things in plain words, for whoever does not know such things. Rounding: common practice, no source."""

from decimal import ROUND_HALF_EVEN, Decimal

#: From an amount on, to what it is rounded.
_STEPS = (
    (Decimal(1000), Decimal(50)),
    (Decimal(200), Decimal(10)),
    (Decimal(50), Decimal(5)),
    (Decimal(10), Decimal(1)),
)
_LEAST = Decimal("0.5")


def about(amount: Decimal) -> Decimal:
    """An amount rounded to what a word like about can bear: 1,263 to 1,250, 47.30 to 47, 3.20 to 3."""
    step = next((step for least, step in _STEPS if amount >= least), _LEAST)
    return (amount / step).quantize(Decimal(1), ROUND_HALF_EVEN) * step


def in_round_figures(low: Decimal, high: Decimal, currency: str) -> str:
    """A range in words: about 40 to 60 EUR."""
    ends = list(dict.fromkeys(f"{about(end).normalize():,f}" for end in (low, high)))
    return f"about {' to '.join(ends)} {currency}"


#: What a kind of set is, for an heir.
SETS = {
    "transmitter": "radio transmitter",
    "receiver": "radio receiver",
    "frequency meter": "instrument that measures radio frequencies",
    "power unit": "power supply of a set",
    "test set": "test instrument",
    "other": "piece of radio equipment",
}
#: What a kind of thing is, for an heir.
THINGS = {
    "tube": "radio tube (glass or metal valve)",
    "unit": "plug-in unit: goes into a set",
    "companion": "goes with a set",
    "parts": "spare parts",
}


def plain_word(kind: str, set_kind: str = "") -> str:
    """What a thing is in a plain word."""
    return SETS.get(set_kind, SETS["other"]) if set_kind else THINGS.get(kind, "thing of the collection")
