"""What a check that stays open lacks of a tube: the very figures, not the whole check that asks for them."""

from collections.abc import Iterable, Mapping

from tubes.rules.figures import MIXERS, RECTIFIERS, TypeFigures
from tubes.rules.judge_figures import BANDS, CAPACITANCES, CEILINGS

#: By check: the figures that it asks for and what they are called, the first that lacks first.
_ASKED: Mapping[str, tuple[tuple[str, str], ...]] = {
    "heater voltage": (("heater_v", "heater voltage"), ("cathode", "cathode")),  # how far it may be off goes by that
    "heater current": (("heater_a", "heater current"),),
    "cathode": (("cathode", "cathode"),),
    "base": (("base", "base"), ("basing", "basing")),
    "top cap": (("cap", "top cap"),),
    **{one.check: ((one.figure, one.check),) for one in (*CEILINGS, *BANDS, *CAPACITANCES)},
}


def lacking_of(figures: TypeFigures, checks: Iterable[str]) -> tuple[str, ...]:
    """What lacks of one tube of all that some checks ask for, in words, each once."""
    return tuple(dict.fromkeys(word for check in checks for word in _lacks(figures, check)))


def _lacks(figures: TypeFigures, check: str) -> Iterable[str]:
    if check == "kind":
        form = figures.form
        if not form.kind:
            return ("kind",)
        wave = ("full-wave or half-wave",) if form.kind in RECTIFIERS and not form.wave else ()
        return wave + (("use",) if form.kind in MIXERS and not form.use else ())
    if check not in _ASKED:
        return (check,)
    return [word for name, word in _ASKED[check] if name not in figures.numbers and name not in figures.words]


def lacking_words(wanted: TypeFigures, candidate: TypeFigures, checks: Iterable[str]) -> str:
    """What lacks of two tubes, in a sentence that says that it was not asked; empty where nothing lacks."""
    checks = tuple(checks)
    first, second = (lacking_of(one, checks) for one in (wanted, candidate))
    if wanted.name == candidate.name:
        told = [("it", first)]
    elif first == second:
        told = [(f"{wanted.name} and {candidate.name}", first)]
    else:
        told = [(wanted.name, first), (candidate.name, second)]
    parts = [f"of {name}: {', '.join(what)}" for name, what in told if what]
    if not parts:
        return ""
    head, *more = parts
    return f"Not known {head.replace(': ', ', and not asked: ', 1)}{''.join(f'; {one}' for one in more)}."
