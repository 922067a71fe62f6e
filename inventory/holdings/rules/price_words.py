"""Words and signs of prices: currencies, for each, for the lot. Common practice, no source, but for ISO 4217 codes.

In English, German, French, Dutch, Italian, Spanish, Polish, Czech and Russian. "fl" is the Dutch guilder.
"""

import re

CURRENCIES = {
    "eur": "EUR", "euro": "EUR", "euros": "EUR", "€": "EUR", "dm": "DEM", "d-mark": "DEM", "dem": "DEM", "£": "GBP",
    "gbp": "GBP", "quid": "GBP", "us$": "USD", "usd": "USD", "us-$": "USD", "u.s.$": "USD", "c$": "CAD", "cad": "CAD",
    "can$": "CAD", "ca$": "CAD", "a$": "AUD", "aud": "AUD", "au$": "AUD", "nz$": "NZD", "nzd": "NZD", "chf": "CHF",
    "sfr": "CHF", "sfr.": "CHF", "ös": "ATS", "ats": "ATS", "frf": "FRF", "ff": "FRF", "nlg": "NLG", "hfl": "NLG",
    "fl.": "NLG", "fl": "NLG", "ƒ": "NLG", "gulden": "NLG", "guilder": "NLG", "guilders": "NLG", "florin": "NLG",
    "florins": "NLG", "$us": "USD", "£gb": "GBP", "$ca": "CAD",
    "bef": "BEF", "bfr": "BEF", "itl": "ITL", "jpy": "JPY", "sek": "SEK", "nok": "NOK", "dkk": "DKK",
    "rub": "RUB", "₽": "RUB", "руб": "RUB", "руб.": "RUB", "рублей": "RUB", "рубля": "RUB", "рубль": "RUB",
    "р": "RUB", "р.": "RUB", "грн": "UAH", "грн.": "UAH",
    "lit": "ITL", "lit.": "ITL", "lire": "ITL", "esp": "ESP", "peseta": "ESP", "pesetas": "ESP", "pta": "ESP",
    "ptas": "ESP", "pta.": "ESP", "ptas.": "ESP", "kč": "CZK", "kčs": "CSK",
}  # fmt: skip
#: Signs that more than one currency has, or that have no code.
SIGNS = {"$": "$", "dollars": "$", "dollar": "$", "bucks": "$", "fr.": "Fr.", "fr": "Fr.", "kr": "kr", "kr.": "kr",
          "¥": "¥", "mark": "Mark", "rm": "RM", "m": "Mark", "zł": "zł", "pounds": "GBP", "pound": "GBP"}  # fmt: skip
ALONE = frozenset("€£$₽ƒ")  # signs that may stand against a word
MARK = "(?:" + "|".join(sorted(map(re.escape, (*CURRENCIES, *SIGNS)), key=len, reverse=True)) + ")"

_PIECE = (
    r"(?:pcs?|piece|tube|valve|stk|stück|st|pi[eè]ce|pce|stuk|pz|pezzo|ud|unidad|szt(?:uk[aęi])?|ks|kus|шт(?:ук[аиу])?|"
    r"unité|lampe|röhre|buis)"
)
EACH_WORDS = re.compile(
    rf"\s*(?:/\s*|\bper )(?:{_PIECE}|each|ea)\b\.?$|"
    rf"\s*(?:/\s*)?\b(?:ea|each|apiece|a piece|p\.?p|per|(?:je|jedes|pro|das|à|la|al|per|za|par|por|за) {_PIECE}|stk|"
    r"stück|je|jeweils|pièce|p\.?\s?st|cad|cadauno|cadauna|ciascun[oa]|l['’]un[oa]|c/u|cada un[oa]|chacune?|l['’]unité|"
    r"szt|ks|шт|elk)\b\.?$|^(?:je|jeweils|à|a|each|ea\.?|po|по)\s+(?=\S*[0-9€$£ƒ])|^@\s*"
)
LOT_WORDS = re.compile(
    r"\s*\(?\b(?:(?:for )?(?:the |all )?lot|for (?:all|both|the (?:pair|set|box))|(?:the|a|per|pro|das|la|/) ?"
    r"(?:pair|paar|paire)|pair|paar|all|total|in all|altogether|zusammen|zus|"
    r"alle|alles|der posten|posten|für alle|le lot|tout|in tutto|tutti|samen|razem|celkem|per box|box)\b\.?\)?$|"
    r"\s*/\s*(?:pr|pair|paar|box|lot)$"
)
