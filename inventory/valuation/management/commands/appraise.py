"""``manage.py appraise``: what the collection is worth on a day, thing by thing; frozen with ``--keep``."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.management.options import add_value, money_options, place_path
from inventory.valuation.queries.collection import collection
from inventory.valuation.rules.bases import BASES


class Command(AnswerCommand):
    help = (
        "What everything owned is worth by the evidence of a day: each thing with its range and comparables, by "
        "building, sets beside their tubes and units (--grade: only tubes of it). What there is no evidence for is "
        "told and counts as nothing."
    )

    def options(self, parser: CommandParser) -> None:
        add_value(parser)
        parser.add_argument("--place", default="", metavar="TEXT", help="only what is in this place, by its path")
        parser.add_argument("--keep", metavar="NOTE", help="freeze it as an appraisal, with a note")

    def answer(self, **options: Any) -> Any:
        if options["keep"] is not None and options["grade"]:
            raise BadInput(
                "--keep freezes everything or a place, not a part by its grade; leave out --grade or --keep."
            )
        asked = {"basis": options["basis"], "real": options["real"], "grade": options["grade"]}
        found = collection(place=place_path(options["place"]), **asked, **money_options(options))
        answer = found.as_dict()
        if options["keep"] is not None:
            answer["appraisal"] = keep_appraisal(found, by=None, note=options["keep"]).pk
        return answer

    def show(self, answer: Any) -> None:
        for told in answer.get("remarks", ()):
            self.stdout.write(told)
        for line in answer["lines"]:
            worth = (
                f"{line['amount']} ({line['low']} to {line['high']})"
                if line["amount"]
                else line.get("no_amount", "no evidence")
            )
            inside = "" if line["counts"] else f", in the value of {line.get('in_set') or line['belongs_with']}"
            grade = f", {line['grade']}" if line["grade"] else ""
            self.stdout.write(f"{line['tag']}  {line['what']}{grade}: {worth}{inside}")
        for one in answer["sets"]:
            self.stdout.write(f"{one['tag']}: {one['text']}")
        self.stdout.write(
            f"{answer['total']} {answer['currency']} on {answer['on']}, {BASES[answer['basis']].title}; "
            f"{answer['low']} if every thing came out at its low end, {answer['high']} at its high end. "
            f"Without evidence: {answer['without_evidence']}."
        )
        if "appraisal" in answer:
            self.stdout.write(f"Kept as appraisal {answer['appraisal']}.")
