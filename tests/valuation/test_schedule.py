"""The insurance schedule: buildings and totals, sets with what stands in them, insured sums, what has no evidence."""

import io
import json
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import Fact, Loan, Paper
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.estate import estate
from inventory.valuation.queries.schedule import schedule
from inventory.valuation.queries.stated import stated, stated_of
from inventory.valuation.rules.cover import Cover, Valued
from inventory.valuation.wording.papers.common import heading_lines, tags_told
from inventory.valuation.wording.papers.estate import estate_printed, worth
from inventory.valuation.wording.papers.schedule import cover, schedule_printed
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    PlaceFactory,
    TubeFactory,
    TubeTypeFactory,
    days_ago,
)
from tests.house.world import a_picture
from tests.pages import page_text
from tests.pages import printed_text as texts
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
    told = [cover(Cover((Valued(Decimal(40), sum and Decimal(sum)),))) for sum in (None, 30, 40, 55)]
    assert told == ["not insured singly", "under-insured by 10.00", "insured for its value", "over-insured by 15.00"]
    assert cover(found.buildings[1].cover) == (
        "under-insured by 40.00, 40.00 of it not insured singly; over-insured by 15.00"
    )
    assert (found.cover.under, found.cover.over) == (50, 15)


def test_what_is_insured_without_evidence_covers_nothing_else(as_helper):
    """A set insured for 900 of which no evidence tells, with a tube worth 40 in it; a tube insured for 1,000."""
    kind, hall = TubeTypeFactory(), PlaceFactory(code="Hall")
    sales(kind, 40)
    fitting = FittingFactory(until=None, tube__type=kind, tube__state="good", chassis__item__place=hall)
    insure(fitting.chassis, "900")
    insure(TubeFactory(type=TubeTypeFactory(name="ZZ-bare"), item__place=hall), "1000")
    found = scheduled()
    (building,) = found.buildings
    line = next(line for line in building.lines if line.first.tag == fitting.chassis.tag)
    assert (line.amount, line.insured, line.gap, line.cover.not_compared) == (40, 900, None, [900])
    assert (building.insured, building.cover.under, building.cover.over, building.gap) == (1900, 40, 0, -40)
    said = "1,900.00 insured without evidence of a value, not compared"
    assert cover(building.cover) == f"not insured singly; {said}"
    told = found.as_dict()["buildings"][0]
    assert (told["under_insured"], told["over_insured"], told["insured_not_compared"]) == ("40.00", "0.00", "1900.00")
    page = page_text(as_helper.get(reverse("valuation:collection")))
    assert said in page and "over-insured" not in page


def test_what_is_contained_in_a_value_is_insured_with_it():
    fitting = whole_set()
    insure(fitting.chassis, "150")
    insure(fitting.tube, "25")
    (line,) = scheduled().buildings[0].lines
    assert (line.amount, line.insured, line.gap) == (200, 175, -25)


def test_a_frozen_schedule_adds_up_to_its_appraisal_whatever_was_taken_out_since():
    """A tube contained in the value of its set then, out of it today, beside a loose one of the same sort."""
    fitting = whole_set()
    loose = TubeFactory(type=fitting.tube.type, state="good", item__place=fitting.chassis.item.place)
    kept = keep_appraisal(collection("EUR", ON, basis="replacement"), by=None)
    fitting.until = timezone.localdate()
    fitting.save()
    fitting.tube.item.place = loose.item.place
    fitting.tube.item.save()
    found = schedule(stated_of(kept), timezone.localdate())
    lines = {line.tags: (line.amount, line.contained) for line in found.buildings[0].lines}
    assert found.total == kept.total == 230
    assert lines[loose.tag,] == (30, "") and lines[fitting.tube.tag,] == (None, fitting.chassis.tag)
    listed = {line.tags: worth(line, "EUR") for line in estate(stated_of(kept), timezone.localdate()).lines}
    assert listed[fitting.tube.tag,] == f"in the worth of {fitting.chassis.tag}, with which it stays"
    assert listed[loose.tag,].startswith("about 30 EUR")


def whole_set():
    """A set worth 200 EUR with a tube worth 30 in it, in a hall."""
    fitting = FittingFactory(until=None, tube__state="good", chassis__item__place=PlaceFactory(code="Hall"))
    sales(fitting.tube.type, 30)
    sales(None, 200, set_model=fitting.chassis.model, designation="whole", grade="used untested")
    return fitting


def test_what_left_is_lost_or_lent_is_marked_and_what_is_not_ours_is_named():
    kind, hall = TubeTypeFactory(name="ZZ-gone"), PlaceFactory(code="Hall")
    sales(kind, 40)
    here, sold, lost, lent = (TubeFactory(type=kind, state="good", item__place=hall) for _ in range(4))
    borrowed = TubeFactory(item__place=hall)
    Loan.objects.create(item=borrowed.item, way=Loan.IN, who="Mara Quill", since=days_ago(3))
    lost.item.missed_on = days_ago(20)
    lost.item.save()
    lend(lent.item, "the club", on=timezone.localdate(), by=None)
    kept = keep_appraisal(collection("EUR", ON, basis="replacement"), by=None)
    part_with(sold.item, "sold, 300 EUR", on=timezone.localdate(), by=None)
    found = schedule(stated_of(kept), timezone.localdate())
    away = {line.tags: line.as_dict()["away"] for line in found.buildings[0].lines}
    assert away == {
        (here.tag,): None, (sold.tag,): f"left on {timezone.localdate()}, sold",
        (lost.tag,): f"not found on {days_ago(20)}", (lent.tag,): f"lent to the club since {timezone.localdate()}",
    }  # fmt: skip
    said = texts(schedule_printed(found))
    assert all(words in said for words in filter(None, away.values()))
    assert "Here, and not ours" in said and "Mara Quill" in said and found.total == 160
    heirs = estate(stated_of(kept), timezone.localdate())
    assert [line.tags for line in heirs.left] == [(sold.tag,)]
    assert all(sold.tag not in line.tags for lines in heirs.buildings.values() for line in lines)
    assert "Left since it was valued" in texts(estate_printed(heirs))
    assert f"not found on {days_ago(20)}" in texts(estate_printed(heirs))


def test_a_paper_of_a_past_day_says_what_it_values_by_which_evidence():
    sales(TubeTypeFactory(), 40, on=date(2009, 1, 1))
    today = timezone.localdate()
    first, _ = heading_lines(valued(on=date(2010, 1, 1)))
    assert first == f"Replacement value of everything owned on {today}, by the evidence of 2010-01-01, in EUR."


def test_a_tube_with_a_proof_of_purchase_has_a_line_of_its_own():
    kind, hall = TubeTypeFactory(), PlaceFactory(code="Hall")
    sales(kind, 40)
    proven, *_ = (TubeFactory(type=kind, state="good", item__place=hall, acquired_on=days_ago(9 + n)) for n in range(3))
    Paper.objects.create(item=proven.item, kind="paper", file="x.pdf", digest="1", caption="bill of sale")
    bought = TubeFactory(type=kind, state="good", item__place=hall)
    Fact.objects.create(item=bought.item, about="paid", text="3 EUR")
    found = scheduled()
    assert {line.first.paid for line in found.buildings[0].lines if bought.tag in line.tags} == {"3 EUR"}
    assert all(line.tags == (bought.tag,) for line in found.buildings[0].lines if bought.tag in line.tags)
    every = found.as_dict()["buildings"][0]["lines"]
    told = {line["count"]: line for line in every if line["tags"] != [bought.tag]}
    assert (told[1]["papers"], told[1]["tags"]) == (["bill of sale"], [proven.tag])
    assert (told[2]["papers"], told[2]["acquired"]) == ([], None)
    assert "bill of sale" in texts(schedule_printed(found))


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


def test_page_pdf_command_and_api_say_the_same(as_helper, tmp_path):
    kind = TubeTypeFactory(name="ZZ-told")
    sales(kind, 40, on=date(2025, 5, 5))
    TubeFactory(type=kind, state="good", item__place=PlaceFactory(code="Hall"))
    asked = {"on": "2026-10-01"}
    page = page_text(as_helper.get(reverse("valuation:paper", args=["insurance"]), asked))
    for words in ("not a certified appraisal", "by the evidence of 2026-10-01, in EUR", "40.00"):
        assert words in page
    answer = as_helper.get(reverse("valuation:api-paper", args=["insurance"]), asked).json()
    file, out = tmp_path / "schedule.pdf", io.StringIO()
    call_command("print_value", "insurance", "--json", on="2026-10-01", out=str(file), stdout=out)
    told = json.loads(out.getvalue())
    assert file.read_bytes().startswith(b"%PDF")
    assert told["buildings"] == answer["buildings"] and told["total"] == answer["total"] == "40.00"
    body = as_helper.get(reverse("valuation:paper-pdf", args=["insurance"]), asked)
    assert body["Content-Type"] == "application/pdf" and body.content.startswith(b"%PDF")


def test_what_cannot_be_answered_says_why(as_helper):
    for address in ("paper", "paper-pdf"):
        answer = as_helper.get(reverse(f"valuation:{address}", args=["insurance"]), {"currency": "EUX"})
        assert answer.status_code == 422
    assert as_helper.get(reverse("valuation:api-paper", args=["insurance"]), {"currency": "EUX"}).status_code == 400
    assert as_helper.get(reverse("valuation:paper", args=["nothing"])).status_code == 404


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


def test_photographs_are_large_enough_to_read_a_plate_and_what_has_none_is_named(as_helper, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    hall = PlaceFactory(code="Hall")
    bare, shown = ChassisFactory(item__place=hall), ChassisFactory(item__place=hall)
    for name in ("front", "plate"):
        file = ContentFile(a_picture(), f"{name}.jpg")
        Paper.objects.create(item=shown.item, kind="photograph", file=file, digest=name, caption=name)
    (section,) = (one for one in schedule_printed(scheduled()).sections if one.title == "Photographs: Hall")
    pictures, words = section.blocks
    assert [told.rpartition(": ")[2] for _, told in pictures.pictures] == ["front", "plate"]
    assert bare.tag in words.texts[0] and shown.tag not in words.texts[0]
    assert f"{shown.tag} " in page_text(as_helper.get(reverse("valuation:paper", args=["insurance"])))
    body = as_helper.get(reverse("valuation:paper-pdf", args=["insurance"])).content
    assert body.count(b"/Subtype /Image") == 1  # the same picture twice, held once


def test_sums_beside_places_are_for_helpers_and_keepers(as_visitor, as_helper):
    TubeFactory()
    for key, asked in (("insurance", {}), ("lots", {}), ("lots", {"currency": "EUX"}), ("estate", {})):
        for address in ("paper", "paper-pdf", "api-paper"):
            assert as_visitor.get(reverse(f"valuation:{address}", args=[key]), asked).status_code == 403
    page = as_helper.get(reverse("valuation:collection")).content.decode()
    for key, seen in (("insurance", True), ("lots", True), ("catalogue", True), ("estate", False)):
        assert (reverse("valuation:paper", args=[key]) in page) == seen
    assert as_helper.get(reverse("valuation:api-paper", args=["insurance"])).status_code == 200
    assert as_visitor.get(reverse("valuation:api-paper", args=["lots"]), {"bidders": "on"}).status_code == 200
