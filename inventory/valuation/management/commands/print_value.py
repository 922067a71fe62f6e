"""``manage.py print_value``: a paper of a valuation as PDF, or as data."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Place
from inventory.house.command import AnswerCommand, BadInput
from inventory.house.paper import A4, LETTER
from inventory.valuation.forms.papers import PaperForm
from inventory.valuation.queries.catalogue import BY_KIND
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.stated import stated, stated_of
from inventory.valuation.rules.bases import BASES
from inventory.valuation.views.papers import foot
from inventory.valuation.wording.papers.kinds import PAPERS, as_json

BY = "a command"


class Command(AnswerCommand):
    help = (
        "A paper of what is owned and what it is worth, as PDF: "
        + "; ".join(f"{one.key}: {one.title.lower()}" for one in PAPERS.values())
        + ". With --json the same as data."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("which", choices=list(PAPERS), help="which paper")
        parser.add_argument("--on", metavar="DATE", default="", help="valuation date, YYYY-MM-DD (today)")
        parser.add_argument("--currency", default="", help="ISO 4217 code (EUR)")
        parser.add_argument("--basis", choices=list(BASES), default="", help="that which is usual for the paper")
        parser.add_argument("--real", action="store_true", help="old prices as of today's price level, by U.S. CPI-U")
        parser.add_argument("--place", default="", metavar="TEXT", help="only what is in this place, by its path")
        parser.add_argument("--appraisal", default="", metavar="NUMBER", help="the figures of this appraisal instead")
        parser.add_argument(
            "--single-out", default="", metavar="AMOUNT", help="insurance: tubes worth so much stand alone"
        )
        parser.add_argument("--by", choices=("kind", "place"), default="kind", help="catalogue: in which order")
        parser.add_argument("--values", action="store_true", help="catalogue: with what each is worth")
        parser.add_argument("--share", default="", metavar="PCT", help="lots: reserve as a share of the low end (80)")
        parser.add_argument("--size", default="", metavar="N", help="lots: tubes of a type and grade in one lot (4)")
        parser.add_argument("--spares", default="", metavar="N", help="lots: good spares kept of each type in use (1)")
        parser.add_argument(
            "--job-below", default="", metavar="AMOUNT", help="lots: lots of tubes worth less go together (10; 0: none)"
        )
        parser.add_argument("--seller", default="", metavar="TAG", help="lots: the seller's tag")
        parser.add_argument("--commission", default="", metavar="PCT", help="lots: what the sale takes")
        parser.add_argument("--bidders", action="store_true", help="lots: without values and reserves")
        parser.add_argument("--paper", choices=(A4, LETTER), default=A4)
        parser.add_argument("--out", metavar="FILE.pdf", help="the file to write (the name of the paper)")
        parser.add_argument("--site", default="", help="what the QR code begins with (setting SITE_URL; none: no code)")

    def answer(self, **options: Any) -> Any:
        kind, today = PAPERS[options["which"]], timezone.localdate()
        form = PaperForm(kind, _cells(options))
        if not form.is_valid():
            raise BadInput(
                "; ".join(
                    f"--{name.replace('_', '-')}: {' '.join(map(str, said))}" for name, said in form.errors.items()
                )
            )
        kept = form.cleaned_data["appraisal"]
        found = stated_of(kept) if kept else stated(collection(**form.asked(today)), by=BY, today=today)
        answer = kind.ask(found, today, form.settings)
        told = as_json(kind, found, answer)
        if options["out"] or not options["json"]:
            told["file"] = options["out"] or f"{kind.key}.pdf"
            site = (options["site"] or settings.SITE_URL).rstrip("/")
            address = site + reverse("valuation:paper", args=[kind.key]) if site else ""
            _write(told["file"], kind.printed(answer), address, options["paper"], foot(kind, found, answer, BY))
        return told

    def show(self, answer: Any) -> None:
        told = answer["without_evidence"]
        without = "" if told is None else f"; without evidence: {told}"
        self.stdout.write(f"{answer['title']} in {answer['file']}{without}.")


def _cells(options: dict[str, Any]) -> dict[str, Any]:
    """The options as the form of the page has them."""
    path, place = options["place"].strip(), None
    if path:
        place = Place.objects.filter(path__iexact=path).first()
        if place is None:
            raise BadInput(f"There is no place {path!r}; give its path as the list of places shows it.")
    names = (
        "on", "currency", "basis", "appraisal", "single_out", "share", "size", "spares", "job_below", "seller",
        "commission", "values", "bidders", "real",
    )  # fmt: skip
    told = {name: options[name] for name in names}
    return told | {"place": place.pk if place else "", "by": options["by"].removeprefix(BY_KIND)}


def _write(name: str, printed: Any, address: str, paper: str, words: str) -> None:
    from inventory.house.printed_pdf import printed_pdf  # its fonts load slowly: when asked

    body = printed_pdf(printed, address, paper=paper, foot=words)
    try:
        Path(name).write_bytes(body)
    except OSError as fault:
        raise BadInput(f"{name} cannot be written: {fault.strerror}; name another with --out.") from fault
