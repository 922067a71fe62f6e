"""A stand-in for the reader of print: it gives the lines that a test lays down, and takes any picture."""

import io
from contextlib import contextmanager

from PIL import Image

from inventory.holdings.rules.photo_lines import Line


def line(text, left=300, top=300, score=0.99, height=40):
    """A level line; every letter is 0.6 of its height wide."""
    right, bottom = left + int(0.6 * height * len(text)), top + height
    return Line(text, score, ((left, top), (right, top), (right, bottom), (left, bottom)))


def upright(text, left=300, top=300, score=0.99, height=40):
    """A line that runs down, as on a tube photographed across."""
    right, bottom = left + height, top + int(0.6 * height * len(text))
    return Line(text, score, ((left, top), (right, top), (right, bottom), (left, bottom)))


class StandIn:
    """``looks``: the lines of each look at a picture, the last of them for all further ones.

    ``second``: what a second look at a line says, where that is not the same.
    """

    def __init__(self, *looks, second=None):
        self.looks, self.second, self.asked = list(looks), second, 0

    def lines(self, picture):
        self.asked += 1
        return self.looks.pop(0) if len(self.looks) > 1 else self.looks[0]

    def again(self, picture, line):
        return line.text if self.second is None else self.second


def put_in(monkeypatch, stand_in, *, busy=False):
    """Let page and command ask the stand-in."""
    from inventory.holdings.queries.photo_engine import EngineBusy  # the rules' tests run without Django

    @contextmanager
    def engine():
        if busy:
            raise EngineBusy("Another photograph is being read just now. Try again in a minute.")
        yield stand_in

    for module in ("views.stamp_photo", "management.commands.read_photo"):
        monkeypatch.setattr(f"inventory.holdings.{module}.engine", engine)
    monkeypatch.setattr("inventory.holdings.views.stamp_photo.is_installed", lambda: True)
    return stand_in


def jpeg(size=(1000, 1000), colour="#333333"):
    """A picture with nothing on it."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()
