"""``manage.py make_tables``: a database for a benchmark, laid out at once."""

from typing import Any

from inventory.house.command import AnswerCommand
from inventory.house.tables import bring_up_to_date


class Command(AnswerCommand):
    help = "Bring the database up to date as migrate does; an empty SQLite file is laid out at once. For benchmarks."

    def answer(self, **options: Any) -> Any:
        bring_up_to_date()
        return {"ready": True}
