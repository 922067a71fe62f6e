"""Figures that stand in the note of a type in fixed words, as ``figures`` reads them: written into a note, or anew."""

import re

_WORDS = (
    ("conversion transconductance {gc:g}", r"conversion transconductance [\d.]+"),
    ("about {running:g} V, {least:g} to {most:g} mA", r"about [\d.]+ V(?:,| from| at) [\d.]+ to [\d.]+ mA"),
    ("needs about {start:g} V to start", r"needs about [\d.]+ V to start"),
    ("{wave}", r"(?:full-wave|half-wave|two separate diodes)"),
)


def with_words(note: str, **told: float | str | None) -> str:
    """A note with the figures that were told in front, in their fixed words; what it said of them before is left out.

    ``gc`` micromho; ``running`` V with ``least`` and ``most`` mA; ``start`` V; ``wave``.
    """
    said = []
    for words, before in _WORDS:
        names = re.findall(r"\{(\w+)", words)
        if all(told.get(name) not in (None, "") for name in names):
            note = re.sub(rf"(?:^|; ){before}(?=;|$)", "", note).removeprefix("; ")
            said.append(words.format(**told))
    return "; ".join(filter(None, (*said, note)))
