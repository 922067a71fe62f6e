"""``manage.py print_labels``: labels for tags or for all in a place, as a PDF file."""

import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from inventory.holdings.forms.labels import tags_in
from inventory.holdings.models import Place
from inventory.holdings.queries.labels import label_sheets, labels_of, things_here, things_tagged
from inventory.holdings.queries.register import items_in
from inventory.holdings.views.label_pdf import label_pdf
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = "Write labels as PDF for tags, runs of tags (T-0003..T-0010) or all that lies in a place."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("tags", nargs="*", help="tags and runs of tags")
        parser.add_argument("--place", help="path of a place, for all in it and below")
        parser.add_argument("--out", default="labels.pdf", help="the file to write (labels.pdf)")
        parser.add_argument("--sheet", default="a4-24-gap", help=", ".join(sheet.key for sheet in label_sheets()))
        parser.add_argument("--start", type=int, default=1, help="first label of the sheet to print on")
        parser.add_argument("--site", default="", help="what the QR codes begin with (setting SITE_URL)")
        parser.add_argument("--borders", action="store_true", help="draw the edges of the labels")

    def answer(self, **options: Any) -> Any:
        sheet = next((sheet for sheet in label_sheets() if sheet.key == options["sheet"]), None)
        if sheet is None:
            raise BadInput(
                f"{options['sheet']!r} is no label sheet; expected {', '.join(s.key for s in label_sheets())}"
            )
        site = (options["site"] or settings.SITE_URL).rstrip("/")
        if not site:
            raise BadInput("Say what the QR codes begin with: --site http://museum.example, or the setting SITE_URL.")
        if not re.fullmatch(r"https?://[^\s/?#]+(?:/[^\s?#]*)?", site):
            raise BadInput(f"{site!r} is no address to begin with; expected http:// or https:// and a name.")
        labels = labels_of(_items(options), lambda item: site + item.get_absolute_url())
        if not labels:
            raise BadInput("There is nothing to label in that.")
        body = label_pdf(labels, sheet, start=options["start"], borders=options["borders"])
        try:
            Path(options["out"]).write_bytes(body)
        except OSError as fault:
            raise BadInput(f"{options['out']} cannot be written: {fault.strerror}; name another with --out.") from fault
        pages = -(-(options["start"] - 1 + len(labels)) // sheet.count)
        return {"file": options["out"], "labels": len(labels), "sheet": sheet.key, "pages": pages}

    def show(self, answer: Any) -> None:
        text = f"{answer['labels']} labels on {answer['pages']} sheet(s) {answer['sheet']} in {answer['file']}"
        self.stdout.write(text)


def _items(options: dict[str, Any]) -> list[Any]:
    if options["place"]:
        place = Place.objects.filter(path__iexact=options["place"].strip()).first()
        if place is None:
            raise BadInput(f"There is no place {options['place']!r}; give its path as the list of places shows it.")
        return list(things_here(items_in(place)).order_by("place__path", "tag"))
    items, missing = things_tagged(tags_in(" ".join(options["tags"])))
    if missing:
        raise BadInput(f"Not in the collection: {', '.join(missing)}")
    return items
