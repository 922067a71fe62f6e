"""Runs of tags as people type them: ``T-0003..T-0010``, ``T-0003 to T-0010``, ``T-0003–10``."""

import re

MOST = 2000  # tags in one run, and things that are acted on at once
IN_PARTS = "Narrow the list and take them in parts."
_RUN = re.compile(r"(?<![\w-])([A-Z]{1,4}-)(\d{1,8})\s*(?:\.\.+|…|–|—|\bto\b)\s*(?:\1)?(\d{1,8})\b", re.IGNORECASE)


def with_runs(text: str) -> str:
    """A text in which every run of tags is written out, one tag a line.

    Raises ValueError for a run that is backward or longer than anybody means.
    """
    return _RUN.sub(_written_out, text)


def _written_out(run: re.Match[str]) -> str:
    prefix, first, last = run.groups()
    if not 0 <= int(last) - int(first) < MOST:
        raise ValueError(f"{run[0].upper()} is no run of tags: it must go up, and hold at most {MOST}.")
    tags = (f"{prefix.upper()}{number:0{len(first)}d}" for number in range(int(first), int(last) + 1))
    return "\n".join(("", *tags, ""))
