"""A line of the archive: how a value is written in JSON, and how it is read again with every doubt named."""

import json
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from math import isfinite
from typing import Any

FORMAT, VERSION = "filamentry collection", 1
LONGEST_LINE = 16_000_000  # bytes
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_EXACT = re.compile(r"-?\d{1,40}(\.\d{1,40})?")
_CLOCK = re.compile(r"\d\d:\d\d:\d\d(\.\d{1,6})?")
WANTED = {
    "text": "a text without NUL",
    "whole": "a whole number",
    "number": "a number",
    "exact": 'a decimal figure as a text, for example "12.50"',
    "yes": "true or false",
    "day": "a date YYYY-MM-DD",
    "clock": "a time HH:MM:SS",
    "moment": "a date and time with its offset from UTC",
    "json": "a JSON value without NUL",
}


@dataclass(frozen=True)
class LineFault:
    """What is wrong in an archive: which member, which line, which field, what was found and what was expected."""

    member: str
    line: int
    field: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.member}:{self.line}: {self.field}: {self.found}, expected {self.expected}"


class NotThat(ValueError):
    """A value that is not what its field holds; the text says what was expected."""


def write_line(row: dict[str, Any]) -> str:
    """One line, without its line end. The order of the names is kept. Raises ValueError for NaN and infinities."""
    return json.dumps(row, ensure_ascii=False, allow_nan=False)


def read_line(text: bytes) -> dict[str, Any]:
    """The names and values of a line. Raises NotThat."""
    try:
        row = json.loads(text.decode("utf-8"), parse_constant=_no_constant, object_pairs_hook=_once)
    except UnicodeDecodeError as fault:
        raise NotThat("UTF-8") from fault
    except (ValueError, RecursionError) as fault:
        raise NotThat(f"one JSON object on the line ({str(fault)[:80]})") from fault
    if not isinstance(row, dict):
        raise NotThat("one JSON object on the line")
    return row


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name} is no JSON")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    row = dict(pairs)
    if len(row) != len(pairs):
        raise ValueError("a name stands twice")
    return row


def written(kind: str, value: Any) -> Any:
    """A value of the database as JSON holds it; ``kind`` is one of WANTED."""
    if value is None:
        return None
    if kind == "moment":
        return value.astimezone(UTC).isoformat()
    if kind in ("day", "clock"):
        return value.isoformat()
    if kind == "json":
        return in_order(value)
    if kind == "exact":
        return f"{value:f}"
    if kind == "text":
        return str(value)
    return value


def in_order(value: Any) -> Any:
    """A JSON value with all names in order, so that equal values are written alike."""
    if isinstance(value, dict):
        return {name: in_order(value[name]) for name in sorted(value)}
    return [in_order(one) for one in value] if isinstance(value, list | tuple) else value


def read(kind: str, raw: Any) -> Any:
    """The value behind ``raw``. Raises NotThat, naming what was expected."""
    try:
        return _READERS[kind](raw)
    except (ValueError, TypeError, OverflowError, RecursionError) as fault:
        raise NotThat(WANTED[kind]) from fault


def _text(raw: Any) -> str:
    if not isinstance(raw, str) or "\x00" in raw:
        raise ValueError
    raw.encode("utf-8")  # a lone surrogate is no text
    return raw


def _whole(raw: Any) -> int:
    if not isinstance(raw, int) or isinstance(raw, bool) or abs(raw) >= 2**63:
        raise ValueError
    return raw


def _number(raw: Any) -> float:
    if not isinstance(raw, int | float) or isinstance(raw, bool) or not isfinite(raw):
        raise ValueError
    return float(raw)


def _exact(raw: Any) -> Decimal:
    if not _EXACT.fullmatch(raw):
        raise ValueError
    return Decimal(raw)


def _yes(raw: Any) -> bool:
    if not isinstance(raw, bool):
        raise ValueError
    return raw


def _day(raw: Any) -> date:
    if not _DAY.fullmatch(raw):
        raise ValueError
    return date.fromisoformat(raw)


def _clock(raw: Any) -> time:
    if not _CLOCK.fullmatch(raw):
        raise ValueError
    return time.fromisoformat(raw)


def _moment(raw: Any) -> datetime:
    value = datetime.fromisoformat(raw)
    if value.tzinfo is None:
        raise ValueError
    return value.astimezone(UTC)


def _json(raw: Any) -> Any:
    text = json.dumps(raw, allow_nan=False)
    if "\\u0000" in text.replace("\\\\", ""):
        raise ValueError
    json.dumps(raw, ensure_ascii=False).encode("utf-8")
    return raw


_READERS = {
    "text": _text,
    "whole": _whole,
    "number": _number,
    "exact": _exact,
    "yes": _yes,
    "day": _day,
    "clock": _clock,
    "moment": _moment,
    "json": _json,
}


def frozen(key: Any) -> Any:
    """A key from JSON as something that can be looked up: lists become tuples, ``{"gone": 3}`` becomes ("gone", 3)."""
    if isinstance(key, dict):
        return tuple((name, frozen(value)) for name, value in sorted(key.items()))
    return tuple(frozen(part) for part in key) if isinstance(key, list | tuple) else key
