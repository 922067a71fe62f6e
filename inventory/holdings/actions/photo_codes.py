"""Codes in a photograph of a label, read by ZXing-C++ (an open reader of ISO/IEC 18004 and other codes)."""

from collections.abc import Iterator
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from PIL import Image, ImageFilter, ImageOps

from inventory.holdings.actions.papers import opened
from inventory.house.writing import refuse

LONGEST_SIDE = 2400  # pixels: more of a photograph only takes longer
SMALL_SIDES = (1200, 600)  # a label that fills the frame out of focus is sharper when it is made small
MOST_CODES = 20  # of one photograph
LONGEST_TEXT = 500  # letters of a code that are told


def codes_in(file: IO[bytes], name: str) -> list[str]:
    """The texts of the codes in a photograph, each once; none where none can be read.

    Nothing of the photograph is kept. Raises ValidationError (field ``photo``) for what is no picture or is too large.
    """
    most = settings.PAPER_MAX_MB * 1024 * 1024
    file.seek(0)
    body = file.read(most + 1)
    if len(body) > most:
        raise refuse("photo", f"{name} is larger than {settings.PAPER_MAX_MB} MB; make it smaller first.")
    try:
        with opened(body, name) as image:
            image.draft("L", (LONGEST_SIDE, LONGEST_SIDE))  # a JPEG is unpacked no larger than it is looked at
            grey = ImageOps.exif_transpose(_on_white(image)).convert("L")
    except ValidationError as refusal:
        raise refuse("photo", " ".join(refusal.messages).replace(" and no PDF", "")) from refusal
    grey.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    for tried in _ways_to_look(grey):
        if texts := _decoded(tried):
            return texts[:MOST_CODES]
    return []


def _on_white(image: Image.Image) -> Image.Image:
    """The same picture, with what is clear in it white: a code drawn on nothing is black on white."""
    if image.mode not in ("LA", "PA", "RGBA") and "transparency" not in image.info:
        return image
    clear = image.convert("RGBA")
    white = Image.new("RGBA", clear.size, "white")
    white.alpha_composite(clear)
    white.info = image.info  # which way is up
    return white.convert("RGB")


def _ways_to_look(grey: Image.Image) -> Iterator[Image.Image]:
    """The photograph as it is, then as it may be read where it is dark, soft, or a code is small in it."""
    yield grey
    even = ImageOps.autocontrast(grey, cutoff=2)
    yield even
    for side in SMALL_SIDES:
        if max(grey.size) > side:
            small = even.copy()
            small.thumbnail((side, side))
            yield small
            yield small.filter(ImageFilter.UnsharpMask(radius=3, percent=300, threshold=0))
    yield even.filter(ImageFilter.UnsharpMask(radius=6, percent=300, threshold=0))
    if max(grey.size) <= LONGEST_SIDE // 2:
        large = even.resize((grey.width * 2, grey.height * 2), Image.Resampling.LANCZOS)
        yield large
        yield large.filter(ImageFilter.UnsharpMask(radius=6, percent=300, threshold=0))


def _decoded(image: Image.Image) -> list[str]:
    import zxingcpp  # loads slowly: when a photograph is there

    found: list[Any] = list(zxingcpp.read_barcodes(image))
    texts = [code.text.replace("\x00", "").strip()[:LONGEST_TEXT] for code in found]
    return list(dict.fromkeys(text for text in texts if text))
