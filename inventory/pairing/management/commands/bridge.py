"""``manage.py bridge``: the capacitance that balances a neutralizing bridge."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput
from inventory.pairing.rules.bridge import CIRCUITS, MEANINGS, NEEDS, Bridge, BridgeFault, cn_pf
from tubes.rules.units import parse_quantity

TURNS = ("np", "nn", "ng", "nx")


class Command(AnswerCommand):
    help = "What the neutralizing capacitor must have, in pF. Turns are counts; capacitances pF, or with a unit."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        takes = "; ".join(f"{circuit}: cgp {' '.join(needs)}".rstrip() for circuit, needs in NEEDS.items())
        parser.add_argument(
            "--circuit", required=True, metavar="CIRCUIT", help=f"one of {', '.join(CIRCUITS)} ({takes})"
        )
        for name, meaning in MEANINGS.items():
            parser.add_argument(f"--{name}", help=meaning)

    def answer(self, **options: Any) -> Any:
        values = {name: _value(name, options[name]) for name in MEANINGS if options[name] is not None}
        try:
            return {"cn_pf": cn_pf(Bridge(options["circuit"], **values))}
        except BridgeFault as fault:
            raise BadInput(f"--{fault}") from fault

    def show(self, answer: Any) -> None:
        self.stdout.write(f"Neutralizing capacitor: {answer['cn_pf']:.4g} pF")
        self.stdout.write("Strays come on top: start here and find the null on the set.")


def _value(name: str, text: str) -> float:
    """A plain figure, or for a capacitance one with its unit."""
    try:
        return float(text)
    except ValueError:
        if name in TURNS:
            raise BadInput(f"--{name}: {text!r} is no number of turns") from None
    try:
        return parse_quantity(text, "pF")
    except ValueError as fault:
        raise BadInput(f"--{name}: {fault}") from fault
