"""What of the stock can stand in: the query, its command, its page. The rules have their own tests."""

import pytest

from inventory.holdings.models import HazardMark, Item, Loan, PartLot
from inventory.holdings.queries.replacement import find_part
from tests.commands import answer_of, refused, told
from tests.counting import cost
from tests.factories import ItemFactory, PlaceFactory, SetModelFactory, days_ago
from tests.holdings.parts import lot_of
from tests.pages import page_text
from tests.sets.rows import StandInFactory

pytestmark = pytest.mark.django_db
BYPASS = "0.01 mfd 400 V bypass"


def why_not(found, lot):
    return "; ".join(next(one.against for one in found.why_not if one.lot == lot))


def test_a_better_lot_serves_and_the_others_say_why_not():
    good = lot_of(construction="polyester", place=PlaceFactory())
    low = lot_of(volts=200.0, construction="mica")
    other = lot_of(value=50_000.0)
    lot_of(kind="resistor", value=10_000.0, named="resistor")
    found = find_part(BYPASS)
    assert [one.lot for one in found.single] == [good] and found.count_single == 1
    assert {one.lot for one in found.why_not} == {low, other}
    assert "at least 400 V" in why_not(found, low) and "value 0.05 mfd" in why_not(found, other)


def test_the_nearest_first_then_the_one_least_over_its_rating():
    far, very, over = lot_of(value=9_000.0), lot_of(), lot_of(volts=5000.0)
    assert [one.lot for one in find_part(BYPASS).single] == [very, over, far]


def test_what_does_not_count_is_told():
    lent, missed = lot_of(), lot_of()
    Item.objects.filter(pk=lent.pk).update(lent_to="R. Oddsworth")
    Item.objects.filter(pk=missed.pk).update(missed_on=days_ago(3))
    unknown = lot_of(about={"least": None, "most": None})
    empty = lot_of(0, about={"duds": 3})
    borrowed, gone = lot_of(), lot_of()
    Loan.objects.create(item=borrowed.item, way=Loan.IN, who="Ebb Street radio club", since=days_ago(3))
    Item.objects.filter(pk=gone.pk).update(gone_on=days_ago(3))
    guess = lot_of(about={"to_count": True, "duds": 2})
    found = find_part(BYPASS)
    for lot, word in (
        (lent, "lent to R. Oddsworth"), (missed, "not found"), (unknown, "not known: count"), (empty, "none of it is"),
        (borrowed, "on loan here from Ebb Street"),
    ):  # fmt: skip
        assert word in why_not(found, lot)
    assert gone not in {one.lot for one in (*found.single, *found.why_not)}
    (one,) = found.single
    assert one.lot == guess and any("guess" in care for care in one.cares) and "2 of it known to be bad" in one.beside


def test_reserved_pieces_do_not_count(today):
    lot = lot_of(5)
    reserve(lot, 3, today)
    (one,) = find_part(BYPASS).single
    assert one.free == 2 and "3" in one.beside[0]
    reserve(lot, 2, today)
    found = find_part(BYPASS)
    assert not found.single and "Winter work" in why_not(found, lot)
    assert not found.combined.combinations


def reserve(lot, count, today):
    from inventory.restoration.models import Plan, Requirement, Reservation  # what counts on a lot lies above

    plan, _ = Plan.objects.get_or_create(name="Winter work")
    line = Requirement.objects.create(plan=plan, words=f"filter {count}", type=lot.type, quantity=count)
    Reservation.objects.create(plan=plan, item=lot.item, requirement=line, quantity=count, on=today)


def test_two_pieces_where_no_lot_serves_alone():
    lot = lot_of(2, value=20_000.0, construction="polyester", volts=400.0)
    found = find_part("0.01 mfd 600 V bypass")
    assert not found.single and "value 0.02 mfd" in why_not(found, lot)
    (one,) = found.combined.combinations
    assert "every piece is needed" in found.wanted.remarks[-1]
    assert (one.how, one.volts, one.value) == ("series", 800, 10_000) and one.lots == f"2 of {lot.tag}"


def test_pieces_that_may_not_sit_there_are_not_put_together():
    lot_of(2, value=20_000.0, construction="paper", volts=400.0)
    assert not find_part("0.01 mfd 600 V tuned circuit").combined.combinations
    (one,) = find_part("0.01 mfd 600 V bypass").combined.combinations
    assert any("insulation" in caution for caution in one.cautions)


def test_a_lot_without_a_kind_is_named_by_its_words():
    lot = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="capacitor", value="0.01 mfd 600 V", least=4)
    PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="capacitor", value="8 mfd", least=4)
    found = find_part(BYPASS)
    assert [one.lot for one in found.why_not] == [lot] and "give it its kind" in why_not(found, lot)


def test_a_lot_of_several_sections_says_so():
    """A section is named by its own value and never offered unseen (common practice, no source)."""
    can = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="capacitor", value="40/40 mfd 450 V", least=1)
    three = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="capacitor", value="3 x .1 mfd", least=1)
    kept = lot_of(1, value=None, volts=450.0, words="16-16 mfd")
    assert "one of its sections" in why_not(find_part("40 mfd 450 V"), can)
    assert "one of its sections" in why_not(find_part("0.1 mfd 400 V"), three)
    assert "one of its sections" in why_not(find_part("16 mfd 450 V"), kept)
    assert {one.lot for one in find_part("1 mfd 450 V").why_not} == {kept}
    assert "no one value" in refused("find_part", "40/40 mfd 450 V")


def test_no_polar_capacitor_is_offered_for_alternating_current():
    """It bursts there, alone and in series (common practice, no source)."""
    polar = lot_of(4, value=8e6, volts=450.0, construction="electrolytic")
    called = lot_of(4, value=8e6, volts=450.0, named="electrolytic capacitor")
    words = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="electrolytic capacitor", value="8 mfd")
    for asked in ("8 mfd 300 VAC", "4 mfd 600 VAC", "8 mfd 250 V motor run"):
        found = find_part(asked)
        assert not found.single and not found.combined.combinations
    for lot in (polar, called, words):
        assert "on alternating current it heats and bursts" in why_not(find_part("8 mfd 300 VAC"), lot)
    good = lot_of(1, value=8e6, volts=450.0, construction="electrolytic", named="non-polar capacitor")
    assert [one.lot for one in find_part("8 mfd 300 VAC").single] == [good]


def test_class_y_of_a_lot_is_compared_with_the_mains_and_cautioned():
    """Rated in the alternating voltage of the mains: IEC 60384-14."""
    lot = lot_of(value=4700.0, volts=250.0, construction="ceramic", safety_class="Y2")
    answer = find_part("0.0047 mfd class Y2 250 VAC").as_dict()
    assert [one["lot"] for one in answer["single"]] == [lot.tag] and answer["wanted"]["volts"] == 250
    assert any("Unplug" in one for one in answer["cautions"])


def test_a_choke_is_an_inductor_both_ways():
    """Two words of the trade for one thing (common practice, no source)."""
    radio = lot_of(kind="inductor", value=2500.0, volts=None, amps=0.1, named="RF choke")
    iron = lot_of(2, kind="choke", value=10e6, volts=None, amps=0.2, named="choke")
    plain = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="inductor", value="5 mH iron", least=1)
    assert [one.lot for one in find_part("2.5 mH RF choke").single] == [radio]
    assert [one.lot for one in find_part("10 H choke 200 mA").single] == [iron]
    assert [one.lot for one in find_part("inductor 10 H").single] == [iron]
    assert "10 H" in why_not(find_part("2.5 mH RF choke"), iron)
    assert plain in {one.lot for one in find_part("5 mH choke").why_not}
    assert find_part("20 H choke").combined.combinations[0].lots == f"2 of {iron.tag}"


def test_hazards_of_a_lot_are_told_where_it_is_offered(as_visitor):
    """What a thing bears is told before it is handled (L9.7 for what oil may hold)."""
    lot = lot_of(2, value=8e6, volts=1500.0, construction="paper in oil")
    HazardMark.objects.create(item=lot.item, hazard="PCB oil", standing="proposed", on=days_ago(2))
    (one,) = find_part("8 mfd 1000 V filter").as_dict()["single"]
    assert "PCB oil (not checked)" in one["hazards"] and "PCB oil (not checked)" in one["cautions"][0]
    (pair,) = find_part("4 mfd 2000 V filter").as_dict()["combinations"]
    assert f"{lot.tag}: hazard: PCB oil (not checked)" in pair["cautions"][0]
    assert "hazard: PCB oil (not checked)" in page_text(as_visitor.get("/parts/find/", {"part": "8 mfd 1000 V filter"}))
    assert find_part("1 Meg 1 W").as_dict()["single"] == []


def test_lots_without_a_kind_are_told_of(as_visitor):
    for value in ("28 V DC DPDT", "0-1 mA"):
        PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name=value, value="", least=1)
    answer = find_part("28 V relay").as_dict()
    assert answer["without_kind"] == 2 and "no kind of part" in answer["why_not"][-1]["why"][0]
    assert answer["why_not"][-1]["lot"] is None and answer["more_why_not"] == 0
    assert "2 without a kind" in told("find_part", "28 V relay")
    page = as_visitor.get("/parts/find/", {"part": "28 V relay"})
    assert "2 lots: no kind of part" in page_text(page) and "?kind=none" in page.content.decode()


def test_a_tolerance_that_is_not_known_counts_the_same_alone_and_put_together():
    """One rule for one piece and for several (common practice, no source)."""
    loose = lot_of(kind="resistor", value=270_000.0, volts=None, watts=1.0, named="resistor")
    tight = [
        lot_of(kind="resistor", value=value, volts=None, watts=1.0, tolerance_pct=10.0, named="resistor")
        for value in (500.0, 220_000.0, 22_000.0)
    ]  # fmt: skip
    found = find_part("250 K 1/2 W 10%")
    assert "tolerance not known" in why_not(found, loose)
    used = {part.lot for one in found.combined.combinations for part in one.parts}
    assert loose.tag not in used and used == {lot.tag for lot in tight[1:]}  # 500 ohm more is needed by nobody
    assert loose in {one.lot for one in find_part("250 K 1/2 W").single}


def test_what_has_no_value_goes_by_its_words():
    good = lot_of(1, kind="relay", value=None, volts=None, words="antenna change-over", named="relay")
    other = lot_of(1, kind="relay", value=None, volts=None, words="keying", named="relay")
    found = find_part("antenna relay")
    assert [one.lot for one in found.single] == [good] and "nothing on it says antenna" in why_not(found, other)
    assert found.combined is None and found.as_dict()["combinations"] == []


def test_a_lot_without_a_kind_serves_by_its_words_where_these_are_all_there_is(as_visitor):
    """A coil works at its voltage and a movement at its current (common practice, no source)."""
    told = {
        value: PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name=name, value=value, least=1, most=1)
        for name, value in (("relay", "24 V coil DPDT"), ("relay", "110 V coil"), ("meter", "0-1 mA"),
                            ("meter", "0-10 mA"), ("relay socket", "24 V coil type"))
    }  # fmt: skip
    found = find_part("relay 24 V coil")
    assert [one.lot for one in found.single] == [told["24 V coil DPDT"]] and "read from its words" in str(found.single)
    assert [one.lot for one in found.why_not] == [told["110 V coil"]]
    assert "works at 110 V; 24 V is asked" in why_not(found, told["110 V coil"])
    (one,) = find_part("meter 0-1 mA").as_dict()["single"]
    assert (one["lot"], one["what"], one["value"]) == (told["0-1 mA"].tag, "meter 0-1 mA", None)
    assert "DPDT" in page_text(as_visitor.get("/parts/find/", {"part": "relay 24 V coil"}))


def test_long_answers_are_cut_and_say_how_many_more():
    for number in range(6):
        lot_of(value=10_000.0 + number), lot_of(volts=100.0 + number)
    told = find_part(BYPASS, 2).as_dict()
    assert len(told["single"]) == len(told["why_not"]) == 2
    assert told["more_single"] == told["more_why_not"] == 4


def test_twice_the_lots_take_no_more_questions():
    def some():
        for number in range(5):
            lot_of(value=10_000.0 + number), lot_of(volts=100.0 + number)

    some()
    before = cost(lambda: find_part(BYPASS).as_dict())
    some()
    assert cost(lambda: find_part(BYPASS).as_dict()) == before


def test_something_else_does_its_work_where_nothing_serves():
    found = find_part("8 mfd 450 V electrolytic")
    assert [one.key for one in found.stand_ins] == ["electrolytic-film"]
    assert find_part("carbon microphone").as_dict()["stand_ins"][0]["caution"]
    lot_of(construction="electrolytic", value=8e6, volts=450.0)
    assert find_part("8 mfd 450 V electrolytic").stand_ins == ()
    assert find_part("1 Meg 1 W").as_dict()["stand_ins"] == []
    said = told("find_part", "dynamotor")
    assert "In its place: a regulated supply" in said and "polarity: some sets have plus" in said


def test_what_does_its_work_stands_on_the_page(as_visitor):
    text = page_text(as_visitor.get("/parts/find/", {"part": "selenium rectifier"}))
    assert "silicon diodes with a resistor in series" in text and "poisonous smoke" in text and "B. Ornitz" in text
    whole = page_text(as_visitor.get("/parts/stand-ins/"))
    assert "Both stand." in whole and "field coil" in whole and "Can be undone." in whole


def test_own_words_on_such_a_part_stand_beside_what_is_generally_known(model_word, as_visitor):
    answer = find_part("dynamotor 28 V").as_dict()
    (own,) = answer["own_stand_ins"]
    assert (own["set_model"], own["part"], own["word"]) == ("Marram RX", "DM1 dynamotor", "serves")
    assert answer["stand_ins"] and find_part("DM1 relay").as_dict()["own_stand_ins"]
    assert find_part("24 V relay").as_dict()["own_stand_ins"] == []
    for part in ("DM2 dynamotor", "DM3 dynamotor"):
        StandInFactory(set_model=model_word.set_model, part=part)
    cut = find_part("DM3 dynamotor", 1).as_dict()
    assert [one["part"] for one in cut["own_stand_ins"]] == ["DM3 dynamotor"] and cut["more_own_stand_ins"] == 2
    page = page_text(as_visitor.get("/parts/find/", {"part": "dynamotor"}))
    assert "Marram RX" in page and "28 V supply in its case" in page and "bench book" in page
    assert "In Marram RX, DM1 dynamotor: 28 V supply in its case, serves (bench book)" in told("find_part", "dynamotor")


@pytest.fixture
def model_word():
    model = SetModelFactory(name="Marram RX")
    return StandInFactory(set_model=model, part="DM1 dynamotor", instead="28 V supply in its case")


def test_command():
    lot_of(construction="polyester"), lot_of(volts=200.0)
    answer, _ = answer_of("find_part", BYPASS)
    assert set(answer) >= {"wanted", "single", "combinations", "why_not"}
    assert (answer["wanted"]["value"], answer["wanted"]["unit"], answer["wanted"]["place"]) == (10_000, "pF", "bypass")
    assert answer["single"][0]["volts"] == 600 and "at least 400 V" in answer["why_not"][0]["why"][0]
    assert told("find_part", BYPASS).startswith("Asked: capacitor 0.01 mfd, within 20 %, 400 V, bypass")
    assert "Nothing in stock serves" in told("find_part", "1 Meg 1 W")
    assert "has no unit" in refused("find_part", "0.01 400 V")
    assert "1 or more" in refused("find_part", BYPASS, "--most", "0")


def test_page_and_api(as_visitor):
    lot_of(2, value=20_000.0, construction="polyester", volts=400.0)
    lot_of(construction="polyester", place=PlaceFactory())
    text = page_text(as_visitor.get("/parts/find/", {"part": BYPASS}))
    assert "may replace capacitor 0.01 mfd, within 20 %, 400 V, bypass" in text
    assert "0.02 mfd + 0.02 mfd in series" in text and "Looked at, and why not" in text
    wrong = as_visitor.get("/parts/find/", {"part": "0.01 400 V"})
    assert wrong.status_code == 422 and "has no unit" in page_text(wrong)
    assert "A replacement from stock" in page_text(as_visitor.get("/parts/find/"))
    answer = as_visitor.get("/api/find-part", {"part": BYPASS})
    assert answer.json()["single"] and as_visitor.get("/api/find-part", {"part": "1M"}).status_code == 400
