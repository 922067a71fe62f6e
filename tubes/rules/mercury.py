"""Mercury-vapour rectifiers in use: filament alone first, upright. Which types they are: ``TypeFigures.filling``.

In first use, and after it was tipped or moved, the filament burns alone for half an hour, later half a minute, before
plate voltage (hifitubes.nl; 866A upright only: uli.de/tubes/866a.htm). The times are rows of the table of limits.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from tubes.rules.judge_rectifier import FIRST, PREHEAT, UPRIGHT_SOURCE, against_mercury
from tubes.rules.limits import Limits

DISPUTED = {  # of one type; which types hold mercury stands in the tables
    "83": "One magazine column says that the 83 needs no warming up and may lie down: disputed, the general rule "
    "stands (monoandstereo.com, January 2017).",
}


@dataclass(frozen=True, slots=True)
class Place:
    """A position: the type it wants, the type in it, and the tag of that tube; empty where there is none."""

    mark: str
    wanted: str = ""
    held: str = ""
    tag: str = ""


@dataclass(frozen=True, slots=True)
class MercuryCare:
    """``places``: where mercury is, in words; ``text``: what to do; ``told``: what stands against it, and disputes."""

    places: tuple[str, ...]
    text: str
    told: tuple[str, ...]
    source: str
    source_title: str = ""

    @property
    def words(self) -> str:
        """All of it in one paragraph."""
        source = f"Source: {self.source_title or self.source}."
        return " ".join([f"{'; '.join(self.places)}.", self.text, *self.told, source])

    def as_dict(self) -> dict[str, object]:
        title = self.source_title or self.source
        return {
            "places": list(self.places),
            "text": self.text,
            "told": list(self.told),
            "source": self.source,
            "source_title": title,
        }


def mercury_care(
    places: Iterable[Place],
    mercury: Collection[str],
    limits: Limits,
    switched_together: bool = False,
    on_side: bool = False,
) -> MercuryCare | None:
    """What the mercury rectifiers of a set ask for, fitted or only wanted; None where there is none.

    ``mercury``: the types that hold mercury. ``switched_together``, ``on_side``: as the set model is ticked.
    """
    found: dict[str, str] = {}
    types, held = set(), []
    for place in places:
        if place.held in mercury:
            held.append(place.mark)
            found[place.mark] = f"{place.mark} holds {place.held}" + (f" ({place.tag})" if place.tag else "")
            types.add(place.held)
        elif place.wanted in mercury:
            found[place.mark] = f"{place.mark} wants {place.wanted}"
            types.add(place.wanted)
    if not found:
        return None
    told = [*against_mercury(switched_together, on_side, held), *disputes(types)]
    texts = texts_behind(limits)
    titles = "; ".join(dict.fromkeys(limits.title(text) for text in texts))
    return MercuryCare(tuple(found.values()), handling(limits), tuple(told), ", ".join(texts), titles)


def handling(limits: Mapping[str, float]) -> str:
    """How a mercury rectifier is switched on and mounted; without the times where the tables hold none yet."""
    if not {PREHEAT, FIRST} <= limits.keys():
        return (
            "Mercury vapour: mounted upright only; filament alone before plate voltage. For how long is not in the "
            "tables yet (manage.py load_reference)."
        )
    return (
        f"Mercury vapour: mounted upright only; filament alone for {limits[PREHEAT]:g} s before plate voltage at every "
        f"switching on, and for {limits[FIRST]:g} min in first use or after it, or its set, was moved or tipped."
    )


def texts_behind(limits: Limits) -> list[str]:
    """The keys of the texts behind ``handling``."""
    known = [key for key in (PREHEAT, FIRST) if key in limits]
    return list(dict.fromkeys([*(limits.row(key).source for key in known), UPRIGHT_SOURCE]))


def disputes(types: Iterable[str]) -> list[str]:
    """What somebody says against the rule for some of the types."""
    return [DISPUTED[name] for name in sorted(types) if name in DISPUTED]
