"""An estimate in words, and as JSON: the same facts, each with what it rests on."""

from typing import Any

from django.utils import timezone

from inventory.house.money import Money
from inventory.valuation.queries.estimates import LENDS, Comparable, Estimate
from inventory.valuation.queries.money import rates
from inventory.valuation.queries.subjects import EQUIPMENT
from inventory.valuation.rules.bases import BASES
from inventory.valuation.rules.factors import Factor
from inventory.valuation.rules.grade_order import WORKING
from inventory.valuation.rules.rates import NO_RATE_OF
from inventory.valuation.rules.remarks import to_come, why_no_amount, without_rate
from inventory.valuation.rules.sale import Sale
from inventory.valuation.rules.scatter import FEWEST
from inventory.valuation.rules.words import GRADES

NO_EVIDENCE = "no evidence"
MARKET_ALONE = (
    "By the market alone: what this house itself paid, or sold for, is told to helpers and keepers and does not count "
    "here."
)
OTHER_KINDS = "all other kinds together"
AS_IN_PRICE = "military and civilian marks are priced alike: the evidence shows no difference"


def as_json(found: Estimate, *, own: bool = True) -> dict[str, Any]:
    """The contract of ``estimate``: money as text; keys beyond it tell what the figures rest on.

    ``own``: whether the house's own purchases and sales count in it, as ``estimate`` was asked.
    """
    return {
        "type": found.name,
        "grade": found.grade or None,
        "basis": found.basis,
        "on": str(found.on),
        "currency": found.currency,
        "amount": found.amount.figure if found.amount else None,
        "low": found.low.figure if found.low else None,
        "high": found.high.figure if found.high else None,
        "comparables": len(found.comparables),
        "pooled_from": [
            *found.same,
            *found.relatives,
            *([f"kind: {found.kind}"] if found.kind else []),
            *([OTHER_KINDS] if found.shares[3] >= LENDS else []),
        ],
        "left_out": [{"row": _row(sale), "reason": reason} for sale, reason in found.left_out],
        "evidence": [_comparable(one) for one in found.comparables],
        "text": " ".join([*in_words(found), *([] if own else [MARKET_ALONE])]),
        "own_counted": own,
        "relatives_with_sales": [{"type": name, "sales": many} for name, many in found.sold_relatives],
        "interval": found.interval,
        "no_amount": no_amount_of(found),
        "held_down_to": found.held_down[0] or "not graded" if found.held_down else None,
        "level_low": found.level[0].figure if found.level else None,
        "level_high": found.level[1].figure if found.level else None,
        "real": found.real,
        "shares": dict(zip(("own", "relatives", "kind", "other_kinds"), found.shares, strict=True)),
        "market": found.market.venue or None,
        "asking": [_comparable(one) for one in found.asking],
        "factors": [_factor(one) for one in found.factors],
        "trend": _trend(found),
    }


def in_words(found: Estimate) -> list[str]:
    """Sentences, the figure first."""
    basis = BASES[found.basis]
    marked = f"{found.mark} mark" if found.mark else ""
    what = ", ".join(word for word in (found.name, marked, found.grade) if word)
    opening = f"{what}, {basis.title} on {found.on}"
    lost = [*_without_rate(found), *_to_come(found)]
    if found.amount is None:
        if why := no_amount_of(found):
            told = [f"{opening}: no amount. {why}."]
        else:
            told = [f"{opening}: {NO_EVIDENCE}, no amount."]
        told += lost
        if found.left_out:
            told.append(
                f"{_rows(len(found.left_out))} of it {_do(len(found.left_out))} not count; the reasons are listed."
            )
        if found.sold_relatives:
            others = ", ".join(f"{name} ({many})" for name, many in found.sold_relatives)
            told.append(f"There are sales of its relatives, which are other tubes: {others}.")
        return [*told, f"Meant is {basis.meaning} ({basis.source})."]
    told = [f"{opening}: {found.amount}{', in money of that day by CPI-U' if found.real else ''}."]
    told += lost
    many = len(found.comparables)
    if found.interval:
        told.append(f"Of such sales eight in ten lie between {found.low} and {found.high} ({many} comparables).")
        if found.level:
            told.append(f"Their middle itself lies between {found.level[0]} and {found.level[1]}, 80 % sure.")
    elif many == 1 and found.low == found.high:
        told.append("1 comparable: one sale has no range.")
    else:
        least = f"{many} comparable{'s' if many > 1 else ''}, fewer than the {FEWEST} of an interval"
        of = "the range as it is held down" if found.held_down else "their range, levelled, with the amount"
        told.append(f"{least}: {found.low} to {found.high} is {of}.")
    told += _held_down(found)
    told += [f"Meant is {basis.meaning} ({basis.source}).", found.market.words]
    if found.grade and not found.grade_named:
        of_which = "its evidence" if found.what in EQUIPMENT else "the evidence"
        told.append(f"No grade was named: {found.grade} is the commonest in {of_which}.")
    touching = [one for one in found.factors if (one.attribute, one.word) == ("grade", found.grade)]
    told += [f"The grade {one.word}: {_told(one)}." for one in touching]
    if found.brought_down:
        told.append(
            f"No {found.grade} one of it was sold: working ones were, brought down by that step; how unsure it is, and "
            "how far it differs between types, is in the range."
        )
    if found.grade_as:
        told.append(f"The grade {found.grade}: no sale bears it: taken as equal to {found.grade_as}.")
    told += _leaning(found)
    marks = [one for one in found.factors if one.attribute == "mark" and one.word == "military"]
    told += [f"Of {one.word} marks: {_times(one)}." if one.shown else f"{AS_IN_PRICE}." for one in marks]
    if found.trend:
        yearly = 100 * (found.trend.times - 1)
        told.append(f"Trend: {yearly:+.1f} % a year." if found.trend.shown else f"Trend: {found.trend.why}.")
    if found.left_out:
        told.append(f"{_rows(len(found.left_out))} left out, each with its reason.")
    return [one[0].upper() + one[1:] for one in told]


def _without_rate(found: Estimate) -> list[str]:
    """That sales are missing for lack of a rate of exchange, since when, and what mends it."""
    lost = [(sale.on, reason) for sale, reason in found.left_out if reason.startswith(NO_RATE_OF)]
    last = rates().last
    told = without_rate(len(lost), last if any(on and on > last for on, _ in lost) else None)
    return [told] if told else []


def _to_come(found: Estimate) -> list[str]:
    """That a valuation date is to come: what is sold until then is not known."""
    told = to_come(found.on, timezone.localdate())
    return [told] if told else []


def no_amount_of(found: Estimate) -> str:
    """Why there is no amount although there are sales: what it is at most, or at least; empty elsewhere."""
    sold = sorted(one.levelled.amount for one in found.comparables)
    if found.at_most is None and found.at_least and sold:
        ends = [f"{Money(one, found.currency)}" for one in (sold[0], sold[-1])]
        were = f"1 {found.at_least} one was, {ends[0]}" if len(sold) == 1 else (
            f"{len(sold)} {found.at_least} ones were, {ends[0]} to {ends[1]}"
        )  # fmt: skip
        return f"No {_working(found.grade)} one was sold; {were}: at least that"
    most, least = (str(one) if one else "" for one in (found.high, found.low))
    told = why_no_amount(found.grade, found.at_most, most, found.at_least, least)
    return told[:1].upper() + told[1:]


def _working(grade: str) -> str:
    return grade if grade in GRADES[WORKING:] else "working"


def _held_down(found: Estimate) -> list[str]:
    if found.held_down is None:
        return []
    better, uncut = found.held_down
    as_told = "such ones, whatever their grade," if not better else f"{better} ones"
    rule = "a worse grade is never dearer"
    if uncut == found.amount:
        return [f"An end of the range is held down to that of {as_told.rstrip(',')}: {rule}."]
    return [f"Held down to what {as_told} fetch: {rule}. By its own sales it would be {uncut}."]


def _leaning(found: Estimate) -> list[str]:
    own, relatives, kind, others = (f"{100 * share:.0f} %" for share in found.shares)
    told = []
    if found.relatives:
        told.append(f"{relatives} of the level comes from its relatives {', '.join(found.relatives)}")
    if found.kind:
        told.append(f"{kind} of the level comes from its kind, {found.kind}")
    if found.shares[3] >= LENDS:
        told.append(f"{others} of the level comes from {OTHER_KINDS}")
    sentences = [f"{'; '.join(told)}; {own} is its own sales'."] if told else []
    if found.same:
        sentences.append(f"Sales of {', '.join(found.same)}, the same tube, count as its own.")
    return sentences


def _told(factor: Factor) -> str:
    return ": ".join(filter(None, (_times(factor) if factor.shown else "", factor.why)))


def _times(factor: Factor) -> str:
    if factor.times is None:
        return ""
    between = "" if factor.low is None else f" ({factor.low:.2f} to {factor.high:.2f}, 95 % sure; {factor.rows} rows)"
    return f"{factor.times:.2f} times {factor.against}{between}"


def _row(sale: Sale) -> int | str:
    """The number of a row of evidence; of the keeper's own the thing that it was paid for."""
    return sale.name if sale.row is None else sale.row


def _rows(many: int) -> str:
    return f"{many} row{'' if many == 1 else 's'}"


def _do(many: int) -> str:
    return "does" if many == 1 else "do"


def _comparable(one: Comparable) -> dict[str, Any]:
    sale = one.brought.sale
    return {
        "row": _row(sale), "date": str(sale.on), "designation": sale.designation, "grade": sale.grade or None,
        "venue": sale.venue or None, "each": str(sale.each), "price": one.price.figure,
        "levelled": one.levelled.figure, "by": list(one.brought.by), "source": sale.source, "own": sale.own,
    }  # fmt: skip


def _factor(one: Factor) -> dict[str, Any]:
    return {
        "what": one.attribute, "word": one.word, "against": one.against,
        "times": None if one.times is None else round(one.times, 4),
        "low": None if one.low is None else round(one.low, 4), "high": None if one.high is None else round(one.high, 4),
        "rows": one.rows, "types": one.types, "shown": one.shown, "why": one.why,
    }  # fmt: skip


def _trend(found: Estimate) -> dict[str, Any] | None:
    one = found.trend
    if one is None:
        return None
    low, high = (None if end is None else round(end, 5) for end in (one.low, one.high))
    return {"times_a_year": round(one.times, 5), "low": low, "high": high, "shown": one.shown, "why": one.why}
