"""What is built from all rows of tube knowledge is kept by this process until a row changes, here or elsewhere.

The state's token is written in the transaction that changes a row, so nobody sees the one without the other.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from tubes.models import State

Built = TypeVar("Built")
MOST = 3  # states of each thing that are kept: a rolled-back transaction gives way to the one before

_kept: dict[str, dict[str, Any]] = {}


def _token() -> str | None:
    return State.objects.filter(pk=1).values_list("token", flat=True).first()


def kept(name: str, build: Callable[[], Built]) -> Built:
    """What ``build`` makes of the rows, made anew only where they changed (one query where they did not).

    What was read while rows changed is handed out and not kept. Nobody may change what is handed out.
    """
    token = _token()
    held = _kept.get(name, {})
    if token in held:
        found: Built = held[token]
        return found
    built = build()
    if token is not None and _token() == token:
        _kept[name] = {**dict(list(held.items())[1 - MOST :]), token: built}
    return built
