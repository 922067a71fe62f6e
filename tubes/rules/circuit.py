"""A heater circuit as text: ``(838+838) | (838+838) | 801A``; ``+`` in series, ``|`` in parallel, brackets nest.

``+`` binds closer than ``|``: ``A+B|C`` is two branches. A tube is any stamp without ``+ | ( )``.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

LONGEST = 2000  # characters
DEEPEST = 20  # brackets


class CircuitFault(ValueError):
    """A text that is no circuit; the message names the character."""


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube as written, and where (character, from 1)."""

    text: str
    at: int


@dataclass(frozen=True, slots=True)
class Series:
    parts: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Parallel:
    parts: tuple["Node", ...]


Node = Tube | Series | Parallel


def parse_circuit(text: str) -> Node:
    """The circuit that a text states. Raises CircuitFault."""
    if len(text) > LONGEST:
        raise CircuitFault(f"the circuit has {len(text)} characters; expected at most {LONGEST}")
    reader = _Reader(text)
    node = reader.parallel(0)
    if reader.here is not None:
        raise reader.fault("expected + or | or the end")
    return node


def branches(node: Node) -> tuple[Node, ...]:
    """The branches that hang on the supply."""
    return node.parts if isinstance(node, Parallel) else (node,)


def tubes_in(node: Node) -> Iterator[Tube]:
    """All tubes of a circuit, in the order written."""
    if isinstance(node, Tube):
        yield node
    else:
        for part in node.parts:
            yield from tubes_in(part)


@dataclass
class _Reader:
    text: str
    spot: int = 0

    @property
    def here(self) -> str | None:
        """The character at hand, spaces passed over; None at the end."""
        while self.spot < len(self.text) and self.text[self.spot].isspace():
            self.spot += 1
        return self.text[self.spot] if self.spot < len(self.text) else None

    def fault(self, expected: str) -> CircuitFault:
        found = "the end" if self.here is None else repr(self.here)
        return CircuitFault(f"character {self.spot + 1}: found {found}, {expected}")

    def parallel(self, depth: int) -> Node:
        return self._chain("|", lambda: self.series(depth), Parallel)

    def series(self, depth: int) -> Node:
        return self._chain("+", lambda: self.one(depth), Series)

    def _chain(self, sign: str, part: Callable[[], Node], kind: type[Series] | type[Parallel]) -> Node:
        parts = [part()]
        while self.here == sign:
            self.spot += 1
            parts.append(part())
        if len(parts) == 1:
            return parts[0]
        flat = [inner for one in parts for inner in (one.parts if isinstance(one, kind) else (one,))]
        return kind(tuple(flat))

    def one(self, depth: int) -> Node:
        if self.here == "(":
            if depth >= DEEPEST:
                raise self.fault(f"expected at most {DEEPEST} brackets within each other")
            self.spot += 1
            node = self.parallel(depth + 1)
            if self.here != ")":
                raise self.fault("expected )")
            self.spot += 1
            return node
        if self.here is None or self.here in "+|)":
            raise self.fault("expected a tube or (")
        start = self.spot
        while self.spot < len(self.text) and self.text[self.spot] not in "+|()":
            self.spot += 1
        return Tube(self.text[start : self.spot].strip(), start + 1)
