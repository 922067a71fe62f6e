"""The insurance schedule: buildings and totals, sets with what stands in them, insured sums, what has no evidence."""

import io
import json
from datetime import date
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Fact
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.schedule import schedule
from inventory.valuation.queries.stated import stated, stated_of
from inventory.valuation.wording.papers.common import tags_told
from inventory.valuation.wording.papers.schedule import cover
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    PlaceFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
ON = date(2026, 10, 1)


def valued(**said):
    found = collection(**{"currency": "EUR", "on": ON, "basis": "replacement"} | said)
    return stated(found, by="somebody", today=timezone.localdate())


def scheduled(**said):
    return schedule(valued(), timezone.localdate(), **said)


def sales(of, *amounts, **said):
    for number, amount in enumerate(amounts):
        said_all = {"type": of, "on": date(2026, 1, 1 + number), "grade": "used tested good"} | said
        EvidenceFactory(amount=Decimal(amount), **said_all)


def insure(thing, amount):
    Fact.objects.create(item=thing.item, about="insured", text=amount, value=Decimal(amount), currency="EUR")


def test_buildings_add_up_to_the_valuation_and_say_what_is_under_insured():
    kind, hall, shed = TubeTypeFactory(), PlaceFactory(code="Hall"), PlaceFactory(code="Shed")
    shelf = PlaceFactory(code="S1", parent=shed)
    sales(kind, 40)
    one = TubeFactory(type=kind, state="good", item__place=hall)
    two, three = (TubeFactory(type=kind, state="good", item__place=shelf) for _ in range(2))
    insure(one, "30")
    insure(two, "55")
    found = scheduled()
    assert {b.name: (b.amount, b.insured, b.gap) for b in found.buildings} == {
        "Hall": (40, 30, -10), "Shed": (80, 55, -25),
    }  # fmt: skip
    assert (found.total, found.insured) == (found.stated.total, 85) == (120, 85)
    assert [line.gap for line in found.buildings[1].lines] == [15, None] and three.tag
    told = [cover(Decimal(40), Decimal(sum)) for sum in (0, 30, 40, 55)]
    assert told == ["not insured singly", "under-insured by 10.00", "insured for its value", "over-insured by 15.00"]


def test_like_tubes_stand_in_one_line_below_the_threshold_that_is_set():
    kind, place = TubeTypeFactory(), PlaceFactory()
    sales(kind, 40)
    tubes = [TubeFactory(type=kind, state="good", item__place=place) for _ in range(3)]
    (line,) = scheduled().buildings[0].lines
    assert line.tags == tuple(tube.tag for tube in tubes) and line.amount == 120
    assert len(scheduled(single_out=Decimal(40)).buildings[0].lines) == 3
    assert tags_told(("T-0003", "T-0004", "T-0005", "T-0009")) == "T-0003 to T-0005, T-0009"


def test_a_set_is_told_with_its_tubes_and_by_them_where_it_has_no_evidence():
    kind, fitting = TubeTypeFactory(name="ZZ-inside"), FittingFactory(until=None)
    fitting.tube.type, fitting.tube.state = kind, "good"
    fitting.tube.save()
    sales(kind, 30)
    found = scheduled()
    (line,) = found.buildings[0].lines
    assert (line.first.tag, line.amount, line.itself) == (fitting.chassis.tag, 30, None)
    assert line.holds == (f"{fitting.position.mark} ZZ-inside {fitting.tube.tag}",)
    assert [one.first.tag for one in found.without] == [fitting.chassis.tag]
    sales(None, 200, set_model=fitting.chassis.model, designation="whole", grade="used untested")
    found = scheduled()
    (line,) = found.buildings[0].lines
    assert (line.amount, line.itself, line.held, found.without) == (200, 200, 0, [])


def test_what_has_no_evidence_is_told_and_is_never_nought():
    bare = TubeFactory(type=TubeTypeFactory(name="ZZ-bare"), state="good")
    FittingFactory(until=None, tube__type=TubeTypeFactory(name="ZZ-bare-inside"))
    found = scheduled()
    told = found.as_dict()
    assert found.total == 0 and all(not building.lines for building in found.buildings)
    assert {line["what"]: line["value"] for line in told["without_evidence_lines"]}.keys() >= {
        "ZZ-bare", "ZZ-bare-inside",
    }  # fmt: skip
    assert {line["value"] for line in told["without_evidence_lines"]} == {None} and bare.tag


def test_an_appraisal_keeps_its_figures_and_its_insured_sums():
    kind, place = TubeTypeFactory(), PlaceFactory(code="Hall")
    sales(kind, 40)
    tube = TubeFactory(type=kind, state="good", item__place=place)
    insure(tube, "1234.50")
    kept = keep_appraisal(collection("EUR", ON, basis="replacement"), by=None, by_whom="Ines")
    PriceEvidence.objects.all().delete()
    tube.item.place = PlaceFactory(code="Shed")
    tube.item.save()
    found = stated_of(kept)
    (figure,) = (one for one in found.figures if one.tag == tube.tag)
    assert (figure.amount, figure.place, figure.insured) == (40, "Hall", Decimal("1234.50"))
    answer = schedule(found, timezone.localdate())
    assert (answer.total, answer.insured) == (40, Decimal("1234.50"))


def test_page_pdf_command_and_api_say_the_same(as_visitor, tmp_path):
    kind = TubeTypeFactory(name="ZZ-told")
    sales(kind, 40, on=date(2025, 5, 5))
    TubeFactory(type=kind, state="good", item__place=PlaceFactory(code="Hall"))
    asked = {"on": "2026-10-01"}
    page = page_text(as_visitor.get(reverse("valuation:paper", args=["insurance"]), asked))
    for words in ("not a certified appraisal", "Replacement value of everything owned on 2026-10-01, in EUR", "40.00"):
        assert words in page
    answer = as_visitor.get(reverse("valuation:api-paper", args=["insurance"]), asked).json()
    file, out = tmp_path / "schedule.pdf", io.StringIO()
    call_command("print_value", "insurance", "--json", on="2026-10-01", out=str(file), stdout=out)
    told = json.loads(out.getvalue())
    assert file.read_bytes().startswith(b"%PDF")
    assert told["buildings"] == answer["buildings"] and told["total"] == answer["total"] == "40.00"
    body = as_visitor.get(reverse("valuation:paper-pdf", args=["insurance"]), asked)
    assert body["Content-Type"] == "application/pdf" and body.content.startswith(b"%PDF")


def test_what_cannot_be_answered_says_why(as_visitor):
    for address in ("paper", "paper-pdf"):
        answer = as_visitor.get(reverse(f"valuation:{address}", args=["insurance"]), {"currency": "EUX"})
        assert answer.status_code == 422
    assert as_visitor.get(reverse("valuation:api-paper", args=["insurance"]), {"currency": "EUX"}).status_code == 400
    assert as_visitor.get(reverse("valuation:paper", args=["nothing"])).status_code == 404


def test_more_things_ask_no_more_questions():
    kind = TubeTypeFactory()
    sales(kind, 40)

    def more():
        for _ in range(3):
            TubeFactory(type=kind, item__place=PlaceFactory())
            FittingFactory(until=None)
            ChassisFactory()

    more()
    first = cost(scheduled)
    more()
    assert cost(scheduled) == first


def test_a_book_that_is_sold_with_its_set_is_told_where_it_lies_and_added_once():
    chassis = ChassisFactory(serial="40001", item__place=PlaceFactory(code="Hall"))
    kind = CompanionKindFactory(set_model=chassis.model, name="book")
    book = CompanionFactory(kind=kind, mate_serial="40001", mate_reading="read", place=PlaceFactory(code="Attic"))
    sales(None, 200, set_model=chassis.model, designation="whole", grade="used untested")
    found = scheduled()
    attic, hall = found.buildings
    assert (attic.name, attic.amount, attic.lines[0].first.tag) == ("Attic", 0, book.tag)
    assert (attic.lines[0].contained, hall.amount, found.without) == (chassis.tag, 200, [])
    assert any(book.tag in words for words in hall.lines[0].goes_with)
    assert found.total == found.stated.total == 200
