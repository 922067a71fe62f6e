"""Bases of value: what a figure is meant to be, and in which market of the evidence it is looked for.

No haircut is ever presumed: a basis is read off a market that the evidence tells, or it is said that it tells none.
"""

from dataclasses import dataclass

from inventory.valuation.rules.factors import Factors
from inventory.valuation.rules.words import VENUES

FAIR_MARKET, REPLACEMENT, FORCED_SALE = "fair-market", "replacement", "forced-sale"
AUCTION, DEALER, FAIR, PRIVATE, ESTATE_LOT = VENUES
NOT_SAID = "not said"


@dataclass(frozen=True, slots=True)
class Basis:
    """``meaning`` in our words; ``source``: where it is stated."""

    key: str
    title: str
    meaning: str
    source: str


BASES = {
    one.key: one
    for one in (
        Basis(
            FAIR_MARKET, "fair market value",
            "the price between a willing buyer and a willing seller, neither forced and both reasonably informed, in "
            "the market where such things are most commonly sold to the public",
            "26 CFR 20.2031-1(b); IRS Publication 561",
        ),
        Basis(
            REPLACEMENT, "replacement value",
            "what it costs to obtain another of like age, quality and condition within a reasonable time in the market "
            "where it is to be had, with postage",
            "American Society of Appraisers, replacement value (comparable), as quoted by appraisers' handbooks",
        ),
        Basis(
            FORCED_SALE, "forced sale value",
            "what it fetches from a seller who must sell at once, at a properly run auction, as it is and where it is",
            "American Society of Appraisers, forced liquidation, as quoted by appraisers",
        ),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Market:
    """The venue that a value is levelled to (empty: as the evidence is), whether that is told, and in words."""

    venue: str
    told: bool
    words: str


def market_of(basis: str, factors: Factors) -> Market:
    """The market of a basis. Raises ValueError for a word that is no basis."""
    if basis not in BASES:
        raise ValueError(f"{basis!r} is no basis of value; expected one of {', '.join(BASES)}")
    rows, against = factors.rows("venue"), factors.against[1]
    said = {venue: rows[venue] for venue in VENUES if venue in rows}
    share = {venue: round(100 * many / sum(said.values())) for venue, many in said.items()}
    if basis == FAIR_MARKET:
        public = {venue: said[venue] for venue in (AUCTION, DEALER, FAIR, PRIVATE) if venue in said}
        if not public:
            return Market("", False, "The evidence does not say of a sale to the public where it was: taken as it is.")
        venue = max(public, key=lambda one: public[one])
        return _levelled(venue, factors, f"of the sales whose venue is known, {share[venue]} % were there")
    if basis == REPLACEMENT:
        if DEALER in said and (against == DEALER or _shown(DEALER, factors)):
            return _levelled(DEALER, factors, "where another is to be had at once; with postage where a row says it")
        return Market("", False, f"The evidence does not tell a dealer's level{_as_if(against)}; postage is in it.")
    for venue in (ESTATE_LOT, AUCTION):
        if venue in said and (venue == against or _shown(venue, factors)):
            return _levelled(venue, factors, "where things are sold at once, as they are")
    return Market("", False, f"The evidence does not tell a forced-sale level{_as_if(against)}.")


def _shown(venue: str, factors: Factors) -> bool:
    factor = factors.of("venue", venue)
    return factor is not None and bool(factor.shown)


def _levelled(venue: str, factors: Factors, why: str) -> Market:
    told = f"Levelled to the venue {venue}: {why}."
    factor = factors.of("venue", venue)
    if factor is not None and not factor.shown:
        told += f" Against {factor.against}: {factor.why}."
    return Market(venue, factor is None or bool(factor.shown), told)


def _as_if(against: str) -> str:
    return "" if against == NOT_SAID else f": taken as equal to that of the venue {against}"
