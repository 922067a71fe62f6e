"""The reader of print in pictures: rapidocr, an optional extra (``photo``), with the models that came in its package.

Loaded when a picture is first read, and kept: loading takes seconds and some 300 MB. It never asks the net: the models
are named by their files, and where one is missing nothing is read.
"""

import importlib.util
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from PIL import Image, ImageOps

from inventory.holdings.rules.photo_lines import Line

INSTALL = (
    "Reading print from pictures is not installed here. Whoever looks after this program adds it by pip install "
    "'.[photo]' in the folder of the program, and starts it again; it then works without the net."
)
WAIT_S = 20.0  # for the picture before this one
_MODELS = {"Det": "*_det_*.onnx", "Cls": "*_cls_*.onnx", "Rec": "*_rec_*.onnx"}
_one = threading.Lock()


class Engine(Protocol):
    """What reads print. Both methods take plain RGB pictures."""

    def lines(self, picture: Image.Image) -> list[Line]:
        """Every line of print that is found, with corners in pixels of the picture."""

    def again(self, picture: Image.Image, line: Line) -> str:
        """What a second look at one line reads, cut out otherwise and with full contrast; empty where nothing is."""


class EngineMissing(Exception):
    """The extra is not there, or cannot be loaded on this machine; the words say what to do."""


class EngineBusy(Exception):
    """Another picture is being read by this process and takes long."""


def is_installed() -> bool:
    """Whether the extra is there; nothing is loaded."""
    return all(importlib.util.find_spec(name) is not None for name in ("rapidocr", "onnxruntime"))


@contextmanager
def engine() -> Iterator[Engine]:
    """The reader, for one picture of this process at a time. Raises EngineBusy, and EngineMissing."""
    if not is_installed():
        raise EngineMissing(INSTALL)
    if not _one.acquire(timeout=WAIT_S):
        raise EngineBusy("Another photograph is being read just now. Try again in a minute.")
    try:
        yield _loaded()
    finally:
        _one.release()


@lru_cache(maxsize=1)
def _loaded() -> "RapidEngine":
    return RapidEngine()


class RapidEngine:
    """rapidocr 3 with its own models. Raises EngineMissing where it cannot be loaded."""

    def __init__(self) -> None:
        try:
            self._load()
        except (ImportError, OSError) as fault:  # found, but a library of the system is missing to it
            raise EngineMissing(f"What reads print from pictures cannot be loaded here: {fault}. {INSTALL}") from fault

    def _load(self) -> None:
        import rapidocr

        folder = Path(rapidocr.__file__).parent / "models"
        params: dict[str, Any] = {"Global.log_level": "error", "Global.text_score": 0.0}
        for part, pattern in _MODELS.items():
            files = sorted(folder.glob(pattern))
            if not files:
                raise EngineMissing(f"rapidocr came without its models ({pattern}). {INSTALL}")
            params[f"{part}.model_path"] = str(files[0])  # else it would fetch what it misses
        self._reader = rapidocr.RapidOCR(params=params)

    def lines(self, picture: Image.Image) -> list[Line]:
        found = self._reader(_pixels(picture), use_det=True, use_cls=True, use_rec=True)
        boxes, texts, scores = (getattr(found, name, None) for name in ("boxes", "txts", "scores"))
        if boxes is None or texts is None or scores is None:
            return []
        return [
            Line(str(text), float(score), tuple((float(x), float(y)) for x, y in box))  # type: ignore[arg-type]
            for box, text, score in zip(boxes, texts, scores, strict=True)
        ]

    def again(self, picture: Image.Image, line: Line) -> str:
        found = self._reader(_pixels(straightened(picture, line)), use_det=False, use_cls=True, use_rec=True)
        texts = getattr(found, "txts", None) or ()
        return str(texts[0]) if texts else ""


def _pixels(picture: Image.Image) -> Any:
    """Blue, green, red, as OpenCV has them."""
    return np.ascontiguousarray(np.asarray(picture.convert("RGB"))[:, :, ::-1])


def straightened(picture: Image.Image, line: Line) -> Image.Image:
    """The piece of a picture that holds a line, with some ground around it, laid level and with full contrast."""
    width, height = (max(round(one), 8) for one in _sides(line))
    middle = np.mean(line.corners, axis=0)
    room = 1 + 0.25 * min(width, height) / np.array([width, height])
    across = (np.array(line.corners[1]) - np.array(line.corners[0])) / width
    down = (np.array(line.corners[3]) - np.array(line.corners[0])) / height
    corners = []
    for x, y in ((-1, -1), (-1, 1), (1, 1), (1, -1)):  # as Pillow wants a quadrilateral: against the clock
        corners += list(middle + x * across * width * room[0] / 2 + y * down * height * room[1] / 2)
    size = round(width * room[0]), round(height * room[1])
    piece = picture.transform(size, Image.Transform.QUAD, corners, Image.Resampling.BICUBIC)
    if size[1] > 1.5 * size[0]:
        piece = piece.rotate(90, expand=True)
    return ImageOps.autocontrast(piece, cutoff=1)


def _sides(line: Line) -> tuple[float, float]:
    one, two, _, four = (np.array(corner) for corner in line.corners)
    return float(np.linalg.norm(two - one)), float(np.linalg.norm(four - one))
