"""``manage.py check_reference``: cycles and contradictions of the reference rows; how much they tell."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand
from tubes.queries.coverage import coverage
from tubes.queries.reference import check_reference, held_against


def _why(one: dict[str, Any]) -> str:
    """Why a finding stands, where it was looked at."""
    return f" Stands: {one['why']}" if one["why"] else ""


class Command(AnswerCommand):
    help = "Report cycles and contradictions of the reference rows, each with the rows that make it."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--coverage", action="store_true", help="report instead how many types have which figures, and how many "
            "pairs of kin the judge has a word for",
        )  # fmt: skip

    def answer(self, **options: Any) -> Any:
        return coverage().as_dict() if options["coverage"] else check_reference().as_dict() | held_against()

    def show(self, answer: Any) -> None:
        if "with" in answer:
            return self._covered(answer)
        self.stdout.write(
            f"{answer['rows']} rows ({answer['leads']} only leads), "
            f"{answer['types']} types in {answer['classes']} classes"
        )
        for cycle in answer["cycles"]:
            self.stdout.write(f"cycle of {cycle['relation']}: {' -> '.join(cycle['types'])}")
            self._rows(cycle["rows"])
        for one in answer["contradictions"]:
            self.stdout.write(f"{one['kind']}: {one['text']}{_why(one)}")
            self._rows(one["rows"])
        for one in answer["handbook"]:
            row = f"{one['row']} of {one['source']}"
            self.stdout.write(
                f"handbook: {one['type']} {one['field']} {one['ours']}, {row} says {one['theirs']}.{_why(one)}"
            )
        for one in answer["implausible"]:
            self.stdout.write(f"{one['rule']}: {one['text']}{_why(one)}")
        for one in answer["own_otherwise"]:
            theirs = f"the tables say {one['tables']} ({one['grade']})"
            self.stdout.write(f"own: {one['type']} {one['field']} {one['own']}, {theirs}.{_why(one)}")
        for one in answer["names_no_row"]:
            self.stdout.write(f"no row: the note of {one['about']} names {one['names']}.{_why(one)}")
        for one in answer["recalled_otherwise"]:
            said = f", the tables say {one['tables_say']}" if one["tables_say"] else ""
            of = f"{one['about']} {one['field']}".strip()
            self.stdout.write(f"lead: {of} recalled as {one['recalled_as']}{said}.{_why(one)}")
        return None

    def _covered(self, answer: dict[str, Any]) -> None:
        self.stdout.write(f"{answer['types']} types known by name")
        for what, count in answer["with"].items():
            self.stdout.write(f"  {count} with {what.replace('_', ' ')}")
        pairs = answer["kin_pairs"]
        for words, asked in (
            ("pairs of kin", pairs), ("related", pairs["related"]), ("of the same pins", pairs["same_pins"]),
        ):  # fmt: skip
            share = "" if asked["share"] is None else f" ({100 * asked['share']:.1f} %)"
            self.stdout.write(f"{words}: {asked['answered']} of {asked['pairs']} answered{share}")
        self.stdout.write(f"not known in their own place: {', '.join(answer['self_not_known']) or 'none'}")
        self.stdout.write("figures by grade: " + ", ".join(f"{n} {word}" for word, n in answer["grades"].items()))

    def _rows(self, rows: list[dict[str, Any]]) -> None:
        for row in rows:
            if "field" in row:
                words = f"{row['type']} {row['field']} {row['value']}"
            else:
                words = f"{row['designation']} ({row['scheme']}) {row['relation']} {row['type']}: {row['note']}"
            self.stdout.write(f"  {words} [{row['source']}; {row['origin']}]")
