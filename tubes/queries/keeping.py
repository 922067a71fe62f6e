"""What is built from all rows of tube knowledge is kept by this process until a row changes, here or elsewhere.

The state's token is written in the transaction that changes a row, so nobody sees the one without the other.
"""

from collections.abc import Callable
from threading import RLock
from typing import Any, TypeVar, cast

from tubes.models import State

Built = TypeVar("Built")
MOST = 3  # states of each thing that are kept: a rolled-back transaction gives way to the one before

_kept: dict[str, dict[Any, Any]] = {}
_building: dict[str, RLock] = {}  # by name: one thread builds, others that want the same wait for it


def _token() -> str | None:
    return State.objects.filter(pk=1).values_list("token", flat=True).first()


def kept(
    name: str, build: Callable[[], Built], token_of: Callable[[], Any] | None = None, most: int = MOST
) -> Built:  # fmt: skip
    """What ``build`` makes of the rows, made anew only where they changed (one query where they did not).

    ``token_of``: what is another one as soon as a row that ``build`` reads is, None while nothing can be kept; that of
    tube knowledge, if not given. ``most``: states of it that are kept.

    What was read while rows changed is handed out and not kept. Nobody may change what is handed out. ``build`` only
    reads, so that whoever waits for it holds up nobody that it waits for.
    """
    token_of = token_of or _token
    token = token_of()
    if token in (held := _kept.get(name, {})):
        return cast(Built, held[token])
    lock = _building.setdefault(name, RLock())
    if waited := not lock.acquire(blocking=False):
        lock.acquire()
    try:
        if waited and (token := token_of()) in (held := _kept.get(name, {})):  # the other built it meanwhile
            return cast(Built, held[token])
        built = build()
        if token is not None and token_of() == token:
            _kept[name] = {**dict(list(held.items())[max(len(held) - most + 1, 0) :]), token: built}
        return built
    finally:
        lock.release()
