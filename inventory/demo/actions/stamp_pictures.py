"""Made pictures of stamps, for measuring how well they are read: drawn, then spoilt as a photograph spoils them.

Synthetic, every one: type numbers are real, makers' marks and dates on them are invented. What a camera does to a tube
(curve, glare, wear) is drawn after common practice, no source; figures on such pictures compare readers and versions,
and promise nothing of real tubes.
"""

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
from django.conf import settings
from PIL import Image, ImageDraw, ImageFilter, ImageFont

Pixels = npt.NDArray[np.float64]  # height x width x 3, 0 to 255

MARKS = ("NORDLYS", "HALVARD TUBE CO", "ORRELL", "VESTA RADIO", "KESTREL", "BRENNAN & LOW")  # of no real maker
DATES = ("8-44", "43-12", "322", "K 6", "51-07", "3B5")
CARTON_WORDS = ("ELECTRON TUBE", "1 EACH", "PACKED 11/51", "FOR RADIO", "HANDLE WITH CARE")
LEVELS = {"light": 0.25, "middle": 0.6, "hard": 1.0}
SPOILT = ("blur", "curve", "turn", "noise", "low contrast", "glare", "wear")
_LIGHT_INKS = [(235, 235, 230), (225, 190, 90), (225, 120, 60), (170, 200, 180)]
SIDE = 1000  # pixels of a picture
FONTS = (
    "truetype/liberation/LiberationSans-Bold.ttf",
    "truetype/liberation/LiberationSansNarrow-Bold.ttf",
    "truetype/liberation/LiberationSerif-Bold.ttf",
    "truetype/liberation/LiberationMono-Bold.ttf",
    "truetype/dejavu/DejaVuSans.ttf",
    "truetype/dejavu/DejaVuSerifCondensed-Bold.ttf",
)
#: Faces in which no picture was made while the threshold of a clear reading was chosen.
HELD_BACK = (
    "truetype/liberation/LiberationSans-Regular.ttf",
    "truetype/liberation/LiberationSerif-BoldItalic.ttf",
    "truetype/liberation/LiberationMono-Regular.ttf",
    "truetype/dejavu/DejaVuSansMono-Bold.ttf",
    "truetype/dejavu/DejaVuSans-Bold.ttf",
    "truetype/dejavu/DejaVuSerif-Bold.ttf",
)


@dataclass(frozen=True)
class Stamp:
    """What stands on one thing, line by line, and the type that it means."""

    lines: tuple[str, ...]
    type: str
    carton: bool = False


@dataclass(frozen=True)
class MadePicture:
    """A picture as JPEG, what stands on it, and what it was spoilt by."""

    jpeg: bytes
    stamps: tuple[Stamp, ...]
    level: str
    spoilt: tuple[str, ...]


@lru_cache(maxsize=2)
def fonts(held_back: bool = False) -> tuple[Path, ...]:
    """Faces to draw with: the program's own two, and those of Debian that are here. ``held_back``: of Debian others
    alone, and none where there are none.
    """
    if held_back:
        return tuple(path for name in HELD_BACK if (path := Path("/usr/share/fonts") / name).exists())
    own = settings.BASE_DIR / "inventory" / "static" / "filamentry" / "fonts"
    found = [own / "DejaVuSansCondensed.ttf", own / "DejaVuSansCondensed-Bold.ttf"]
    return tuple(found + [path for name in FONTS if (path := Path("/usr/share/fonts") / name).exists()])


def made_stamp(mark: str, type_name: str, chance: np.random.Generator) -> Stamp:
    """A mark with what stands around it: a maker's mark, a date, a service mark, words of a carton."""
    carton = bool(chance.random() < 0.3)
    maker, date = (str(chance.choice(words)) for words in (MARKS, DATES))
    lines = [(mark,), (maker, mark, date), ("JAN", mark), (mark, maker), (mark, date)][int(chance.integers(5))]
    if not mark.isascii() and "JAN" in lines:
        lines = (mark,)
    return Stamp((*lines, str(chance.choice(CARTON_WORDS))) if carton else lines, type_name, carton)


def made_picture(
    stamps: tuple[Stamp, ...], level: str, chance: np.random.Generator, *, held_back: bool = False
) -> MadePicture:
    """Draw the things beside each other and spoil the picture; the same chance makes the same picture.

    ``held_back``: in other faces, and blurred in another way (evenly over a square rather than softly).
    """
    how = LEVELS[level]
    spoilt = tuple(name for name in SPOILT if chance.random() < 0.25 + 0.4 * how)
    width = SIDE // len(stamps)
    sheet = np.zeros((SIDE, SIDE, 3)) + chance.uniform(30, 200) + chance.normal(0, 6, 3)
    for number, stamp in enumerate(stamps):
        thing = _thing(stamp, width, how, spoilt, chance, fonts(held_back))
        top, left = (SIDE - thing.shape[0]) // 2, number * width + (width - thing.shape[1]) // 2
        sheet[top : top + thing.shape[0], left : left + thing.shape[1]] = thing
    picture = Image.fromarray(np.clip(sheet, 0, 255).astype(np.uint8))
    if "turn" in spoilt:
        fill = tuple(int(one) for one in np.clip(sheet[0, 0], 0, 255))
        picture = picture.rotate(chance.normal(0, 14 * how), Image.Resampling.BICUBIC, fillcolor=fill)
        if chance.random() < 0.4 * how:
            picture = picture.rotate(90 * int(chance.integers(1, 4)), expand=True)
    if "blur" in spoilt:
        kind = ImageFilter.BoxBlur if held_back else ImageFilter.GaussianBlur
        picture = picture.filter(kind(0.8 + 2.6 * how * chance.random()))
    pixels = np.asarray(picture, dtype=float)
    if "noise" in spoilt:
        pixels = pixels + chance.normal(0, 5 + 22 * how * chance.random(), pixels.shape)
    body = io.BytesIO()
    quality = int(92 - 45 * how * chance.random())
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(body, "JPEG", quality=quality)
    return MadePicture(body.getvalue(), stamps, level, spoilt)


def _thing(
    stamp: Stamp, room: int, how: float, spoilt: tuple[str, ...], chance: np.random.Generator, faces: tuple[Path, ...]
) -> Pixels:
    """One tube or carton, upright: its ground, the stamp on it, what lies over it."""
    width, height = int(room * (0.9 if stamp.carton else 0.8)), int(SIDE * 0.8)
    ground, ink = _carton(width, height, chance) if stamp.carton else _glass(width, height, chance)
    mask = _printed(stamp.lines, width, height, chance, faces)
    if "wear" in spoilt:
        mask = mask * _worn(mask.shape, how, chance)
    if "curve" in spoilt and not stamp.carton:
        mask = _round(mask)
    strength = chance.uniform(0.7, 1.0)
    if "low contrast" in spoilt:
        strength *= 1 - 0.75 * how * chance.random()
    mask = mask[..., None] * strength
    thing = ground * (1 - mask) + ink * mask
    if "glare" in spoilt:
        light = _glare(width, height, how, chance)[..., None]
        thing = thing * (1 - light) + 250 * light
    return thing


def _glass(width: int, height: int, chance: np.random.Generator) -> tuple[Pixels, Pixels]:
    """Smoked glass or a light can, darker to both edges; the ink is light on dark, dark on light."""
    across = np.linspace(-1, 1, width)
    shade = np.sqrt(np.clip(1 - 0.9 * across**2, 0, 1))
    light = chance.random() < 0.2
    body = chance.uniform(150, 210) if light else chance.uniform(25, 90)
    ground = np.repeat((body * (0.45 + 0.55 * shade))[None, :], height, axis=0)
    ground = ground + _soft_noise(height, width, 12, chance)
    colours = [(25, 25, 30), (120, 20, 20)] if light else _LIGHT_INKS
    return ground[..., None] * np.array([0.98, 1.0, 1.02]), np.array(colours[int(chance.integers(len(colours)))], float)


def _carton(width: int, height: int, chance: np.random.Generator) -> tuple[Pixels, Pixels]:
    grounds = [(176, 140, 98), (228, 222, 208), (236, 214, 150), (70, 96, 140)]
    inks = [(30, 28, 30), (30, 40, 110), (150, 25, 25), (240, 240, 235)]
    at = int(chance.integers(len(grounds)))
    ink = 3 if at == 3 else int(chance.integers(3))
    ground = np.zeros((height, width, 3)) + np.array(grounds[at], float)
    return ground + _soft_noise(height, width, 8, chance)[..., None], np.array(inks[ink], float)


def _soft_noise(height: int, width: int, size: float, chance: np.random.Generator) -> Pixels:
    """Uneven light: coarse noise, made smooth."""
    coarse = Image.fromarray(chance.normal(0, size, (height // 40 + 2, width // 40 + 2)).astype(np.float32))
    return np.asarray(coarse.resize((width, height), Image.Resampling.BICUBIC), dtype=float)


def _printed(
    lines: tuple[str, ...], width: int, height: int, chance: np.random.Generator, faces: tuple[Path, ...]
) -> Pixels:
    """The lines one under the other in one face, each in the middle: 0 bare, 1 full ink."""
    face = str(faces[int(chance.integers(len(faces)))])
    sheet = Image.new("L", (width, height), 0)
    draw = ImageDraw.Draw(sheet)
    size = min(int(chance.uniform(48, 96)), int(1.25 * width / max(len(line) for line in lines)))
    font = ImageFont.truetype(face, max(size, 14))
    while max(draw.textlength(line, font=font) for line in lines) > 0.8 * width and size > 14:
        size -= 2
        font = ImageFont.truetype(face, size)
    top = int(height * chance.uniform(0.25, 0.6)) - len(lines) * size // 2
    for number, line in enumerate(lines):
        left = (width - draw.textlength(line, font=font)) / 2
        draw.text((left, top + number * int(size * 1.25)), line, fill=255, font=font)
    return np.asarray(sheet, dtype=float) / 255


def _worn(shape: tuple[int, ...], how: float, chance: np.random.Generator) -> Pixels:
    """Where ink is still there: patches of it have gone."""
    rough = Image.fromarray(chance.random((shape[0] // 5 + 1, shape[1] // 5 + 1)).astype(np.float32))
    field = np.asarray(rough.resize((shape[1], shape[0]), Image.Resampling.BICUBIC), dtype=float)
    return np.clip((field - (0.12 + 0.22 * how)) * 8, 0, 1)


def _round(mask: Pixels) -> Pixels:
    """The flat print as a camera sees it on a cylinder as wide as the thing."""
    width = mask.shape[1]
    radius = width / 2
    across = np.clip((np.arange(width) + 0.5 - radius) / radius, -1, 1)
    return mask[:, np.clip(radius + radius * np.arcsin(across), 0, width - 1).astype(int)]


def _glare(width: int, height: int, how: float, chance: np.random.Generator) -> Pixels:
    """A soft streak of light from top to bottom, and one round spot."""
    across, down = np.arange(width)[None, :], np.arange(height)[:, None]
    streak = np.exp(-(((across - width * chance.uniform(0.05, 0.95)) / (width * 0.05)) ** 2))
    spot_x, spot_y = width * chance.uniform(0.1, 0.9), height * chance.uniform(0.2, 0.8)
    spot = np.exp(-((across - spot_x) ** 2 + (down - spot_y) ** 2) / (width * 0.07) ** 2)
    return np.clip((0.35 + 0.5 * how) * (streak + spot), 0, 0.97) * np.ones((height, width))
