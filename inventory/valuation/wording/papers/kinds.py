"""The papers that can be had of a valuation, one row each: what it is for, its usual basis, how it is made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.house.printed import Printed
from inventory.valuation.queries.catalogue import catalogue
from inventory.valuation.queries.estate import estate
from inventory.valuation.queries.lots import proposed
from inventory.valuation.queries.schedule import schedule
from inventory.valuation.queries.stated import Stated
from inventory.valuation.rules.bases import FAIR_MARKET, REPLACEMENT
from inventory.valuation.wording.papers.catalogue import catalogue_printed
from inventory.valuation.wording.papers.common import statement
from inventory.valuation.wording.papers.estate import estate_printed
from inventory.valuation.wording.papers.lots import lots_printed
from inventory.valuation.wording.papers.schedule import schedule_printed

SEE_SUMS = "see what the collection is worth"  # what visitors are told that they may not


@dataclass(frozen=True, slots=True)
class PaperKind:
    """``settings``: names of what can be asked of it beside the valuation. ``ask`` gives its answer, which has
    ``as_dict``; ``printed`` puts that into pieces of paper. ``who``: what whoever sees it may do at least:
    sums beside places are no matter of visitors (``add``), nor is how to reach people one of helpers (``change``).
    """

    key: str
    title: str
    purpose: str
    basis: str
    settings: tuple[str, ...]
    ask: Callable[[Stated, date, Mapping[str, Any]], Any]
    printed: Callable[[Any], Printed]
    who: str = "view"

    def needs(self, settings: Mapping[str, Any], *, appraisal: bool = False) -> str:
        """What whoever asks for it in this way may do at least. ``appraisal``: with the figures of a kept one."""
        if settings.get("bidders") and not appraisal:
            return "view"
        return "add" if self.who == "view" and (appraisal or settings.get("values")) else self.who


PAPERS = {
    one.key: one
    for one in (
        PaperKind(
            "insurance", "Insurance schedule",
            "For an insurer: building by building, with serials, condition, photographs, proof of purchase, what it "
            "costs to replace, and how that compares with what it is insured for.",
            REPLACEMENT, ("single_out",),
            lambda found, today, asked: schedule(found, today, single_out=asked["single_out"]), schedule_printed,
            who="add",
        ),
        PaperKind(
            "estate", "Estate list",
            "For an heir, in plain words: what not to do, what to do first, whom to ask; what is not ours and what is "
            "promised; what there is, where, worth about how much, what can hurt, what belongs together.",
            FAIR_MARKET, (), lambda found, today, asked: estate(found, today), estate_printed, who="change",
        ),
        PaperKind(
            "catalogue", "Catalogue",
            "For visitors and friends, with pictures: by kind and model or by place, with maker, serial, condition, "
            "figures and where it came from. Values only where you ask for them.",
            FAIR_MARKET, ("by", "values"),
            lambda found, today, asked: catalogue(found, today, by=asked["by"], values=asked["values"]),
            catalogue_printed,
        ),
        PaperKind(
            "lots", "Sale list",
            "For a sale: lots of what belongs together, with value, what a forced sale brings, and a reserve; what is "
            "promised, lent, reserved or needed by your sets is left out, with the reason.",
            FAIR_MARKET, ("share", "size", "spares", "job_below", "seller", "commission", "bidders"),
            lambda found, today, asked: proposed(found, today, **asked), lots_printed, who="add",
        ),
    )
}  # fmt: skip


def as_json(kind: PaperKind, found: Stated, answer: Any) -> dict[str, Any]:
    """The paper as data: what every one says, then its own."""
    return {
        "paper": kind.key, "title": kind.title, "basis": found.basis, "on": str(found.on), "currency": found.currency,
        "place": found.place or None, "appraisal": found.appraisal, "made_by": found.made_by,
        "made_on": str(found.made_on), "without_evidence": len(found.without),
        "statement": statement(found), **answer.as_dict(),
    }  # fmt: skip
