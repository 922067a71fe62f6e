"""The page of a thing says what the collection says of it, and leads to an estimate that says the same."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Fact
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.worth_line import worth_line
from tests.factories import ChassisFactory, DesignationFactory, PlugInUnitFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
GOOD = "used tested good"


@pytest.fixture
def kind():
    """A type that bears a military number of its own; its military ones fetch more."""
    kind = TubeTypeFactory(name="ZZ7GT")
    DesignationFactory(type=kind, designation="VT-907", scheme="us-vt")
    for number in range(12):
        for name, amount in (("ZZ7GT", 100), ("VT-907", 180)):
            EvidenceFactory(
                type=kind, designation=name, grade=GOOD, amount=Decimal(amount + number % 3),
                on=date(2026, 1, 1 + number),
            )  # fmt: skip
    return kind


def valued(currency="EUR"):
    found = collection(currency, timezone.localdate(), basis="fair-market")
    return {line.thing.tag: line for line in found.lines}


def linked(page, client):
    """The answer that the line of a page leads to."""
    (address,) = re.findall(r'href="([^"]*)">What it rests on', page)
    return client.get(address.replace("&amp;", "&")).context["found"]


def test_page_collection_and_what_the_page_leads_to_say_one_worth_of_every_mark(kind, as_helper):
    marked = TubeFactory(type=kind, marked="VT-907", state="good")
    plain = TubeFactory(type=kind, marked="ZZ7GT", state="good")
    lines = valued()
    assert lines[marked.tag].amount > lines[plain.tag].amount + 50
    for tube in (marked, plain):
        line, told = lines[tube.tag], worth_line(tube.item)
        assert told.amount.amount == line.amount
        page = page_text(as_helper.get(tube.item.get_absolute_url()))
        assert f"<strong>{told.amount}</strong>" in page
        assert linked(page, as_helper).amount.amount == line.amount
    page = page_text(as_helper.get(marked.item.get_absolute_url()))
    assert "stamped VT-907, a military mark" in page
    assert lines[marked.tag].what == "ZZ7GT, stamped VT-907" and lines[plain.tag].what == "ZZ7GT"
    told = {one.thing.tag: one.as_dict() for one in lines.values()}
    assert (told[marked.tag]["mark"], told[marked.tag]["stamp"]) == ("military", "VT-907")
    assert "ZZ7GT, stamped VT-907" in page_text(as_helper.get(reverse("valuation:collection")))


def test_sets_and_units_say_on_their_page_what_the_collection_says(as_helper):
    chassis, unit = ChassisFactory(), PlugInUnitFactory()
    EvidenceFactory(set_model=chassis.model, type=None, designation=chassis.model.name, amount=Decimal(300))
    EvidenceFactory(unit_model=unit.model, type=None, designation=unit.model.name, amount=Decimal(70))
    lines = valued()
    for thing, amount in ((chassis, 300), (unit, 70)):
        assert worth_line(thing.item).amount.amount == lines[thing.tag].amount == amount
        assert linked(page_text(as_helper.get(thing.item.get_absolute_url())), as_helper).amount.amount == amount


def test_what_a_grade_fetches_at_most_is_told_on_the_page_with_basis_and_day(as_helper):
    kind = TubeTypeFactory(name="ZZ8")
    for number in range(3):
        EvidenceFactory(type=kind, grade=GOOD, amount=Decimal(20), on=date(2026, 1, 1 + number))
    tube = TubeFactory(type=kind, state="dud")
    line, told = valued()[tube.tag], worth_line(tube.item)
    assert told.amount is None and told.no_amount == line.no_amount and "20.00" in told.no_amount
    page = page_text(as_helper.get(tube.item.get_absolute_url()))
    assert f"Worth, fair market value on {timezone.localdate():%Y-%m-%d}: no amount in EUR, {line.no_amount}" in page
    assert "no evidence" not in page.partition("What it rests on")[0].rpartition("Worth, ")[2]


def test_the_page_leads_to_an_estimate_in_its_own_currency_and_pages_default_to_the_keepers(kind, as_helper):
    tube = TubeFactory(type=kind, state="good")
    Fact.objects.create(item=tube.item, about="paid", text="9 GBP", value=Decimal(9), currency="GBP")
    page = page_text(as_helper.get(tube.item.get_absolute_url()))
    assert "&amp;currency=GBP" in page and linked(page, as_helper).amount == worth_line(tube.item).amount
    for name, args in (("collection", []), ("paper", ["insurance"])):
        assert " GBP" in page_text(as_helper.get(reverse(f"valuation:{name}", args=args)))
    assert as_helper.get(reverse("valuation:estimate"), {"of": "ZZ7GT"}).context["found"].currency == "GBP"
    for name, args in (("api-appraise", []), ("api-paper", ["insurance"])):  # what programs ask stays as it was
        assert as_helper.get(reverse(f"valuation:{name}", args=args)).json()["currency"] == "EUR"
