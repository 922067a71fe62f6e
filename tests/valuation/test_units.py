"""Evidence of plug-in units and books: what settles it, what it is worth alone, and what a set loses when it is parted.

All amounts are made up so that they add up in the head; a level of equal prices is that price.
"""

import json
from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.urls import reverse

from inventory.holdings.models import Fact
from inventory.pairing.queries.mates import mates_of_sets
from inventory.sets.models import MatedPart, MatedSet
from inventory.valuation.actions import save_evidence
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.sales import sales
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    PlugInUnitFactory,
    SeatingFactory,
    SetModelFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
DAY, ON, TODAY = date(2026, 3, 28), date(2026, 10, 1), date(2026, 11, 30)


def worth():
    return collection("EUR", ON, basis="fair-market")


def priced(amount, **of):
    said = {"type": None, "designation": "as sold", "grade": "used tested good", "on": DAY}
    return EvidenceFactory(amount=Decimal(amount), **said | of)


def by_tag(found):
    return {line.thing.tag: (line.amount, line.counts) for line in found.lines}


def test_a_name_of_a_unit_or_a_book_settles_the_row_and_a_set_comes_first():
    TubeTypeFactory(name="807")
    unit, book = UnitModelFactory(name="Brindle drawer 807"), CompanionKindFactory()
    both = SetModelFactory(name="Gorse")
    UnitModelFactory(name="gorse")

    def settled(text):
        row = PriceEvidence(on=DAY, designation=text, grade="weak", currency="EUR", amount=Decimal(5))
        return save_evidence(row, today=TODAY, by=None, besides=True)

    assert settled("brindle  drawer 807").of == unit
    assert settled(f"Calibration book of {book.set_model.name}").of == book
    assert settled("GORSE").of == both
    assert settled("calibration book").of is None


def test_a_row_is_of_one_thing_and_no_more():
    row = priced(5, unit_model=UnitModelFactory())
    row.companion_kind = CompanionKindFactory()
    with pytest.raises(ValidationError, match="It is of one of them"):
        save_evidence(row, today=TODAY, by=None)


def test_a_list_settles_units_and_books(tmp_path, capsys):
    unit, book = UnitModelFactory(), CompanionKindFactory()
    path = tmp_path / "sales.csv"
    rows = (f"2026-03-14,{name},weak,sold,EUR,3" for name in (unit.name.upper(), str(book)))
    path.write_text("\n".join(("date,designation,grade,kind,currency,amount", *rows)))
    call_command("import_prices", str(path), "--json")
    assert "unsettled" not in json.loads(capsys.readouterr().out)
    assert [row.of for row in PriceEvidence.objects.order_by("pk")] == [unit, book]


def test_a_unit_is_worth_what_its_model_fetches_and_the_market_of_tubes_knows_nothing_of_it():
    unit = UnitModelFactory()
    for amount in (40, 40, 40):
        priced(amount, unit_model=unit)
    EvidenceFactory(grade="dud", amount=Decimal(1), on=DAY)
    found = estimate(unit.name, on=ON)
    assert (found.what, found.amount.figure, len(found.comparables)) == ("unit model", "40.00", 3)
    assert found.grade == "used tested good"


def test_own_units_and_books_bought_are_evidence():
    unit, book = PlugInUnitFactory(), CompanionFactory()
    for item in (unit.item, book.item):
        said = {"item": item, "text": "20", "about": "acquired", "first": DAY, "last": DAY, "precision": "day"}
        Fact.objects.create(**said)
        Fact.objects.create(item=item, about="paid", text="20 EUR", value=20, currency="EUR")
    assert {(sale.unit_model, sale.companion) for sale in sales()} == {
        (unit.model.name, ""), ("", str(book.kind)),
    }  # fmt: skip


def test_a_set_valued_whole_contains_what_is_in_it_and_what_belongs_with_it():
    seating = SeatingFactory(until=None)
    chassis, seated = seating.chassis, seating.unit
    matched = PlugInUnitFactory(model=seated.model, serial=chassis.serial)
    stranger = PlugInUnitFactory(model=seated.model, serial="88")
    book = CompanionFactory(kind__set_model=chassis.model, mate_serial=chassis.serial)
    fitting = FittingFactory(position__set_model=chassis.model, chassis=chassis, until=None)
    fitting.tube.state = "good"
    fitting.tube.save()
    priced(30, unit_model=seated.model)
    priced(10, companion_kind=book.kind)
    EvidenceFactory(type=fitting.tube.type, grade="used tested good", amount=Decimal(20), on=DAY)
    apart = {seated.tag: 30, matched.tag: 30, stranger.tag: 30, book.tag: 10, fitting.tube.tag: 20}
    assert by_tag(worth()) == {tag: (amount, True) for tag, amount in apart.items()} | {chassis.tag: (None, True)}
    priced(200, set_model=chassis.model)
    found = worth()
    assert {tag for tag, (_, counts) in by_tag(found).items() if counts} == {chassis.tag, stranger.tag}
    assert found.total == 230
    (split,) = found.splits
    assert (split.tubes, split.units, split.alone, split.rest) == (20, 70, 90, 110)
    assert split.told == (
        "Parted, what is in it and belongs with it brings 90.00 EUR by itself: "
        "110.00 less than the whole, lost unless the bare set brings that."
    )
    (told,) = found.as_dict()["sets"]
    assert (told["tubes"], told["units"], told["alone"], told["text"]) == ("20.00", "70.00", "90.00", split.told)


def test_parting_can_gain_and_what_has_no_evidence_is_named():
    seating = SeatingFactory(until=None)
    CompanionFactory(kind__set_model=seating.chassis.model, mate_serial=seating.chassis.serial)
    priced(300, unit_model=seating.unit.model)
    priced(200, set_model=seating.chassis.model)
    (split,) = worth().splits
    assert "300.00 EUR by itself: 100.00 more than the whole, and the bare set beside." in split.told
    assert split.told.endswith("1 of it without evidence, in no sum.")


def test_what_belongs_with_which_set():
    """A number that two sets bear, or a set that does not take the unit, says nothing; a mated set of one set does."""
    one, other = ChassisFactory(serial="0119"), ChassisFactory(serial="0119")
    both = UnitModelFactory(fits=[one.model, other.model])
    own = PlugInUnitFactory(model=UnitModelFactory(fits=[one.model]), serial="0119")
    PlugInUnitFactory(model=both, serial="0119")
    PlugInUnitFactory(model=UnitModelFactory(fits=[]), serial="0119")
    PlugInUnitFactory(model=both, serial="", serial_reading="missing")
    mated = MatedSet.objects.create(name="Gorse and its meter")
    meter = PlugInUnitFactory(serial="5")
    for name, item in (("set", other.item), ("meter", meter.item)):
        MatedPart.objects.create(mated_set=mated, name=name, item=item)
    assert mates_of_sets(TODAY) == {own.tag: one.tag, meter.tag: other.tag}


def test_the_list_finds_them_and_the_page_says_what_parting_loses(as_keeper):
    seating = SeatingFactory(until=None)
    priced(30, unit_model=seating.unit.model)
    priced(10, companion_kind=CompanionKindFactory())
    priced(200, set_model=seating.chassis.model)
    told = as_keeper.get(reverse("valuation:api-prices"), {"of": seating.unit.model.name}).json()["prices"]
    assert [(one["unit_model"], one["companion"]) for one in told] == [(seating.unit.model.name, None)]
    book = PriceEvidence.objects.get(companion_kind__isnull=False).companion_kind
    told = as_keeper.get(reverse("valuation:api-prices"), {"of": str(book)}).json()["prices"]
    assert [one["companion"] for one in told] == [str(book)]
    assert len(as_keeper.get(reverse("valuation:api-prices"), {"settled": "yes"}).json()["prices"]) == 3
    page = page_text(as_keeper.get(reverse("valuation:collection"), {"on": str(ON)}))
    assert "170.00 less than the whole" in page and f"in {seating.chassis.tag}, not added again" in page


def test_more_units_and_books_cost_no_more_queries():
    def more(count):
        for _ in range(count):
            seating = SeatingFactory(until=None)
            priced(30, unit_model=seating.unit.model)
            priced(10, companion_kind=CompanionFactory().kind)
            ChassisFactory()

    more(2)
    few = cost(worth)
    more(3)
    assert cost(worth) == few


def test_a_set_of_which_nothing_inside_has_evidence_claims_no_loss():
    seating = SeatingFactory(until=None)
    priced(200, set_model=seating.chassis.model)
    (split,) = worth().splits
    assert split.told == "1 in it or with it, none with evidence: what parting it loses cannot be said."
