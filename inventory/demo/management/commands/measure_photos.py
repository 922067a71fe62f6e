"""``manage.py measure_photos``: how well stamps are read on pictures that it makes itself (synthetic, every one)."""

import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from django.core.management.base import CommandParser
from PIL import Image

from inventory.demo.actions.stamp_pictures import LEVELS, MadePicture, Stamp, fonts, made_picture, made_stamp
from inventory.holdings.queries.photo_engine import Engine, EngineMissing, engine
from inventory.holdings.queries.stamp_photo import SECONDS, PhotoReading, Proposed, read_photo
from inventory.house.command import AnswerCommand, BadInput
from tubes.queries import Knowledge, knowledge, tube_for_stamp

#: Real numbers of tubes; with their longer forms beside them, since a letter that is lost makes another tube.
MARKS = """
    6SN7GT 6SN7GTB 12AX7 12AX7A 807 813 866A 832A 955 1619 1625 7193 6L6 6L6G 6L6GC 5U4G 5U4GB 6AC7 6H6 EL34 ECC83 EF80
    EF50 6SK7 12SK7 6X5GT OD3 CV1988 6J5 2X2A 6V6GT 5R4GY 12A6 6AK5 VT-231 RL12P35 6К7 6Н8С 6П3С 6Ж4 6Ж7 6Х6С
""".split()
OUTCOMES = {
    "right": "type right at first place",
    "within": "right among the others offered",
    "wrong": "another type, said to be in doubt",
    "wrong_though_clear": "another type, said to be clear",
    "not_read": "told as not read",
}


@dataclass
class Told:
    """What became of the things on the pictures."""

    things: int = 0
    pictures: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    clear: int = 0
    phantoms: int = 0  # candidates of a type that stands on none of the things, whatever else was right
    phantoms_clear: int = 0
    faults: list[dict[str, Any]] = field(default_factory=list)

    def as_dict(self) -> dict[str, Any]:
        of = max(self.things, 1)
        return {
            "pictures": self.pictures,
            "things": self.things,
            **{name: self.outcomes[name] for name in OUTCOMES},
            "shares_pct": {name: round(100 * self.outcomes[name] / of, 1) for name in OUTCOMES},
            "said_clear": self.clear,
            "phantoms": self.phantoms,
            "phantoms_clear": self.phantoms_clear,
            "faults": self.faults,
        }


class Command(AnswerCommand):
    help = "Stamps read from made pictures (synthetic): right, within, wrong, wrong though said to be clear, not read."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--pictures", type=int, default=60, help="how many (60), a third of each level")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--level", choices=[*LEVELS, "all"], default="all", help="how much they are spoilt")
        parser.add_argument(
            "--held-back", action="store_true", help="in faces and blur that no threshold was chosen by"
        )
        parser.add_argument("--seconds", type=float, default=SECONDS, help=f"as the page has them ({SECONDS:g})")
        parser.add_argument("--keep", type=Path, help="a folder to put the pictures in")

    def answer(self, **options: Any) -> Any:
        if not 1 <= options["pictures"] <= 10_000 or options["seed"] < 0:
            raise BadInput("--pictures: expected 1 to 10000; --seed: 0 or more")
        if options["held_back"] and not fonts(held_back=True):
            raise BadInput("--held-back: none of its faces is on this machine (Debian: fonts-liberation, fonts-dejavu)")
        levels = list(LEVELS) if options["level"] == "all" else [options["level"]]
        known, told = knowledge(), {level: Told() for level in levels}
        try:
            with engine() as reader:
                pictures = made_pictures(
                    options["pictures"], levels, options["seed"], known, held_back=options["held_back"]
                )
                for number, made in enumerate(pictures):
                    if options["keep"]:
                        options["keep"].mkdir(parents=True, exist_ok=True)
                        (options["keep"] / f"{number:04}-{made.level}.jpg").write_bytes(made.jpeg)
                    _count(told[made.level], number, made, _read(made, reader, options["seconds"]), known)
        except EngineMissing as missing:
            raise BadInput(str(missing)) from missing
        every = Told(
            sum(one.things for one in told.values()),
            sum(one.pictures for one in told.values()),
            sum((one.outcomes for one in told.values()), Counter()),
            sum(one.clear for one in told.values()),
            sum(one.phantoms for one in told.values()),
            sum(one.phantoms_clear for one in told.values()),
        )
        return {
            "synthetic": True,
            "seed": options["seed"],
            "fonts": [path.name for path in fonts(options["held_back"])],
            "held_back": options["held_back"],
            "seconds": options["seconds"],
            "all": {key: value for key, value in every.as_dict().items() if key != "faults"},
            "levels": {level: one.as_dict() for level, one in told.items()},
        }

    def show(self, answer: Any) -> None:
        self.stdout.write(f"Synthetic pictures, made here with seed {answer['seed']}; no photograph of a real tube.")
        for level, one in {"all": answer["all"], **answer["levels"]}.items():
            self.stdout.write(f"{level}: {one['things']} things on {one['pictures']} pictures")
            for name, words in OUTCOMES.items():
                self.stdout.write(f"  {words}: {one[name]} ({one['shares_pct'][name]} %)")
            self.stdout.write(f"  said to be clear: {one['said_clear']}")
            told = f"{one['phantoms']}, of them said to be clear {one['phantoms_clear']}"
            self.stdout.write(f"  candidates of a type that stands nowhere there: {told}")


def made_pictures(
    count: int, levels: list[str], seed: int, known: Knowledge, *, held_back: bool = False
) -> Iterator[MadePicture]:
    """Pictures in turn of each level; every seventh bears two or three things. Only of marks that settle a type."""
    chance = np.random.default_rng(seed)
    types = {mark: name for mark in MARKS if (name := tube_for_stamp(known.read(mark), known).type)}
    for number in range(count):
        stamps: list[Stamp] = []
        while len(stamps) < (int(chance.integers(2, 4)) if number % 7 == 6 else 1):
            mark = str(chance.choice(list(types)))
            stamps.append(made_stamp(mark, types[mark], chance))
        yield made_picture(tuple(stamps), levels[number % len(levels)], chance, held_back=held_back)


def _read(made: MadePicture, reader: Engine, seconds: float) -> PhotoReading:
    with Image.open(io.BytesIO(made.jpeg)) as picture:
        return read_photo(picture, reader, seconds=seconds)


def _is_of(one: Proposed, names: frozenset[str]) -> bool:
    return one.reading.type is not None and one.reading.type.name in names


def _count(told: Told, number: int, made: MadePicture, found: PhotoReading, known: Knowledge) -> None:
    told.pictures += 1
    right = [(stamp, known.kin.same_as(stamp.type) | {stamp.type}) for stamp in made.stamps]
    every = frozenset[str]().union(*(names for _, names in right))
    settled = [one for one in found.proposed if one.reading.type]
    strange = [one for one in settled if one.reading.type and one.reading.type.name not in every]
    told.clear += sum(one.candidate.clear for one in settled)
    told.phantoms += len(strange)
    told.phantoms_clear += sum(one.candidate.clear for one in strange)
    left = list(found.proposed)  # one candidate is one thing
    for stamp, names in right:
        told.things += 1
        mine = [one for one in left if _is_of(one, names)]
        offered = any(other.type in names for one in left for other in one.candidate.others) or any(
            names & set(one.candidate.made.meanings) for one in left
        )
        if mine and (mine[0] is settled[0] or len(made.stamps) > 1):
            outcome = "right"
            left = [one for one in left if one is not mine[0]]
        elif any(one.candidate.clear for one in strange):
            outcome = "wrong_though_clear"
        elif mine or offered:
            outcome = "within"
        else:
            outcome = "wrong" if strange else "not_read"
        told.outcomes[outcome] += 1
        if outcome != "right":
            read = [[one.candidate.text, one.candidate.score, one.candidate.clear] for one in found.proposed]
            told.faults.append(
                {
                    "picture": number,
                    "stamp": list(stamp.lines),
                    "spoilt": list(made.spoilt),
                    "what": outcome,
                    "read": read,
                }
            )
