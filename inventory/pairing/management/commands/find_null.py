"""``manage.py find_null``: the setting of the null from a file of readings, and where to read next."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput, read_text
from inventory.pairing.rules.null import CAUTIONS, SAFETY, find_null
from inventory.pairing.rules.null_fit import LINEAR, SCALES
from inventory.pairing.rules.null_near import ALIKE
from inventory.pairing.rules.null_table import parse_readings

MOST_BYTES = 2_000_000  # ten thousand rows with room to spare


class Command(AnswerCommand):
    help = "Find the null of a neutralizing control from readings (columns setting,reading and, if wanted, weight)."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.csv")
        parser.add_argument("--scale", default=LINEAR, help=f"of the indicator: {', '.join(SCALES)} (linear)")
        parser.add_argument("--dial", nargs=2, metavar=("LOW", "HIGH"), help="ends of the dial, for example 0 100")

    def answer(self, **options: Any) -> Any:
        low, high = (_number(text) for text in options["dial"]) if options["dial"] else (None, None)
        readings = parse_readings(read_text(options["file"], MOST_BYTES), options["file"])
        return find_null(readings, options["scale"], low, high).as_dict()

    def show(self, answer: Any) -> None:
        error = answer["standard_error"]
        spread = f" +- {error:.2g} (standard error)" if error is not None else ""
        depth = f", {answer['depth_db']:.1f} dB below the largest reading" if answer["depth_db"] is not None else ""
        left = f", {len(answer['left_out'])} of them left out" if "left_out" in answer else ""
        self.stdout.write(f"Null at {answer['setting']:.6g}{spread}, from {answer['points']} readings{left}")
        fits = "" if answer["warnings"] else ": the curve passes through them within their scatter"
        self.stdout.write(f"Decided by {answer.get('decided_by', ALIKE)}{fits}")
        floor = f"{answer['floor']:.4g}" if answer["floor"] else "not known"
        self.stdout.write(f"Floor {floor}{depth}; slope {answer['slope']:.4g} a division")
        self.stdout.write(f"Read next at {answer['next_setting']:g}")
        for warning in answer["warnings"]:
            self.stdout.write(f"Warning: {warning}")
        for caution in (*CAUTIONS, SAFETY):
            self.stdout.write(caution)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError as fault:
        raise BadInput(f"--dial: {text!r} is no figure") from fault
