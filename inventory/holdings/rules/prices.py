"""Prices as people write them: amount, currency as far as it is told, and for what. Nothing is converted.

Codes are those of ISO 4217, former ones too; one that is not among the marks below is read where it is in capitals.
Twelve pence are a shilling and twenty shillings a pound before 15 February 1971 (Decimal Currency Act 1967). The rest
common practice, no source.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.holdings.rules.cells import (
    Remark,
    figures_text,
    kept_as_found,
    read_cell,
    says_ditto,
    says_nothing,
    says_unknown,
    shown,
)
from inventory.holdings.rules.price_words import ALONE, CURRENCIES, EACH_WORDS, LOT_WORDS, MARK, SIGNS
from inventory.house.currencies import SHARED, is_currency, no_currency

MONEY, FREE, SWAP, NEGOTIABLE, UNREAD, UNKNOWN = "money", "free", "swap", "negotiable", "unread", "unknown"
EACH, LOT, ROW = "each", "lot", "row"


@dataclass(frozen=True, slots=True)
class PriceReading:
    """`amount` in `currency` for `per`: each, lot (of `lot_count` things, None if not said), row, or "" where not said.

    `currency` is an ISO 4217 code, or the sign as written ("$", "Fr.") where it has none or more than one, or "".
    `more` is what was given beside the money; `open` is true of a price open to bargaining: it was asked, not paid.
    """

    text: str
    kind: str
    amount: Decimal | None = None
    currency: str = ""
    per: str = ""
    lot_count: int | None = None
    more: str = ""
    remark: Remark | None = None
    open: bool = False


_COUNT_FIRST = re.compile(r"(?P<count>[0-9]{1,4})\s*(?:pcs?|stk|stück)?\.?\s*(?:for|für|pour|voor|@|/)\s*(?P<rest>.+)")
_COUNT_LAST = re.compile(r"(?P<rest>.+?)\s*(?:for|für|pour|voor|/|(?:lot|set|box) of)\s*(?P<count>[0-9]{1,4})")
#: Words in brackets; a figure alone in brackets is a debt.
_IN_BRACKETS = re.compile(r"\(([^()]*[^\W\d_][^()]*)\)")
_FREE = re.compile(
    r"(?:free|gratis|nix|gift|given|donated|donation|geschenk(?:t)?|gratuit|gegeven|n/c|no charge|umsonst)"
)
_SWAP = re.compile(
    r"(?:swap|swapped|trade|traded|tausch|getauscht|eingetauscht|exchange|échange|ruil|geruild)\b.{0,80}"
)
_OPEN = re.compile(
    r"\b(?:vb|vhb|obo|o\.b\.o|or best offer|ono|neg|negotiable|verhandlungsbasis|verhandelbar|à débattre|ob)\b\.?"
)
_MORE = re.compile(r"(?P<rest>[^+]*[0-9][^+]*?)\s*(?:\+|\bplus\b|\band\b|\bund\b)\s*(?P<more>[^0-9 ].*)")
_POUNDS = re.compile(
    r"£?\s*(?P<l>[0-9]{1,6})\s*(?:/|-|\.|£|l)\s*(?P<s>[0-9]{1,2})\s*(?:/|-|\.)\s*(?P<d>[0-9]{1,2}|-)d?"
)
_SHILLINGS = re.compile(r"(?P<s>[0-9]{1,2})\s*(?:/|s\.?)\s*(?:(?P<d>[0-9]{1,2})\s*d?|-)?\.?")
_POUNDS_WORDS = re.compile(r"£\s*(?P<l>[0-9]{1,6})\s+(?P<s>[0-9]{1,2})s\.?(?:\s*(?P<d>[0-9]{1,2})d)?\.?")
_CENTS = re.compile(r"(?P<figure>[0-9]{1,4})\s*(?P<sign>¢|c|cts?|cents?|pf|pfg|pfennig|p)\.?")
#: The currency that a hundredth belongs to; of "ct" there is more than one.
_CENT_OF = {"p": "GBP", "pf": "DEM", "pfg": "DEM", "pfennig": "DEM"} | dict.fromkeys(("¢", "c", "cent", "cents"), "$")
_FIGURE = re.compile(
    r"(?P<whole>[0-9]{1,3}(?:(?P<group>[.,' ])[0-9]{3}(?:(?P=group)[0-9]{3})*)?|"
    r"[0-9]{1,9})?(?:(?P<point>[.,])(?P<part>[0-9]{1,2}|-{1,2}))?\.?-?-?"
)
#: Codes that a heading in capitals has for words: all, top, try, standard, model; French sur, ils.
_WORDS = frozenset({"ALL", "TOP", "TRY", "STD", "MDL", "SUR", "ILS"})
#: `50 F`: francs or guilders only where the list says so.
_FRANCS = re.compile(r"(?P<figure>[0-9][0-9.,' ]*)\s*f\.?|f\.?\s*(?P<behind>[0-9][0-9.,' ]*)")
_WRITE = "write the amount and the currency, such as 12.50 EUR"


def read_price(
    cell: str, dollar: str | None = None, bare: str = "", heading: str = "", currency: str = ""
) -> PriceReading:
    """Read a price of any content; never raises. `dollar` is the code that "$" stands for, `bare` row or each.

    `bare` says what a price with no word beside it is for; "" leaves it not said. `heading` may name the currency of
    the whole column, `currency` is the code of a price for which neither does.
    """
    seen = read_cell(cell)
    if seen.remark and not re.match(r"@\s*[$€£]?\s*[0-9]", seen.text):
        return _unread(cell, seen.remark.reason, seen.remark.action)
    text = figures_text(seen.text)
    plain = text.casefold().rstrip("!").strip() if text else ""
    if text is None:
        return _unread(cell, "cannot be read as a price")
    if not plain or says_unknown(plain) or says_nothing(plain):
        return PriceReading(cell, UNKNOWN)
    if says_ditto(plain):
        return _unread(cell, "refers to the row above, which may since have moved", "write the price itself")
    of_column = currency_of_heading(heading) or currency
    if of_column in ("FRF", "NLG") and (francs := _FRANCS.fullmatch(plain)):
        plain = (francs["figure"] or francs["behind"]).strip()
    found = _words(cell, plain) or _priced(cell, text, plain)
    if found.kind == MONEY:
        found = _said(replace(found, currency=found.currency or of_column), dollar, bare, currency)
    return found


def currency_of_heading(heading: str) -> str:
    """The currency that a column's heading names; "" if none or more than one."""
    words = [word for word in re.findall(r"[^\s()\[\],;:/]+", heading[:200]) if word not in ("m", "M")]
    found = {code for word in words for code in _codes_in(word)}
    return found.pop() if len(found) == 1 else ""


def _codes_in(word: str) -> list[str]:
    """The currencies that a word of a heading names: as a mark, as a code in capitals, or by the signs in it."""
    if code := _code(word.casefold()):
        return [code]
    if re.fullmatch("[A-Z]{3}", word) and word not in _WORDS and is_currency(word):
        return [word]
    return [_code(sign) for sign in set(word) & ALONE]


def _words(cell: str, plain: str) -> PriceReading | None:
    if _FREE.fullmatch(plain):
        return PriceReading(cell, FREE, Decimal(0))
    if _SWAP.fullmatch(plain):
        remark = kept_as_found("a swap has no price", "note what was given for it", ": ")
        return PriceReading(cell, SWAP, remark=remark)
    if _OPEN.fullmatch(plain):
        remark = kept_as_found("open to bargaining, no amount is named", "write one if there is one", ": ")
        return PriceReading(cell, NEGOTIABLE, remark=remark, open=True)
    return None


def _as_found(text: str, part: str) -> str:
    """A part of the text in small letters, as it stands in the text."""
    small = text.casefold()
    at = small.find(part) if len(small) == len(text) else -1
    return text[at : at + len(part)] if at >= 0 else part


def _priced(cell: str, text: str, plain: str) -> PriceReading:
    more = ""
    remark: Remark | None = None
    is_open = False
    plain = " ".join(_IN_BRACKETS.sub(r" \1 ", plain).split())  # $100 (each)
    if found := _OPEN.search(plain):
        is_open = True
        plain = (plain[: found.start()] + plain[found.end() :]).strip(" ,()")
        remark = Remark("an asking price, open to bargaining", "keep it apart from prices paid")
    if found := _MORE.fullmatch(plain):
        plain, more = found["rest"].strip(), _as_found(text, found["more"].strip())
        remark = Remark(
            f"{shown(more)} was given beside the money, the price is not whole", "add its worth if it matters"
        )
    plain, doubted = (
        re.sub(r"[?~]|\(\?\)|^(?:about|approx\.?|ca\.?|circa)\s+", " ", plain).strip(),
        "?" in plain or "~" in plain,
    )
    per, count, plain = _per(plain, text)
    money = _money(plain, text)
    if money is None:
        _, code = _coded(plain, text)
        return _unread(cell, no_currency(code) if code else f"{shown(cell.strip())} cannot be read as a price")
    amount, currency, note = money
    if amount == 0:
        remark = remark or Remark("0 can mean given or not known", "write free, or leave it empty")
    if doubted:
        remark = remark or Remark("the price is doubted in the list", "correct it if you know better")
    return PriceReading(cell, MONEY, amount, currency, per, count, more, remark or note, is_open)


def _per(plain: str, text: str) -> tuple[str, int | None, str]:
    """What a price is for, how many, and the price without these words."""
    if found := EACH_WORDS.search(plain):
        rest = (plain[: found.start()] + plain[found.end() :]).strip(" ,")
        return EACH, None, rest
    if found := LOT_WORDS.search(plain):
        return LOT, None, plain[: found.start()].strip(" ,")
    for pattern in (_COUNT_FIRST, _COUNT_LAST):
        found = pattern.fullmatch(plain)
        # 12/6 and 1/2/6 are money of their own: a stroke counts only beside a currency sign.
        if found and int(found["count"]) and (not re.fullmatch(r"£?[0-9/ -]+", plain)):
            rest = found["rest"].strip()
            if _money(rest, text):
                return (EACH if "@" in plain else LOT), (None if "@" in plain else int(found["count"])), rest
    return "", None, plain


def _money(plain: str, text: str = "") -> tuple[Decimal, str, Remark | None] | None:
    old = _old_money(plain, text)
    if old:
        return old
    if found := _CENTS.fullmatch(plain):
        return Decimal(found["figure"]) / 100, _CENT_OF.get(found["sign"], ""), None
    found = re.fullmatch(rf"(?P<sign>{MARK})?\s*(?P<figure>[-0-9.,' ]+?)\s*(?P<after>{MARK})?", plain)
    if not found:
        written, code = _coded(plain, text)
        figure = _amount(written) if is_currency(code) else None
        return (figure[0], code, figure[1]) if figure else None
    if found["sign"] and found["after"] and _code(found["sign"]) != _code(found["after"]):
        return None
    figure = _amount(found["figure"])
    if figure is None:
        return None
    return figure[0], _code(found["sign"] or found["after"] or ""), figure[1]


def _coded(plain: str, text: str) -> tuple[str, str]:
    """The figure and the three letters beside it, where these stand in capitals in the text: a code, of whatever."""
    found = re.fullmatch(r"(?P<code>[a-z]{3})\s*(?P<figure>[0-9.,' -]+)", plain)
    found = found or re.fullmatch(r"(?P<figure>[0-9.,' -]+?)\s*(?P<code>[a-z]{3})", plain)
    code = found["code"].upper() if found else ""
    return (found["figure"], code) if found and re.search(rf"(?<![A-Za-z]){code}(?![A-Za-z])", text) else ("", "")


def _code(sign: str) -> str:
    return CURRENCIES.get(sign) or SIGNS.get(sign, "")


def _old_money(plain: str, text: str) -> tuple[Decimal, str, Remark | None] | None:
    """Pounds, shillings and pence, in pounds."""
    for pattern in (_POUNDS, _POUNDS_WORDS, _SHILLINGS):
        found = pattern.fullmatch(plain)
        if not found:
            continue
        if pattern is _SHILLINGS and re.search(r"\b0[0-9]", plain):
            return None  # 04/05 is a date: no zero is put before shillings or pence
        figures = {name: int(text) if text and text != "-" else 0 for name, text in found.groupdict().items()}
        if figures["s"] >= 20 or figures["d"] >= 12 or (pattern is _POUNDS and not plain.startswith("£")):
            return None
        pence = figures.get("l", 0) * 240 + figures["s"] * 12 + figures["d"]
        what = f"{figures.get('l', 0)} pounds {figures['s']} shillings {figures['d']} pence"
        reason = f"{_as_found(text, plain)} read as {what} of old British money"
        if pattern is _SHILLINGS and re.fullmatch(r"[0-9]+/[0-9]+", plain):
            reason += "; a date or a count is written the same way"
        return Decimal(pence) / 240, "GBP", Remark(reason, "correct it if that is not meant")
    return None


def _amount(text: str) -> tuple[Decimal, Remark | None] | None:
    text = text.strip()
    found = _FIGURE.fullmatch(text)
    if not found or not any(char.isdigit() for char in text):
        return None
    group = found["group"]
    if group and found["point"] == group:
        return None
    whole = re.sub(r"[^0-9]", "", found["whole"] or "0")
    part = (found["part"] or "").strip("-")
    remark = None
    if group in (".", ",") and not found["point"]:
        remark = Remark(f"{text} read as {whole}: money has no third decimal", "correct it if that is not meant")
    return Decimal(f"{whole}.{part}" if part else whole), remark


def _said(found: PriceReading, dollar: str | None, bare: str, whole: str) -> PriceReading:
    """The price with what the keeper said of the whole list, and a remark on what is still not said.

    ``whole``: the currency of the list; it tells what a sign means that it shares with others ($, kr).
    """
    per = found.per or bare
    currency, remark = found.currency, found.remark
    if currency == "$" and dollar:
        currency = dollar
    elif whole in SHARED.get(currency, ()):
        currency = whole
    if not re.fullmatch("[A-Z]{3}", currency):
        what = f"which currency {currency} means is not said" if currency else "no currency is written"
        extra = Remark(what, _say_which(currency))
        remark = Remark(f"{remark.reason}; {what}", remark.action) if remark else extra
    return replace(found, currency=currency, per=per, remark=remark)


def _say_which(sign: str) -> str:
    """How to say which currency a sign means."""
    if sign == "$":
        return 'say what $ means in the whole list ("$ means", --dollar USD), or write the code in the cell'
    if sign in SHARED:
        codes = " or ".join(sorted(SHARED[sign]))
        return f"give {codes} as the currency of the whole list (--currency), or write the code in the cell"
    return "give the currency for the whole list or in the cell"


def _unread(cell: str, reason: str, action: str = _WRITE) -> PriceReading:
    return PriceReading(cell, UNREAD, remark=kept_as_found(reason, action))
