"""``manage.py survival``: how long tubes of a kind last, from a table of hours and failures."""

from typing import Any

from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, read_text
from inventory.running.rules.survival import Survival, parse_lives, survival

MOST_BYTES = 5_000_000  # a hundred thousand rows with room to spare


class Command(AnswerCommand):
    help = "Kaplan-Meier and Weibull from a file with the columns hours,failed (1 failed, 0 still working)."
    requires_system_checks = []  # arithmetic alone: no row is read, no page is served

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.csv")

    def answer(self, **options: Any) -> Any:
        found = survival(parse_lives(read_text(options["file"], MOST_BYTES), options["file"]))
        if not options["json"]:
            return found
        for remark in found.remarks:
            self.stderr.write(remark)
        return found.as_dict()

    def show(self, answer: Survival) -> None:
        tell = self.stdout.write
        tell(f"{answer.events} failed, {answer.censored} still working")
        for step in answer.steps:
            error = f" +- {step.se:.3f}" if step.se is not None else ""
            tell(f"{step.t:10.6g} h  {step.s:.3f}{error}  {_interval((step.low, step.high), '.3f')}")
        tell(f"Hours at which half are left: {_plain(answer.median, '.6g')} {_interval(answer.median_interval, '.6g')}")
        if fit := answer.weibull:
            tell(f"Weibull: eta {fit.eta:.6g} h {_interval(fit.eta_interval, '.6g')}")
            tell(f"  beta {fit.beta:.4g} {_interval(fit.beta_interval, '.4g')}, log likelihood {fit.loglik:.4f}")
            tell(f"  a tenth failed by {fit.b10:.6g} h {_interval(fit.b10_interval, '.6g')}")
        tell(f"Between failures, at a constant rate (wear is none): {_interval(answer.mtbf, '.6g')} h")
        for remark in answer.remarks:
            tell(remark)


def _plain(value: float | None, form: str) -> str:
    return "not reached" if value is None else format(value, form)


def _interval(ends: tuple[float | None, float | None], form: str) -> str:
    return f"(95 %: {_plain(ends[0], form)} to {_plain(ends[1], form)})"
