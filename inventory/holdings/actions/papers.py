"""Photographs and papers: what is taken in, what is removed from it, where it is kept.

An upload is judged by its content, never by its name or the type that the browser claims. An image is decoded, turned
upright and written anew from its pixels alone, so that nothing else that was in the file (position, camera, comments,
another file glued to its end) is kept; a HEIC of a phone becomes a JPEG. A PDF is kept byte for byte.
"""

import hashlib
import io
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from PIL import Image, ImageCms, ImageOps

from inventory.holdings.actions.locking import locked
from inventory.holdings.models import Item, Paper
from inventory.house.writing import person_or_none, refuse, remove, write

FORMATS = ("JPEG", "PNG", "WEBP")
# ISO/IEC 23008-12, annex B and clause 10: what a phone's HEIC names as its brand, or as one it agrees with
HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
THUMBNAIL = 360  # pixels of the longer side
EXIF_IFD, TAKEN = 0x8769, 36867  # Exif 2.32, table 4 and 4.6.5: pointer to the Exif IFD, DateTimeOriginal
TAIL = 1024  # a PDF ends with %%EOF in its last 1024 bytes (ISO 32000-1, Annex H, implementation note 18)


@dataclass(frozen=True)
class Intake:
    """A file as it will be kept; ``taken``: the day that the camera wrote into it."""

    body: bytes
    suffix: str
    thumbnail: bytes
    taken: date | None = None

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.body).hexdigest()

    @property
    def is_image(self) -> bool:
        return self.suffix != ".pdf"


def take_in(file: IO[bytes], name: str) -> Intake:
    """Read one upload. Raises ValidationError (field ``uploads``) naming the file, what is wrong and what would do."""
    most = settings.PAPER_MAX_MB * 1024 * 1024
    file.seek(0)
    body = file.read(most + 1)
    if len(body) > most:
        raise refuse("uploads", f"{name} is larger than {settings.PAPER_MAX_MB} MB; make it smaller first.")
    if body.startswith(b"%PDF-"):
        if b"%%EOF" not in body[-TAIL:]:
            raise refuse("uploads", f"{name} begins as a PDF but its end is missing; copy it again.")
        return Intake(body, ".pdf", b"")
    return _take_in_image(body, name)


def picture_of(file: IO[bytes], name: str) -> Image.Image:
    """The upright picture of one upload, to be looked at and not kept. Raises ValidationError as ``take_in`` does."""
    intake = take_in(file, name)
    if not intake.is_image:
        raise refuse("uploads", f"{name} is a PDF; only pictures are read here.")
    picture = Image.open(io.BytesIO(intake.body))
    picture.load()
    return _on_white(picture).convert("RGB")


def reads_heic() -> bool:
    """Whether the pictures of phones in HEIC can be read here: where pi-heif is installed (extra ``heic``)."""
    try:
        import pi_heif
    except ImportError:
        return False
    pi_heif.register_heif_opener(thumbnails=False)  # again and again does no harm
    return True


def _is_heic(body: bytes) -> bool:
    """By the first box of the file: its length, ``ftyp``, the brand, a version, further brands."""
    if body[4:8] != b"ftyp":
        return False
    end = min(int.from_bytes(body[:4], "big"), TAIL)
    return bool({body[8:12], *(body[at : at + 4] for at in range(16, end, 4))} & HEIC_BRANDS)


def _formats(body: bytes, name: str) -> tuple[str, ...]:
    if not _is_heic(body):
        return FORMATS
    if not reads_heic():
        text = (
            f"{name} is a HEIC picture, as phones take them, and nothing here can read that. Save it as JPEG on the "
            "phone, or have pi-heif installed beside this program (pip install 'filamentry[heic]')."
        )
        raise refuse("uploads", text)
    return ("HEIF",)


@contextmanager
def opened(body: bytes, name: str) -> Iterator[Image.Image]:
    """A picture as it came, its size looked at first. Raises ValidationError (field ``uploads``) for what is none.

    What goes wrong while its pixels are read inside of the block counts as a damaged file, too.
    """
    formats = _formats(body, name)
    try:
        with Image.open(io.BytesIO(body), formats=formats) as image:
            _guard_size(image, name)
            yield image
    except ValidationError:
        raise
    except Image.DecompressionBombError as fault:
        raise _too_many_pixels(name) from fault
    except Exception as fault:  # Pillow's readers raise many kinds for damaged files; all mean the same here
        text = (
            f"{name} is no JPEG, PNG or WebP picture (nor HEIC where that is read) and no PDF; save it as one of these."
        )
        if formats is not FORMATS:
            text = f"{name} begins as a HEIC picture but cannot be read; copy it again, or save it as JPEG."
        raise refuse("uploads", text) from fault


def _take_in_image(body: bytes, name: str) -> Intake:
    with opened(body, name) as image:
        taken = _day_taken(image)
        bare, suffix = _bare(image)
    small = _on_white(bare)
    small.thumbnail((THUMBNAIL, THUMBNAIL))
    return Intake(_written(bare, suffix), suffix, _written(small, ".jpg", quality=80), taken)


def _guard_size(image: Image.Image, name: str) -> None:
    """Refuse by the size in the header, before a pixel is decoded: a small file can unpack to more than the memory."""
    if image.width * image.height > settings.PAPER_MAX_MEGAPIXELS * 1_000_000:
        raise _too_many_pixels(name)


def _too_many_pixels(name: str) -> ValidationError:
    text = f"{name} unpacks to more than {settings.PAPER_MAX_MEGAPIXELS} million pixels; make it smaller first."
    return refuse("uploads", text)


def _day_taken(image: Image.Image) -> date | None:
    text = str(image.getexif().get_ifd(EXIF_IFD).get(TAKEN, ""))
    try:
        return datetime.strptime(text[:10], "%Y:%m:%d").date()
    except ValueError:
        return None


def _bare(image: Image.Image) -> tuple[Image.Image, str]:
    """The upright pixels in plain colour with nothing else attached, and the suffix of the format to keep them in."""
    suffix = {"PNG": ".png", "WEBP": ".webp"}.get(image.format or "", ".jpg")  # MPO, several JPEGs in one, too
    profile = image.info.get("icc_profile")
    upright = ImageOps.exif_transpose(image)
    if upright.mode.startswith("I"):
        upright = _deep_grey(upright)
    clear = upright.mode in ("LA", "PA", "RGBA", "RGBa") or "transparency" in upright.info
    mode = "L" if upright.mode in ("1", "L") and not clear else "RGBA" if clear and suffix != ".jpg" else "RGB"
    if profile and upright.mode in ("RGB", "RGBA", "CMYK", "L"):
        upright = _to_srgb(upright, profile, mode)
    bare = Image.new(mode, upright.size)
    bare.paste(upright.convert(mode))
    return bare, suffix


def _deep_grey(image: Image.Image) -> Image.Image:
    """A grey scan of 16 bits a pixel in 8, which ``convert`` would only clip."""
    return image.convert("I").point(lambda value: value / 256).convert("L")


def _to_srgb(image: Image.Image, profile: bytes, mode: str) -> Image.Image:
    """Colours as the profile of the camera means them; the profile itself is not kept."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        changed = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode=mode)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return changed or image


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode != "RGBA":
        return image.copy()
    ground = Image.new("RGB", image.size, "white")
    ground.paste(image, mask=image.getchannel("A"))
    return ground


def _written(image: Image.Image, suffix: str, quality: int = 92) -> bytes:
    out = io.BytesIO()
    name = {".jpg": "JPEG", ".png": "PNG", ".webp": "WEBP"}[suffix]
    image.save(out, name, **({} if suffix == ".png" else {"quality": quality}))
    return out.getvalue()


def add_papers(
    item: Item,
    uploads: Iterable[Any],
    *,
    by: Any,
    kind: str,
    caption: str = "",
    dated: date | None = None,
    stage: str = "",
) -> list[Paper]:
    """Hang files on a thing: all of them or, when one is refused, none. Without a date the camera's is taken.

    ``stage``: taken before, during or after work on it, of photographs alone.
    """
    hung = [(item, take_in(upload, upload.name), upload.name) for upload in uploads]
    if not hung:
        raise refuse("uploads", "Choose at least one file.")
    return _hang(hung, by=by, kind=kind, caption=caption, dated=dated, stage=stage)


def add_to_each(items: Iterable[Item], upload: Any, *, by: Any, caption: str = "") -> list[Paper]:
    """Hang one photograph on each of several things, on all of them or on none."""
    intake = take_in(upload, upload.name)
    if not intake.is_image:
        raise refuse("uploads", f"{upload.name} is a PDF and no photograph.")
    return _hang([(item, intake, upload.name) for item in items], by=by, kind=Paper.PHOTOGRAPH, caption=caption)


def _hang(
    hung: Iterable[tuple[Item, Intake, str]],
    *,
    by: Any,
    kind: str,
    caption: str,
    dated: date | None = None,
    stage: str = "",
) -> list[Paper]:
    kept: list[Paper] = []
    try:
        with transaction.atomic():
            for item, intake, name in hung:
                locked(item)
                _refuse_twice(item, intake, name)
                paper = Paper(item=item, kind=kind if intake.is_image else Paper.PAPER, caption=caption.strip())
                paper.dated, paper.digest = dated or intake.taken, intake.digest
                paper.stage = stage if paper.kind == Paper.PHOTOGRAPH else ""
                paper.by = person_or_none(by)
                kept.append(paper)
                _store(paper, intake)
                write(paper, by=by)
    except BaseException:
        for paper in kept:
            _drop_files(paper)
        raise
    return kept


def _refuse_twice(item: Item, intake: Intake, name: str) -> None:
    twin = Paper.objects.filter(item=item, digest=intake.digest).first()
    if twin:
        raise refuse("uploads", f"{name} hangs on {item.tag} already: {twin}, entered {twin.entered_at:%Y-%m-%d}.")


def _store(paper: Paper, intake: Intake) -> None:
    """Put the bytes into the media store, under a name that says nothing of the keeper's own file name."""
    name = uuid.uuid4().hex
    paper.file.save(name + intake.suffix, ContentFile(intake.body), save=False)
    if intake.thumbnail:
        paper.thumbnail.save(name + ".jpg", ContentFile(intake.thumbnail), save=False)


def _drop_files(paper: Paper) -> None:
    for field in (paper.file, paper.thumbnail):
        if field and field.name:
            field.storage.delete(field.name)


def change_paper(paper: Paper, *, by: Any, reason: str = "") -> Paper:
    """Write a changed caption, date or kind."""
    if paper.kind == Paper.PHOTOGRAPH and not paper.thumbnail:
        raise refuse("kind", "This is a PDF, which is a paper.")
    return write(paper, by=by, reason=reason)


def remove_paper(paper: Paper, *, by: Any, reason: str = "") -> None:
    """Take a paper off its thing. Its row stays in the history; its bytes go once the change is safe."""
    with transaction.atomic():
        remove(paper, by=by, reason=reason)
        transaction.on_commit(lambda: _drop_files(paper))
