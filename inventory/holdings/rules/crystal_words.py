"""Crystals as people ask for them: FT-243 7050, FT-241 channel 45. A holder says in what its figure is.

Holders and channels: ``markings.crystals``, with its sources. A crystal is stated to lie within 0.02 % of what it is
marked (of those of the 1940s, from memory).
"""

import re

from inventory.holdings.rules.markings.crystals import ANY_SPAN, MADE, SPAN, channel_kc

SLACK_PCT = 0.02
STATED = f"a frequency up to {SLACK_PCT:g} % off was let in, as crystals of the 1940s are stated (from memory)"
_OWN = re.compile(
    r"(?<![\w-])(?P<holder>ft[- ]?(?:243|171|164|249)(?:-?[ab])?|dc[- ]?3[45]|"
    r"(?:cr|hc)-?\d{1,3}[a-z]?(?:/(?:u|ar))?)[\s,:]+(?P<figure>\d{1,6}(?:\.\d+)?)(?![\w.,/%-]|\s*(?:[kmg]?(?:c|hz)\b))",
    re.IGNORECASE,
)
_CHANNEL = re.compile(
    r"(?<![\w-])(?P<holder>ft[- ]?241(?:-?a)?)[\s,:]+(?:ch(?:an(?:nel)?)?\.?\s*(?:no\.?\s*)?)"
    r"(?P<channel>\d{1,3})(?![\w.,/-])",
    re.IGNORECASE,
)


def with_frequency(text: str) -> tuple[str, tuple[str, ...]]:
    """The text with the frequency of a crystal in kc where its holder or channel says it, and what was taken so."""
    said: list[str] = []

    def own(match: re.Match[str]) -> str:
        figure = match["figure"]
        kc = float(figure) * (1000 if "." in figure and float(figure) < ANY_SPAN[1] / 1000 else 1)
        low, high = SPAN.get("FT-243", ANY_SPAN) if "243" in match["holder"] else ANY_SPAN
        if not low <= kc <= high:
            return match[0]
        said.append(f"{match['holder']} {figure}: taken as {kc:g} kc, as such holders are marked.")
        return f"{match['holder']} {kc:.10g} kc"

    def channel(match: re.Match[str]) -> str:
        number, digits = int(match["channel"]), 3 if len(match["channel"]) == 3 else 2
        if number not in MADE[digits]:
            return match[0]
        kc = float(channel_kc(number, digits))
        said.append(f"{match[0].strip()}: the crystal's own frequency is {kc:.6g} kc.")
        return f"{match['holder']} {kc:.10g} kc"

    return _CHANNEL.sub(channel, _OWN.sub(own, text)), tuple(said)
