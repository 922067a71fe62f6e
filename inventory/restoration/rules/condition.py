"""What the words on a tube's condition say of its past: unused, used, or not said (common practice, no source)."""

import re

UNUSED, USED, NOT_SAID = "unused", "used", "not said"
_USED = re.compile(
    r"\b(?:used|pulled|pulls?|salvaged?|worn|second[- ]hand|gebraucht|occasion|usat[aoe]|usad[ao]s?)\b", re.I
)
_UNUSED = re.compile(
    r"\b(?:nos|n\.o\.s|nib|new[- ](?:old[- ]stock|in (?:its )?(?:box|carton))|unused|never used|not used|sealed|"
    r"unbenutzt|ungebraucht)\b|^\s*(?:new|neu|neuf|nuov[ao]|nuev[ao])\s*(?:$|[,;.(])", re.I
)  # fmt: skip


def past_of(*texts: str) -> str:
    """Of what is written of a tube: unused where that is said and nothing of use, used where use is said.

    The bare word new counts only where a text begins with it and goes no further: not in "new price" or "New York".
    """
    told = " ".join(texts)
    unused = any(_UNUSED.search(text) for text in texts)
    used = bool(_USED.search(re.sub(r"\b(?:never|not)[ -]used\b", "", told, flags=re.I)))
    if unused == used:
        return NOT_SAID
    return UNUSED if unused else USED
