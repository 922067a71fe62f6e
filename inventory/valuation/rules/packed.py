"""Many rows as zipped text, a sheet of them at a time, so that a million go into one JSON value and a few come out.

PostgreSQL takes at most 268,435,455 bytes in an array of jsonb, which 700,000 rows of evidence outgrow.
"""

import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import islice
from typing import Any, overload

AT_ONCE = 5_000


def packed(rows: Iterable[Any]) -> list[str]:
    """Rows that JSON can hold as sheets of zipped text, ``AT_ONCE`` in each but the last."""
    left, sheets = iter(rows), []
    while some := list(islice(left, AT_ONCE)):
        sheets.append(b64encode(zlib.compress(json.dumps(some, ensure_ascii=False).encode())).decode())
    return sheets


class Rows(Sequence[Any]):
    """Packed rows; only the sheets that are asked for are unzipped."""

    def __init__(self, sheets: Sequence[str], count: int) -> None:
        self._count = count
        self._sheet = lru_cache(2)(lambda number: json.loads(zlib.decompress(b64decode(sheets[number]))))

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[Any]:
        return (self._at(number) for number in range(self._count))

    @overload
    def __getitem__(self, at: int) -> Any: ...
    @overload
    def __getitem__(self, at: slice) -> list[Any]: ...
    def __getitem__(self, at: int | slice) -> Any:
        numbers = range(self._count)[at]
        return list(map(self._at, numbers)) if isinstance(numbers, range) else self._at(numbers)

    def _at(self, number: int) -> Any:
        return self._sheet(number // AT_ONCE)[number % AT_ONCE]
