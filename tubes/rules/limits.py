"""Limits that rules judge by: data with a source each, never figures in the code.

Keys have a namespace: ``judge.`` substitution, ``supply.`` and ``life.`` filaments; ``test.``, ``match.``,
``activity.`` and ``hours.`` running records; ``spares.`` failures ahead; ``rectifier.`` drops of rectifiers, by type.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar, cast

from tubes.rules.sources import in_titles

Worked = TypeVar("Worked")

NAMESPACES = ("judge", "supply", "life", "test", "match", "activity", "hours", "spares", "rectifier")


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit: its value in ``unit``, what it means, key and title of its source, and whose row it is."""

    key: str
    value: float
    unit: str
    meaning: str
    source: str
    origin: str = "table"
    source_title: str = ""

    @property
    def source_told(self) -> str:
        """The text it rests on as a sentence names it: by its title."""
        return in_titles(self.source, {self.source: self.source_title})


class LimitMissing(KeyError, ValueError):
    """A limit that a rule asks for is not there."""

    def __str__(self) -> str:
        return f"the limit {self.args[0]} is not in the tables; load them with manage.py load_reference"


class Limits(Mapping[str, float]):
    """Limits by key: ``limits["judge.plate_v_over_pct"]`` is the figure, ``limits.row(key)`` the whole row.

    ``titles``: of texts that sentences name beside those of the limits, by key.
    """

    def __init__(self, rows: Mapping[str, Limit], titles: Mapping[str, str] | None = None) -> None:
        self._rows = rows
        self._titles = {**{row.source: row.source_title for row in rows.values()}, **(titles or {})}
        self._values = {key: row.value for key, row in rows.items()}
        self._sources: dict[tuple[str, ...], str] = {}
        self._worked_out: dict[object, object] = {}

    def __getitem__(self, key: str) -> float:
        try:
            return self._values[key]
        except KeyError:
            raise LimitMissing(key) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def row(self, key: str) -> Limit:
        try:
            return self._rows[key]
        except KeyError:
            raise LimitMissing(key) from None

    def told(self, *keys: str) -> str:
        """The sources of some limits as a sentence names them: by their titles, each once."""
        return "; ".join(dict.fromkeys(self.title(self.row(key).source) for key in keys))

    def title(self, source: str) -> str:
        """A text as a sentence names it: by its title, where that is known."""
        return in_titles(source, self._titles)

    def source(self, *keys: str) -> str:
        """The keys of the sources of some limits, each once."""
        if keys not in self._sources:  # asked for every finding of every judgement
            self._sources[keys] = ", ".join(dict.fromkeys(self.row(key).source for key in keys))
        return self._sources[keys]

    def once(self, key: object, work_out: Callable[[], Worked]) -> Worked:
        """What follows from the limits alone, worked out at the first asking; ``key`` is its name among all such."""
        if key not in self._worked_out:
            self._worked_out[key] = work_out()
        return cast(Worked, self._worked_out[key])


def key_fault(key: str) -> str:
    """What is wrong with a key, or nothing."""
    namespace, _, name = key.partition(".")
    if namespace in NAMESPACES and name and all(part.isidentifier() for part in name.split(".")):
        return ""
    return f"{key!r}, expected a name after one of {', '.join(f'{n}.' for n in NAMESPACES)}"


# A wider bound may not lie inside the narrower one: (lesser, greater).
_ORDER = (
    *((f"judge.heater_{side}_pct.{e}", f"judge.heater_care_{side}_pct.{e}")
      for side in ("low", "high") for e in ("oxide", "thoriated", "tungsten")),
    *((f"judge.{what}_{a}", f"judge.{what}_{b}")
      for what in ("mu", "gm") for a, b in (("care_low", "low"), ("low", "high"), ("high", "care_high"))),
    ("judge.heater_more_pct", "judge.heater_more_care_pct"),
    ("judge.assumed_w_pct", "judge.assumed_w_care_pct"),
    ("judge.regulation_pct", "judge.regulation_care_pct"),
    ("supply.inrush_low", "supply.inrush_high"),
    ("life.lamp_low", "life.lamp_high"),
)  # fmt: skip


LIFE_PCT, LIFE_EXPONENT = (0.1, 50.0), (0.0, 100.0)  # within these no life law leaves what a float holds


def value_fault(key: str, value: float, others: Mapping[str, float]) -> str:
    """What is wrong with a value for a limit beside the others in force, or nothing."""
    if key.startswith("life."):
        least, most = LIFE_PCT if key.endswith("_pct") else LIFE_EXPONENT
        if not least <= value <= most:
            return f"{value:g}: no law of life holds there; expected {least:g} to {most:g}"
    for lesser, greater in _ORDER:
        if key == lesser and greater in others and value > others[greater]:
            return f"{value:g} is more than {others[greater]:g}, the wider bound {greater}; change that one first"
        if key == greater and lesser in others and value < others[lesser]:
            return f"{value:g} is less than {others[lesser]:g}, the narrower bound {lesser}; change that one first"
    return ""
