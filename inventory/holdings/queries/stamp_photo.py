"""What is stamped on the tubes and cartons of a photograph: candidates to be confirmed, never an entry."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from PIL import Image, ImageFilter, ImageOps

from inventory.holdings.queries.photo_engine import Engine
from inventory.holdings.queries.shelf import ShelfReading, shelf_readings
from inventory.holdings.rules.look_alikes import dated
from inventory.holdings.rules.photo_candidates import Against, Candidate, Candidates, Made, Read, candidates
from inventory.holdings.rules.photo_lines import Line
from tubes.queries import Knowledge, knowledge, tube_for_stamp

LONGEST = 2000  # pixels of the longer side that are looked at
SECONDS = 20.0  # after which no further way of looking is begun


@dataclass(frozen=True)
class Proposed:
    """A candidate with what the stamp reader and the register say of its text; maker and date code as read from it,
    and a date code that is not sure enough to be filled in.
    """

    candidate: Candidate
    reading: ShelfReading
    maker: str
    date_code: str
    date_in_doubt: str = ""

    def as_dict(self) -> dict[str, Any]:
        one, kind = self.candidate, self.reading.type
        return {
            "text": one.text,
            "score": one.score,
            "box": list(one.box),
            "type": kind.name if kind else None,
            "clear": one.clear,
            "against": [str(why) for why in one.against],
            "says": self.reading.says,
            "others": [{"text": other.text, "type": other.type} for other in one.others],
            "beside": list(one.beside),
            "maker": self.maker,
            "date_code": self.date_code,
            "date_code_in_doubt": self.date_in_doubt,
            "reading": self.reading.answer.as_dict(),
        }


@dataclass(frozen=True)
class PhotoReading:
    """``picture``: as it was looked at, ``turned`` by so many degrees with the clock; boxes are in its pixels."""

    picture: Image.Image
    turned: int
    proposed: tuple[Proposed, ...]
    words: tuple[str, ...]
    unread: int
    more: tuple[str, ...] = ()

    @property
    def told(self) -> str:
        """What came of it, in a sentence or two."""
        if self.proposed:
            settled = sum(one.reading.type is not None for one in self.proposed)
            said = f"{len(self.proposed)} found, {settled} with a type."
        elif self.words:
            said = "Print was read, and no number of a tube in it."
        else:
            said = "No print could be read. Nearer, sharper, with light from the side and less glare it may be."
        if self.unread:
            said += f" {self.unread} place{'s' if self.unread > 1 else ''} with print that cannot be read."
        if count := len(self.more):
            shown = "1 more place was" if count == 1 else f"{count} more places were"
            said += f" {shown} read and not shown: take nearer pictures, of fewer things each."
        return said

    def as_dict(self) -> dict[str, Any]:
        return {
            "width": self.picture.width,
            "height": self.picture.height,
            "turned": self.turned,
            "told": self.told,
            "candidates": [one.as_dict() for one in self.proposed],
            "words": list(self.words),
            "unread": self.unread,
            "more": list(self.more),
        }


def read_photo(picture: Image.Image, engine: Engine, *, seconds: float = SECONDS) -> PhotoReading:
    """Look at an upright picture: as it is, and softened and turned where that settles no type.

    A number of queries that does not grow with what stands on the picture.
    """
    known = knowledge()
    picture = _no_larger(picture.convert("RGB"))
    found, turned, seen = _looked_at(picture, engine, _reads(known), time.monotonic() + seconds)
    readings = shelf_readings(one.text for one in found.found)
    proposed = (Proposed(one, said, *_beside(one, said)) for one, said in zip(found.found, readings, strict=True))
    return PhotoReading(seen, turned, tuple(proposed), found.words, found.unread, found.more)


def _reads(known: Knowledge) -> Read:
    """The one reader of stamps, as the rules ask it; each text once."""
    told: dict[str, Made] = {}

    def read(text: str) -> Made:
        if text not in told:
            answer = known.read(text)
            name = tube_for_stamp(answer, known).type
            meanings = tuple(dict.fromkeys(one.type for one in answer.readings if one.type))
            told[text] = Made(name, known.kin.same_as(name) if name else frozenset(), meanings)
        return told[text]

    return read


def _beside(one: Candidate, said: ShelfReading) -> tuple[str, str, str]:
    """(maker by its code, date code, date code in doubt) as far as the stamp tells them; nothing doubtful as sure."""
    makers = {reading.maker for reading in said.answer.readings if reading.maker}
    sure = len(makers) == 1 and not {Against.WEAK, Against.WORDS, Against.SECOND} & set(one.against)
    date = dated(" ".join([said.answer.leftover, *one.beside]))
    doubtful = any(date in text for text in one.unsure)
    return (makers.pop() if sure else ""), ("" if doubtful else date), (date if doubtful else "")


def _looked_at(picture: Image.Image, engine: Engine, read: Read, until: float) -> tuple[Candidates, int, Image.Image]:
    """The best of several looks, how far the picture was turned for it, and the picture so."""
    best: tuple[Candidates, int, Image.Image] | None = None
    for turned, seen, shown in _ways(picture):
        if best and (best[0].settled or time.monotonic() > until):
            break
        scale = shown.width / seen.width
        lines = [_scaled(line, scale) for line in engine.lines(seen)]
        found = candidates(lines, shown.size, read, partial(engine.again, shown))
        if best is None or _worth(found) > _worth(best[0]):
            best = found, turned, shown
    assert best is not None
    return best


def _ways(picture: Image.Image) -> Iterator[tuple[int, Image.Image, Image.Image]]:
    """(degrees with the clock, what is read, the same as it is shown): the way of a picture that needs least first."""
    yield 0, picture, picture
    half = picture.resize((max(picture.width // 2, 1), max(picture.height // 2, 1)), Image.Resampling.LANCZOS)
    yield 0, ImageOps.autocontrast(half.filter(ImageFilter.MedianFilter(3)), cutoff=1), picture
    for turned in (90, 270):
        other = picture.rotate(-turned, expand=True)
        yield turned, other, other


def _worth(found: Candidates) -> tuple[int, int, float]:
    return found.settled, len(found.found), sum(one.score for one in found.found) + 0.1 * len(found.words)


def _scaled(line: Line, scale: float) -> Line:
    corners = tuple((x * scale, y * scale) for x, y in line.corners)
    return Line(line.text, line.score, corners)  # type: ignore[arg-type]


def _no_larger(picture: Image.Image) -> Image.Image:
    if max(picture.size) <= LONGEST:
        return picture
    small = picture.copy()
    small.thumbnail((LONGEST, LONGEST), Image.Resampling.LANCZOS)
    return small
