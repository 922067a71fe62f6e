"""``manage.py read_photo FILE...``: what may be stamped on the tubes and cartons of photographs; nothing is entered."""

from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import CommandParser

from inventory.holdings.actions.papers import picture_of
from inventory.holdings.queries.photo_engine import EngineBusy, EngineMissing, engine
from inventory.holdings.queries.stamp_photo import read_photo
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = "Read what is stamped on the tubes and cartons of photographs: candidates with their readings, no entry."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", nargs="+", help="a photograph (JPEG, PNG, WebP; HEIC where that is read)")

    def answer(self, **options: Any) -> Any:
        read = []
        try:
            with engine() as reader:
                for name in options["file"]:
                    read.append({"file": name, **read_photo(_picture(name), reader).as_dict()})
        except (EngineMissing, EngineBusy) as why:
            raise BadInput(str(why)) from why
        return {"pictures": read}

    def show(self, answer: Any) -> None:
        for one in answer["pictures"]:
            turned = f" (turned by {one['turned']} degrees)" if one["turned"] else ""
            self.stdout.write(f"{one['file']}{turned}: {one['told']}")
            for found in one["candidates"]:
                sure = "clear" if found["clear"] else "; ".join(found["against"])
                self.stdout.write(f"  {found['text']} (score {found['score']:.2f}; {sure})")
                self.stdout.write(f"    {found['says']}")
                for other in found["others"]:
                    self.stdout.write(f"    or {other['text']}, which is {other['type']}")
            if one["words"]:
                self.stdout.write(f"  also read: {'; '.join(one['words'])}")


def _picture(name: str) -> Any:
    try:
        with Path(name).open("rb") as file:
            return picture_of(file, name)
    except OSError as fault:
        raise BadInput(f"{name} cannot be read: {fault.strerror or fault}") from fault
    except ValidationError as refusal:
        raise BadInput("; ".join(refusal.messages)) from refusal
