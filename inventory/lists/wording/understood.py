"""What was understood of a row of a list, in one line."""

from typing import Any


def understood_in_words(told: dict[str, Any]) -> str:
    """Type, count, states, readings, minimum, prices, place and days of ``rules.understood``; "" where nothing is."""
    what = told.get("type") or told.get("model") or told.get("mark") or ""
    count = told.get("count")
    counted = f"{count} × {what}".strip(" ×") if count is not None else what
    if told.get("type") and told.get("mark") not in ("", None, told["type"]):
        counted += f", marked {told['mark']}"
    readings = ", ".join(" ".join(filter(None, (one["value"], one.get("unit")))) for one in told.get("readings", []))
    parts = [
        counted,
        ", ".join(f"{many} {state}" for state, many in told.get("states", {}).items() if state),
        f"reading {readings}" if readings else "",
        f"minimum {told['minimum']}" if told.get("minimum") else "",
        *(f"{word} {_money(told[name])}" for name, word in _PRICES if name in told),
        f"at {told['place']}" if told.get("place") else "",
        f"serial {told['serial']}" if told.get("serial") else "",
        f"lent to {told['lent_to']}" if told.get("lent_to") else "",
        *(f"{word} {told[name]}" for name, word in _DAYS if name in told),
    ]
    return "; ".join(filter(None, parts))


_PRICES = (("price", "paid"), ("asked", "asked"), ("insured", "insured for"))
_DAYS = (("acquired_on", "acquired"), ("tested_on", "tested"), ("date_code", "date code"))


def _money(price: dict[str, Any]) -> str:
    per = f"for {price['of']}" if price.get("of") else {"row": "for all", "lot": "the lot"}.get(price.get("per", ""))
    return " ".join(filter(None, (price.get("amount", "0"), price.get("currency"), per or price.get("per"))))
