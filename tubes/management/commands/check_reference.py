"""``manage.py check_reference``: cycles and contradictions of the reference rows."""

from typing import Any

from inventory.house.command import AnswerCommand
from tubes.queries.reference import check_reference


class Command(AnswerCommand):
    help = "Report cycles and contradictions of the reference rows, each with the rows that make it."

    def answer(self, **options: Any) -> Any:
        return check_reference().as_dict()

    def show(self, answer: Any) -> None:
        self.stdout.write(
            f"{answer['rows']} rows ({answer['leads']} only leads), "
            f"{answer['types']} types in {answer['classes']} classes"
        )
        for cycle in answer["cycles"]:
            self.stdout.write(f"cycle of {cycle['relation']}: {' -> '.join(cycle['types'])}")
            self._rows(cycle["rows"])
        for one in answer["contradictions"]:
            self.stdout.write(f"{one['kind']}: {one['text']}")
            self._rows(one["rows"])

    def _rows(self, rows: list[dict[str, Any]]) -> None:
        for row in rows:
            if "field" in row:
                words = f"{row['type']} {row['field']} {row['value']}"
            else:
                words = f"{row['designation']} ({row['scheme']}) {row['relation']} {row['type']}: {row['note']}"
            self.stdout.write(f"  {words} [{row['source']}; {row['origin']}]")
