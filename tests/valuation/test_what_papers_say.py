"""What papers say of what has no amount, of sales that are lost, and of what has left since it was valued."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import part_with
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.models import AppraisalLine
from inventory.valuation.queries import sales
from inventory.valuation.queries.catalogue import catalogue
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.estate import estate
from inventory.valuation.queries.schedule import schedule
from inventory.valuation.queries.stated import lost_of, stated, stated_of
from inventory.valuation.wording.papers.catalogue import catalogue_printed
from inventory.valuation.wording.papers.common import meaning, statement, without_told
from inventory.valuation.wording.papers.estate import estate_printed
from inventory.valuation.wording.papers.schedule import schedule_printed
from tests.factories import TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.pages import printed_text as texts
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate


def sold(kind, *amounts, **said):
    for number, amount in enumerate(amounts):
        said_all = {"grade": "used tested good", "on": date(2026, 1, 1 + number)} | said
        EvidenceFactory(type=kind, amount=Decimal(amount), **said_all)


def found():
    return collection("EUR", TODAY(), basis="fair-market")


def paper():
    return stated(found(), by="a keeper", today=TODAY())


def kept():
    return keep_appraisal(found(), by=None)


def test_a_grade_without_amount_is_told_of_the_types_that_have_none_alone():
    """Duds of one type were sold, of another only good ones: what is said of duds is true of the second alone."""
    told, bare, unsold = (TubeTypeFactory(name=name) for name in ("ZZ-told", "ZZ-bare", "ZZ-unsold"))
    sold(told, 40, 41, 42)
    sold(told, 4, 5, grade="dud")
    sold(bare, 30, 31)
    for kind in (told, bare, unsold):
        TubeFactory(type=kind, state="dud")
    for one in (paper(), stated_of(kept())):
        amounts = {figure.what: figure.amount for figure in one.figures}
        assert amounts["ZZ-told"] is not None and amounts["ZZ-bare"] is None
        said = [text for text in meaning(one) if "does not tell" in text]
        assert said == ["What dud ones of ZZ-bare fetch the evidence does not tell: they have no amount."]
        assert without_told(one).startswith(
            "1 thing has no evidence of a price; 1 thing has no amount, since no sales tell what such ones fetch in "
            "that grade."
        )
        page = texts(schedule_printed(schedule(one, TODAY())))
        assert "Without an amount" in page and "at most" in page
        page = texts(catalogue_printed(catalogue(one, TODAY(), values=True)))
        assert "no amount" in page and "at most" in page


def test_sales_that_are_lost_are_told_on_papers_and_on_a_kept_appraisal(as_helper):
    kind = TubeTypeFactory()
    TubeFactory(type=kind, state="good")
    sold(kind, 20)
    sold(kind, 30, 31, currency="RUB")
    row = kept()
    told = "2 sales are not in it for lack of a rate of exchange."
    for one in (paper(), stated_of(row)):
        assert told in statement(one)
        assert told in schedule_printed(schedule(one, TODAY())).opening[0].texts
    assert told in page_text(as_helper.get(reverse("valuation:appraisal", args=[row.pk])))
    del row.inputs["parameters"]["lost"]  # as one was kept before
    assert lost_of(row) == told


def test_newer_rates_are_named_for_those_sales_alone_that_they_would_bring_in(monkeypatch):
    last = date(2026, 1, 15)
    here = replace(sales.rates(), last=last, published=lambda code, on: 2 if code == "GBP" and on <= last else None)
    monkeypatch.setattr(sales, "rates", lambda: here)
    kind = TubeTypeFactory()
    sold(kind, 20)
    sold(kind, 30, currency="GBP", on=date(2026, 3, 1))
    sold(kind, 30, currency="RUB", on=date(2026, 3, 1))
    sold(kind, 30, currency="USD", on=date(1985, 3, 1))
    assert found().lost == (
        "3 sales are not in it for lack of a rate of exchange: 1 of them is later than the rates that are here, which "
        "end on 2026-01-15 (RATES_FILE names a newer file)."
    )


def test_what_has_left_since_it_was_valued_is_in_no_sum_of_the_estate_list():
    kind = TubeTypeFactory(name="ZZ7")
    sold(kind, 40)
    tubes = [TubeFactory(type=kind, state="good") for _ in range(3)]
    row = kept()
    part_with(tubes[0].item, how="sold", on=TODAY(), by=None)
    told = estate(stated_of(row), TODAY())
    said = told.as_dict()
    assert (said["total"], said["total_here"]) == ("120.00", "80.00")
    page = texts(estate_printed(told))
    assert "All that has a price: about 80 EUR" in page and "What left since it was valued is not in it." in page
    assert "What left" not in texts(estate_printed(estate(paper(), TODAY())))
    assert AppraisalLine.objects.count() == 3
