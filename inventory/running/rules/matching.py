"""Matched pairs and larger sets from tubes of one type read on one instrument within a time window.

Mismatch of two readings: ``100 |a - b| / ((a + b) / 2)``; of a larger set, that of its extremes; with two readings of a
tube, the larger of the two mismatches. Most sets within the tolerance come first, then the least total mismatch.

- Pairs: exact; of many tubes on two readings the number only (``pairs``).
- Larger sets on one reading: sets of neighbours in order of the reading. The number of sets is exact: tubes can be
  exchanged until every set is a run of neighbours without any set getting wider than the widest of the two it shared
  with. The total mismatch is the least among sets of neighbours; a set nested in another can do better by a hair.
- Larger sets on two readings: the closest set first, then the closest of what is left. A rule of thumb, and named so:
  another choice may give more sets.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from inventory.running.rules.curves import Vector
from inventory.running.rules.pairs import best_pairs

EXACT, NEAREST, NEIGHBOURS, CLOSEST_FIRST = "exact", "nearest", "neighbours", "closest first"
MOST_TUBES, MOST_SIZE = 5_000, 24


class MatchRefused(ValueError):
    """Tubes that cannot be matched; the text is one line."""


@dataclass(frozen=True, slots=True)
class ReadingOf:
    """One reading of a tube on an instrument. ``name``: what was read (a section, or which reading of it)."""

    tag: str
    instrument: str
    name: str
    day: date
    figure: float | None
    shorted: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A tube with the one or two readings by which it is matched, all above 0 and on one instrument."""

    tag: str
    readings: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MatchedTubes:
    """One set."""

    tags: tuple[str, ...]
    readings: tuple[tuple[float, ...], ...]
    mismatch_pct: float


@dataclass(frozen=True, slots=True)
class Matching:
    """The sets, the closest first, and the tubes left over."""

    sets: tuple[MatchedTubes, ...]
    left: tuple[str, ...]
    method: str
    text: str

    def as_dict(self) -> dict[str, object]:
        """Readings of a tube are a figure, or a list of two."""
        sets = [
            {
                "tags": list(one.tags),
                "readings": [values[0] if len(values) == 1 else list(values) for values in one.readings],
                "mismatch_pct": one.mismatch_pct,
            }
            for one in self.sets
        ]
        return {"sets": sets, "left": list(self.left), "text": self.text}


@dataclass(frozen=True, slots=True)
class Balance:
    """The sections of one tube against each other."""

    mismatch_pct: float
    within: bool


def mismatch_pct(*readings: float) -> float:
    """Mismatch of the extremes of some readings, percent of their mean. Raises MatchRefused for one not above 0."""
    low, high = min(readings), max(readings)
    if not (low > 0 and math.isfinite(high)):
        raise MatchRefused(f"reading {low:g}: a match needs readings above 0")
    return 100 * (high - low) / ((high + low) / 2)


def balance(sections: Mapping[str, float], tolerance_pct: float) -> Balance:
    """How far the sections of a double tube are apart."""
    found = mismatch_pct(*sections.values())
    return Balance(found, found <= tolerance_pct)


def candidates(
    readings: Sequence[ReadingOf], names: Sequence[str], since: date, until: date
) -> tuple[list[Candidate], dict[str, str]]:
    """Tubes with the latest reading of each name within the days, and of the others why not.

    A tube that was last found shorted in any of its sections is left out, whatever is compared.
    Raises MatchRefused when readings of two instruments are mixed.
    """
    instruments = sorted({one.instrument for one in readings})
    if len(instruments) > 1:
        raise MatchRefused(f"readings of {' and '.join(instruments)} do not compare; choose one instrument")
    found, without = [], {}
    tubes: dict[str, list[ReadingOf]] = {}
    for one in sorted(readings, key=lambda one: one.day):
        tubes.setdefault(one.tag, []).append(one)
    for tag, tests in tubes.items():
        last = {one.name: one for one in tests}
        if shorted := [one.day for one in last.values() if one.shorted]:
            without[tag] = f"shorted on {max(shorted)}"
            continue
        latest = {one.name: one.figure for one in tests if since <= one.day <= until and one.figure}
        figures = tuple(figure for name in names if (figure := latest.get(name)))
        if len(figures) == len(names):
            found.append(Candidate(tag, figures))
        else:
            without[tag] = _missing([name for name in names if not latest.get(name)], since, until)
    return found, without


PLAIN, REDUCED = "reading", "reduced"  # names of what is read; a section has its own name
LONG_AGO = date(1900, 1, 1)  # a window from here on is none


def in_words(names: Sequence[str]) -> str:
    """What was read, in words: "sections 1 and 2", "the reading with reduced filament"."""
    sections = [name for name in names if name not in ("", PLAIN, REDUCED)]
    told = ["the reading"] if any(name in ("", PLAIN) for name in names) else []
    if sections:
        told.append(f"section{'s' * (len(sections) > 1)} {' and '.join(sections)}")
    return " and ".join(told + ["the reading with reduced filament"] * (REDUCED in names))


def _missing(names: Sequence[str], since: date, until: date) -> str:
    window = "" if since <= LONG_AGO else f" from {since} to {until}"
    if all(name in ("", PLAIN, REDUCED) for name in names):
        return in_words(names).replace("the reading", "no reading") + (window or " was taken")
    return f"{in_words(names)} {'was' if len(names) == 1 else 'were'} not read{window}"


def match(tubes: Sequence[Candidate], size: int = 2, tolerance_pct: float = 10.0) -> Matching:
    """The sets. Raises MatchRefused: size or tolerance that cannot be, a tube twice, readings that do not fit."""
    _check(tubes, size, tolerance_pct)
    ordered = sorted(tubes, key=lambda tube: (tube.readings, tube.tag))
    figures = np.array([tube.readings for tube in ordered], dtype=np.float64).reshape(
        len(ordered), -1 if ordered else 1
    )
    one = figures.shape[1] == 1
    if size == 2:
        groups, exact = best_pairs(figures, tolerance_pct)
        method = EXACT if exact else NEAREST
    elif one:
        groups, method = _runs(figures[:, 0], size, tolerance_pct), NEIGHBOURS
    else:
        groups, method = _closest(figures, size, tolerance_pct), CLOSEST_FIRST
    sets = [_set([ordered[place] for place in group]) for group in groups]
    sets.sort(key=lambda found: (found.mismatch_pct, found.tags))
    used = {tag for found in sets for tag in found.tags}
    left = tuple(tube.tag for tube in ordered if tube.tag not in used)
    return Matching(tuple(sets), left, method, _text(sets, left, size, tolerance_pct, method))


MOST_NEAR = 12  # of each tube: the nearest ones that are looked at for pairs on two readings; our choice, no source


def sets_within(tubes: Sequence[Candidate], size: int, tolerance_pct: float) -> list[MatchedTubes]:
    """Sets to choose from, which may share tubes; the closest first. Raises MatchRefused as ``match`` does.

    On one reading every run of neighbours within the tolerance: no choice of sets gives more of them that share none.
    On two readings pairs of each tube with its nearest, and for larger sets what ``match`` finds.
    """
    _check(tubes, size, tolerance_pct)
    ordered = sorted(tubes, key=lambda tube: (tube.readings, tube.tag))
    if len(ordered) < size:
        return []
    if len(ordered[0].readings) == 1:
        groups = [tuple(range(at, at + size)) for at in range(len(ordered) - size + 1)]
    elif size == 2:
        groups = _nearest_pairs(np.array([tube.readings for tube in ordered], dtype=np.float64))
    else:
        return list(match(tubes, size, tolerance_pct).sets)
    sets = [_set([ordered[place] for place in group]) for group in groups]
    return sorted(
        (one for one in sets if one.mismatch_pct <= tolerance_pct), key=lambda one: (one.mismatch_pct, one.tags)
    )


def _nearest_pairs(figures: Vector) -> list[tuple[int, ...]]:
    """Each tube with those nearest to it, each pair once."""
    apart = (200 * np.abs(figures[:, None] - figures[None]) / (figures[:, None] + figures[None])).max(axis=2)
    np.fill_diagonal(apart, np.inf)
    near = np.argsort(apart, axis=1, kind="stable")[:, : min(MOST_NEAR, len(figures) - 1)]
    pairs = {(min(one, other), max(one, other)) for one, row in enumerate(near.tolist()) for other in row}
    return sorted(pairs)


def _check(tubes: Sequence[Candidate], size: int, tolerance_pct: float) -> None:
    if not 2 <= size <= MOST_SIZE:
        raise MatchRefused(f"size {size}: expected sets of 2 to {MOST_SIZE} tubes")
    if not 0 <= tolerance_pct <= 100:
        raise MatchRefused(f"tolerance {tolerance_pct:g}: expected percent from 0 to 100")
    if len(tubes) > MOST_TUBES:
        raise MatchRefused(f"{len(tubes)} tubes; at most {MOST_TUBES} are matched at once")
    if len({tube.tag for tube in tubes}) < len(tubes):
        raise MatchRefused("a tube is in the list twice")
    if {len(tube.readings) for tube in tubes} not in ({1}, {2}, set()):
        raise MatchRefused("expected one reading of every tube, or two of every tube")
    for tube in tubes:
        if not all(0 < reading < math.inf for reading in tube.readings):
            raise MatchRefused(f"tube {tube.tag}: a match needs readings above 0")


def _set(tubes: Sequence[Candidate]) -> MatchedTubes:
    widest = max(mismatch_pct(*values) for values in zip(*(tube.readings for tube in tubes), strict=True))
    return MatchedTubes(tuple(tube.tag for tube in tubes), tuple(tube.readings for tube in tubes), widest)


def _runs(figures: Vector, size: int, tolerance_pct: float) -> list[tuple[int, ...]]:
    """Most sets of neighbours, then the least total mismatch: best way to the end from every place, backwards."""
    count = len(figures)
    best: list[tuple[int, float]] = [(0, 0.0)] * (count + 1)  # fewer sets is more; then the mismatch
    takes = [False] * (count + 1)
    for place in range(count - 1, -1, -1):
        best[place] = best[place + 1]
        if place + size > count:
            continue
        cost = mismatch_pct(float(figures[place]), float(figures[place + size - 1]))
        after = best[place + size]
        if cost <= tolerance_pct and (mine := (after[0] - 1, after[1] + cost)) < best[place]:
            best[place], takes[place] = mine, True
    groups, place = [], 0
    while place < count:
        if takes[place]:
            groups.append(tuple(range(place, place + size)))
        place += size if takes[place] else 1
    return groups


def _closest(figures: Vector, size: int, tolerance_pct: float) -> list[tuple[int, ...]]:
    """The closest set around any tube, then the closest of those left, until none is within the tolerance."""
    free, groups = np.arange(len(figures)), []
    while len(free) >= size:
        values = figures[free]
        low = np.minimum(values[:, None], values[None])
        apart = (200 * (np.maximum(values[:, None], values[None]) - low) / (values[:, None] + values[None])).max(axis=2)
        near = np.argsort(apart, axis=1, kind="stable")[:, :size]
        least, most = values[near].min(axis=1), values[near].max(axis=1)
        widths = (200 * (most - least) / (most + least)).max(axis=1)
        order = np.argsort(widths, kind="stable")
        taken: set[int] = set()
        for place in order[widths[order] <= tolerance_pct].tolist():
            group = near[place].tolist()
            if not taken.intersection(group):
                taken.update(group)
                groups.append(tuple(int(free[one]) for one in group))
        if not taken:
            break
        free = np.delete(free, sorted(taken))
    return groups


_WORDS = {
    EXACT: "No choice gives more pairs, and none as many with less mismatch in all.",
    NEAREST: "No choice gives more pairs; the mismatch is the least when each tube looks at its nearest only.",
    NEIGHBOURS: "No choice gives more sets; the mismatch is the least for sets of neighbours.",
    CLOSEST_FIRST: "Chosen by a rule of thumb, the closest set first: another choice may give more.",
}


def _text(sets: Sequence[MatchedTubes], left: Sequence[str], size: int, tolerance_pct: float, method: str) -> str:
    name = "pair" if size == 2 else f"set of {size}"
    if not sets:
        return f"No {name} within {tolerance_pct:g} %; {len(left)} looked at."
    many = name.replace("set", "sets").replace("pair", "pairs") if len(sets) > 1 else name
    return f"{len(sets)} {many} within {tolerance_pct:g} %, {len(left)} left. {_WORDS[method]}"
