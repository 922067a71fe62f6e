"""``manage.py read_label``: what the codes in a photograph say, and which thing of the register each names."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.actions.photo_codes import codes_in
from inventory.holdings.queries.label_codes import THIS_MACHINE, LabelCode, label_code
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = "Read the codes in a photograph of labels (JPEG, PNG, WebP): which thing or place here each names."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="the photograph")
        parser.add_argument("--site", default="", help="an address that labels of this house begin with, too")

    def answer(self, **options: Any) -> Any:
        name = options["file"]
        hosts = [THIS_MACHINE[0], *([options["site"].split("://")[-1].split("/")[0]] if options["site"] else [])]
        try:
            with Path(name).open("rb") as file:
                texts = codes_in(file, name)
        except (OSError, ValueError) as fault:
            raise BadInput(f"{name} cannot be read: {getattr(fault, 'strerror', None) or fault}") from fault
        return {"file": name, "codes": [_told(label_code(text, hosts)) for text in texts]}

    def show(self, answer: Any) -> None:
        for one in answer["codes"]:
            self.stdout.write(f"{one['text']}: {one['says']}")
        if not answer["codes"]:
            self.stdout.write("No code was read. Take the label flat, in focus, as large as a third of the picture.")


def _told(code: LabelCode) -> dict[str, Any]:
    return {
        "text": code.text,
        "ours": code.ours,
        "tag": code.item.tag if code.item else None,
        "place": code.place.path if code.place else None,
        "page": code.address,
        "says": code.says,
    }
