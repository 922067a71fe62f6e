"""``manage.py hazards``: every hazard of what is here, where it stands, who looked, and what to do."""

from collections.abc import Mapping
from typing import Any

from django.core.management.base import CommandParser

from inventory.holdings.queries.hazard_register import hazard_register, hazards_as_list
from inventory.holdings.queries.register import place_named
from inventory.holdings.rules.hazard_register import NONE_FOUND, NOT_FOUND
from inventory.house.command import AnswerCommand, BadInput


class Command(AnswerCommand):
    help = (
        "Hazards of all things here by place: what was found, what is likely, what rules say, what was disproved, and "
        "what was looked for and not found."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--place", metavar="TEXT", help="only what is in this place and below it, by its path, code or name"
        )

    def answer(self, **options: Any) -> Any:
        asked = options["place"]
        if asked is not None and not asked.strip():
            raise BadInput("--place: name a place, or leave it out")
        return hazards_as_list(hazard_register(place_named(asked) if asked else None))

    def show(self, answer: Any) -> None:
        place = None
        for one in answer:
            if one["place"] != place:
                place = one["place"]
                self.stdout.write(f"{place or 'In no place'}:")
            looked = f" on {one['checked_on']}" if one["checked_on"] else ""
            by = f" by {one['by']}" if one["by"] else ""
            way = f", {one['way']}" if one["way"] else ""
            self.stdout.write(f"  {one['thing']} {one['what']}{way}: {_told(one)}{looked}{by}")
            for text in (*one["why"], *filter(None, [one["against"]])):
                self.stdout.write(f"      {text}")
        cares = {one["hazard"]: one["what_to_do"] for one in answer}
        for hazard, care in cares.items():
            self.stdout.write(f"{hazard}: {care}")
        if not answer:
            self.stdout.write("No hazard is on record. That does not say that anybody looked.")
        self.stdout.write("Local codes and licensed practice come first.")


def _told(one: Mapping[str, Any]) -> str:
    """The hazard and how it stands; of a check for every kind, that it was one."""
    if one["hazard"] == NONE_FOUND:
        return "every kind looked for, none found" if one["found"] == NOT_FOUND else str(one["found"])
    return f"{one['hazard']}, {one['found']}"
