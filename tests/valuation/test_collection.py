"""What the collection is worth: lines and totals, sets with their tubes, places, insured sums; appraisals that stay."""

import json
import re
from datetime import date
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.holdings.models import Fact, Loan
from inventory.house import concerns
from inventory.running.models import MatchedSet, MatchedTube
from inventory.valuation.actions import appraisals
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.models import Appraisal, AppraisalLine, PriceEvidence
from inventory.valuation.queries import stated
from inventory.valuation.queries.appraisals import beside, kept_evidence, unaltered
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.stated import stated_of
from inventory.valuation.queries.worth import building_of
from inventory.valuation.queries.worth_line import worth_line
from inventory.valuation.rules import packed
from inventory.valuation.wording.papers.common import heading_lines
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    PlaceFactory,
    PlugInUnitFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
    days_ago,
)
from tests.pages import page_text
from tests.running.rows import TubeTestFactory
from tests.valuation.rows import AppraisalFactory, EvidenceFactory

pytestmark = pytest.mark.django_db
ON = date(2026, 10, 1)


def worth(**said):
    return collection(**{"currency": "EUR", "on": ON, "basis": "fair-market"} | said)


def evidence(of, *amounts, **said):
    for number, amount in enumerate(amounts):
        said_all = {"type": of, "on": date(2026, 1, 1 + number), "grade": "used tested good"} | said
        EvidenceFactory(amount=Decimal(amount), **said_all)


def amounts(found):
    return {line.thing.tag: line.amount for line in found.lines}


def test_lines_add_up_and_what_has_no_evidence_is_told():
    kind = TubeTypeFactory()
    evidence(kind, 20, 20, 20, 20, 20, 20)
    two = [TubeFactory(type=kind, state="good") for _ in range(2)]
    none = TubeFactory(type=TubeTypeFactory(name="ZZ-none"), state="good")
    TubeFactory(type=kind, state="good", item__gone_on=days_ago(3), item__gone_how="given away")
    found = worth()
    assert amounts(found) == {two[0].tag: 20, two[1].tag: 20, none.tag: None}
    assert (found.total, found.low, found.high) == (40, 40, 40)
    assert [line.thing.tag for line in found.without] == [none.tag]
    answer = found.as_dict()
    assert (answer["total"], answer["without_evidence"], len(answer["lines"])) == ("40.00", 1, 3)


def test_what_a_dud_fetches_at_most_is_in_no_sum():
    kind = TubeTypeFactory()
    evidence(kind, 20, 20, 20, 20, 20, 20)
    for state in ("good", "dud"):
        TubeFactory(type=kind, state=state)
    found = worth()
    (group,) = found.by(building_of)
    assert [line.high for line in found.lines] == [20, 20] and len(found.without) == 1
    assert (group.amount, group.low, group.high) == (found.total, found.low, found.high) == (20, 20, 20)


def test_nothing_dated_after_the_valuation_date_counts():
    kind = TubeTypeFactory()
    evidence(kind, 20)
    TubeFactory(type=kind, state="good")
    assert worth(on=date(2025, 12, 31)).total == 0 and worth().total == 20


def test_appraisals_of_one_day_are_told_apart_in_a_choice(as_helper):
    for note, place in (("for the insurer", ""), ("x" * 90, "Loft")):
        AppraisalFactory(note=note, place=place)
    one, two = Appraisal.objects.order_by("pk")
    page = page_text(as_helper.get(reverse("valuation:paper", args=["catalogue"])))
    assert f"Appraisal {one.pk} on {one.on}, fair market value, 12.50 EUR: for the insurer" in page
    assert f"Appraisal {two.pk} of Loft on {two.on}, fair market value, 12.50 EUR: {'x' * 59}…" in page
    assert "How estimates are made" in page


def test_what_lacks_a_rate_and_a_day_to_come_are_told_first(capsys):
    kind = TubeTypeFactory()
    evidence(kind, 20)
    evidence(kind, 30, 31, currency="RUB")
    assert worth().as_dict()["sales_without_rate"] == 2
    later = days_ago(-30)
    call_command("appraise", on=str(later))
    first, second, *_ = capsys.readouterr().out.splitlines()
    assert first == "2 sales are not in it for lack of a rate of exchange."
    assert second.startswith("That day is to come")
    paper = stated.stated(worth(on=later), by="Orla Finch", today=days_ago(0))
    assert "That day is to come" in heading_lines(paper)[0]
    assert "to come" not in heading_lines(stated.stated(worth(on=days_ago(0)), by="O", today=days_ago(0)))[0]
    evidence(TubeTypeFactory(), 5)
    PriceEvidence.objects.filter(currency="RUB").delete()
    assert "remarks" not in worth().as_dict()


def test_a_set_with_evidence_is_worth_what_it_fetches_whole_and_its_tubes_are_not_added_again():
    kind, fitting = TubeTypeFactory(), FittingFactory(until=None)
    fitting.tube.type, fitting.tube.state = kind, "good"
    fitting.tube.save()
    evidence(kind, 30)
    assert worth().total == 30
    evidence(None, 200, set_model=fitting.chassis.model, designation="whole")
    found = worth()
    assert found.total == 200
    (split,) = found.splits
    assert (split.line.thing.tag, split.tubes, split.rest) == (fitting.chassis.tag, 30, 170)


def test_a_matched_set_is_told_as_the_sum_of_its_tubes_and_added_once():
    kind = TubeTypeFactory()
    evidence(kind, 15)
    tests = [TubeTestFactory(tube=TubeFactory(type=kind, state="good")) for _ in range(2)]
    said = {"instrument": tests[0].instrument, "made_on": ON, "mismatch_pct": 1, "tolerance_pct": 5}
    kept, split = MatchedSet.objects.create(**said), MatchedSet.objects.create(**said, split_on=ON)
    for row in (kept, split):
        for test in tests:
            MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    found = worth()
    (one,) = found.matched
    assert (one.name, one.amount, found.total) == (str(kept), 30, 30)
    assert one.tags == tuple(test.tube.tag for test in tests)


def test_place_takes_what_lies_below_it_and_what_stands_in_its_sets():
    room, other = PlaceFactory(), PlaceFactory()
    box = PlaceFactory(parent=room)
    kind, fitting = TubeTypeFactory(), FittingFactory(until=None)
    evidence(kind, 10)
    fitting.chassis.item.place = box
    fitting.chassis.item.save()
    fitting.tube.type, fitting.tube.state = kind, "good"
    fitting.tube.save()
    TubeFactory(type=kind, state="good", item__place=other)
    found = worth(place=room.path)
    assert set(amounts(found)) == {fitting.chassis.tag, fitting.tube.tag} and found.total == 10
    assert {one.name: one.amount for one in worth().by(building_of)} == {room.path: 10, other.path: 10}
    with pytest.raises(ValueError, match="write its path"):
        worth(place="nowhere at all")


def test_a_place_is_named_in_any_letters_and_an_appraisal_is_not_compared_with_itself(capsys):
    kind = TubeTypeFactory()
    evidence(kind, 10)
    TubeFactory(type=kind, state="good", item__place=PlaceFactory(code="Barn"))
    call_command("appraise", place="bARN", json=True)
    assert json.loads(capsys.readouterr().out)["place"] == "Barn"
    kept = keep_appraisal(worth(), by=None)
    with pytest.raises(ValueError, match="one and the same: choose two"):
        beside(kept, kept)


def test_insured_sums_go_by_the_last_rate_and_what_is_here_on_loan_is_not_owned():
    """28 March 2014: 1 EUR was 1.3759 USD (European Central Bank, as the manual of currencyconverter prints it)."""
    tube, lost, borrowed = TubeFactory(), TubeFactory(), TubeFactory()
    Loan.objects.create(item=borrowed.item, way=Loan.IN, who="a neighbour", since=days_ago(3))
    for one, code in ((tube, "USD"), (lost, "DDM")):
        Fact.objects.create(item=one.item, about="insured", text="137.59", value=Decimal("137.59"), currency=code)
    found = worth(on=date(2014, 3, 30))
    assert found.insured == 100 and lost.tag in found.not_converted[0]
    assert borrowed.tag not in amounts(found)


def test_the_last_test_of_a_tube_moves_its_grade(monkeypatch):
    kind = TubeTypeFactory()
    tube = TubeFactory(type=kind, state="good")
    TubeTestFactory(tube=tube)
    monkeypatch.setattr(concerns, "_doubts", [lambda keys: {tube.pk: concerns.Doubt("reject", days_ago(1))}])
    (line,) = worth().lines
    assert (line.thing.grade, line.thing.against) == ("weak", f"last test reject ({days_ago(1)})")


def test_a_test_above_its_minimum_makes_an_untested_tube_a_tested_one():
    kind = TubeTypeFactory()
    fresh = TubeFactory(type=kind, state="untested")
    tested = TubeTestFactory(tube=fresh, reading=2600.0, minimum=1700.0, minimum_text="1700")
    TubeTestFactory(tube=TubeFactory(type=kind, state="untested"), reading=2600.0)  # of no known minimum
    lines = {line.thing.tag: line.thing for line in worth().lines}
    one = lines.pop(tested.tube.tag)
    assert (one.grade, one.against) == ("used tested good", f"last test good ({days_ago(5)})")
    evidence(kind, 20, 22, 24)
    assert worth_line(fresh.item).grade == "used tested good"  # the page of the tube says what the collection says
    assert [thing.grade for thing in lines.values()] == ["used untested"]


def test_an_appraisal_stays_whatever_becomes_of_the_evidence():
    kind = TubeTypeFactory()
    evidence(kind, 20, 22, 24)
    tube = TubeFactory(type=kind, state="good")
    kept = keep_appraisal(worth(), by=None, note="for the insurer")
    PriceEvidence.objects.update(amount=Decimal(500))
    tube.state = "dud"
    tube.save()
    kept.refresh_from_db()
    line = kept.lines.get()
    assert kept.total == line.amount == Decimal("21.95")  # of the logarithms: the middle of all averages of two
    assert line.grade == "used tested good" and unaltered(kept)
    assert [row["each"] for row in kept.inputs["evidence"]] == ["20.000000", "22.000000", "24.000000"]
    AppraisalLine.objects.update(amount=Decimal(99))
    assert not unaltered(kept)


def test_an_appraisal_is_worked_out_again_to_the_same():
    kind = TubeTypeFactory()
    evidence(kind, 20, 22, 24, 40, 41, 60)
    TubeFactory.create_batch(2, type=kind, state="good")
    one, two = keep_appraisal(worth(), by=None), keep_appraisal(worth(), by=None)
    assert one.digest == two.digest and beside(one, two).differences == ()


def test_two_appraisals_tell_what_was_bought_left_and_dearer():
    kind = TubeTypeFactory()
    evidence(kind, 20)
    stays, leaves = TubeFactory(type=kind, state="good"), TubeFactory(type=kind, state="good")
    then = keep_appraisal(worth(), by=None)
    row = PriceEvidence.objects.get()
    row.amount = Decimal(30)
    row.save()
    leaves.item.gone_on = days_ago(1)
    leaves.item.save()
    comes = TubeFactory(type=kind, state="good")
    found = beside(then, keep_appraisal(worth(), by=None))
    told = {one.tag: dict(one.parts) for one in found.differences}
    assert told == {stays.tag: {"price": 10}, leaves.tag: {"gone": -20}, comes.tag: {"bought": 30}}
    assert found.now - found.then == 20
    with pytest.raises(ValueError, match="do not compare"):
        beside(then, keep_appraisal(worth(basis="replacement"), by=None))


def test_pages_and_command_tell_the_same(as_keeper, capsys):
    kind = TubeTypeFactory()
    evidence(kind, 20, 20)
    TubeFactory(type=kind, state="good")
    asked = {"on": str(ON), "currency": "eur", "basis": "fair-market"}
    page = page_text(as_keeper.get(reverse("valuation:collection"), asked))
    assert "20.00 EUR" in page and "fair market value" in page
    call_command("appraise", "--on", str(ON), "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["total"] == "20.00" and as_keeper.get(reverse("valuation:api-appraise"), asked).json() == told
    done = as_keeper.post(reverse("valuation:appraisal-keep"), asked | {"note": "for the heirs"}, follow=True)
    told = page_text(done)
    assert "for the heirs" in told and "20.00 EUR" in told and "Altered" not in told


def test_a_bad_question_is_answered_beside_its_field(as_keeper):
    answer = as_keeper.get(reverse("valuation:collection"), {"currency": "EUX"})
    assert answer.status_code == 422 and "no currency code" in page_text(answer)


def test_more_things_and_more_evidence_cost_no_more_queries():
    kind, place = TubeTypeFactory(), PlaceFactory()

    def more(count):
        for _ in range(count):
            evidence(kind, 20)
            TubeFactory(type=kind, item__place=place)
            ChassisFactory(item__place=place)
            FittingFactory(until=None)

    more(2)
    few = cost(worth)
    more(3)
    assert cost(worth) == few


def test_the_page_of_one_thing_tells_what_the_command_tells(as_helper, capsys):
    kind = TubeTypeFactory()
    evidence(kind, 20, 22, 24, 26, 30, 200)
    evidence(kind, 90, kind="asking")
    asked = {"of": kind.name, "grade": "used tested good", "on": str(ON)}
    call_command("estimate", kind.name, "--grade", "used tested good", "--on", str(ON), "--json")
    told = json.loads(capsys.readouterr().out)
    answer = as_helper.get(reverse("valuation:estimate"), asked)
    page = page_text(answer)
    assert f"{told['amount']} EUR" in page and "asked, not sold" in page
    assert [len(answer.context["chart"].dots), told["comparables"]] == [7, 6]
    assert as_helper.get(reverse("valuation:api-estimate"), asked).json() == told
    unknown = as_helper.get(reverse("valuation:estimate"), {"of": "no such thing"})
    assert unknown.status_code == 422 and "not in the tables" in page_text(unknown)


def test_an_appraisal_on_much_evidence_keeps_it_packed_and_shows_it(as_keeper, monkeypatch):
    """An array of jsonb holds 268,435,455 bytes: 700,000 rows, and the house is built for a million."""
    kind = TubeTypeFactory()
    evidence(kind, 20, 22, 24)
    TubeFactory(type=kind, state="good")
    plain = keep_appraisal(worth(), by=None)
    monkeypatch.setattr(appraisals, "PLAIN", 2)
    monkeypatch.setattr(packed, "AT_ONCE", 2)
    kept = keep_appraisal(worth(), by=None)
    kept.refresh_from_db()
    rows, counted = kept_evidence(kept)
    assert list(rows) == plain.inputs["evidence"] and counted == 3 and "evidence" not in kept.inputs
    assert len(kept.inputs["evidence_packed"]) == 2 and unaltered(kept)
    page = page_text(as_keeper.get(reverse("valuation:appraisal", args=[kept.pk])))
    assert "24.00" in page and "Altered" not in page


def test_insured_sums_of_an_appraisal_stay_when_newer_rates_come(monkeypatch):
    tube = TubeFactory(type=TubeTypeFactory(), state="good")
    Fact.objects.create(item=tube.item, about="insured", text="100 USD", value=Decimal(100), currency="USD")
    kept = keep_appraisal(worth(), by=None)
    before = stated_of(kept).insured
    assert before > 0 and before != 100
    monkeypatch.setattr(stated, "exchange", None)  # nothing is converted anew
    assert stated_of(kept).insured == before


def test_a_part_by_its_grade_is_not_frozen_as_the_whole():
    with pytest.raises(CommandError, match="leave out --grade or --keep"):
        call_command("appraise", "--grade", "weak", "--keep", "spring")
    assert not Appraisal.objects.exists()


def test_a_place_that_holds_only_what_belongs_to_a_set_keeps_its_insured_sum():
    book = companion_of_a_valued_set(place=PlaceFactory(code="Attic"))
    Fact.objects.create(item=book.item, about="insured", text="25 EUR", value=25, currency="EUR")
    groups = {one.name: one for one in worth().by(building_of)}
    assert groups["Attic"].insured == 25 == worth().insured
    assert (groups["Attic"].things, groups["Attic"].known) == (0, False)


def companion_of_a_valued_set(**said):
    chassis = ChassisFactory(serial="77")
    EvidenceFactory(type=None, set_model=chassis.model, amount=Decimal(300), on=date(2026, 1, 1))
    kind = CompanionKindFactory(set_model=chassis.model)
    book = CompanionFactory(kind=kind, mate_serial="77", serial="", item__place=said["place"])
    return book


def test_where_nothing_has_evidence_the_page_says_so_and_never_nought(as_keeper):
    fitting = FittingFactory(until=None, tube__state="good")
    model = fitting.chassis.model
    EvidenceFactory(type=None, set_model=model, amount=Decimal(4300), on=date(2026, 1, 1))
    PlugInUnitFactory(model=UnitModelFactory(fits=[model]))
    page = page_text(as_keeper.get(reverse("valuation:collection")))
    assert re.search(
        r"Plug-in units</th> <td[^>]*>1 <small>1 without an amount</small></td> <td[^>]*>no evidence", page
    )
    assert re.search(r'data-label="Its tubes alone">no evidence</td>', page)
    assert re.search(r'data-label="Its units and books alone">none</td>', page)
    assert "4,300.00" in page and ">0.00" not in page and "0.00 to 0.00" not in page
    assert f'href="{fitting.chassis.item.get_absolute_url()}"' in page
    assert page.index("What is asked: fair market value") < page.index("4,300.00")
