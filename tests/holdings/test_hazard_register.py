"""The register of hazards: all of them by place, from marks, types, words, figures and sets; checks that found none."""

import pytest

from inventory.holdings.actions import note_hazards
from inventory.holdings.actions.facts import add_facts
from inventory.holdings.actions.hazard_checks import check_place, check_things, save_check
from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import HazardCheck, Item
from inventory.holdings.queries.hazard_register import checks_at, hazard_register
from inventory.holdings.queries.labels import labels_of, things_here
from inventory.holdings.rules.hazard_words import short_words
from inventory.holdings.wording.hazard_register import register_printed
from inventory.house.hazard_concerns import people_to_ask
from inventory.house.records.actions import strike_out
from inventory.restoration.models import WeakPart
from inventory.valuation.models import Contact
from tests.commands import answer_of
from tests.commands import refused as refused_by
from tests.commands import told as said
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PlaceFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.holdings.parts import lot_of
from tests.holdings.rows import check_of
from tests.pages import page_text, printed_text, seen_at
from tubes.models import TubeType

pytestmark = pytest.mark.django_db
KEYS = ["thing", "place", "hazard", "source", "checked_on", "by", "what_to_do"]


@pytest.fixture
def store():
    return PlaceFactory(code="Store", name="Dry store")


@pytest.fixture
def mercury():
    return TubeTypeFactory(name="866A", table_caution="Mercury vapour: keep upright.")


def told(place=None, **narrow):
    return [(one.item.tag, one.line.hazard, one.line.standing) for one in hazard_register(place).narrowed(**narrow)]


def test_a_tube_in_a_set_is_told_where_the_set_stands(store, mercury):
    model = SetModelFactory(name="Skerry 40", caution="")
    chassis = ChassisFactory(model=model, serial="0143", place=PlaceFactory(code="Shelf 1", parent=store))
    position = PositionFactory(set_model=model, mark="V7", type=mercury, plate_v=1000)
    tube = FittingFactory(position=position, chassis=chassis, tube__type=mercury).tube
    spare = TubeFactory(type=mercury, place=PlaceFactory(code="Loft"))
    found = {one.item.tag: one for one in hazard_register(store).narrowed(hazard="mercury")}
    assert set(found) == {tube.tag}
    row = found[tube.tag].as_dict()
    assert (row["place"], row["in"]) == ("Store / Shelf 1", chassis.tag) and row["way"].startswith("in V7 of Skerry 40")
    assert told(store, hazard="high voltage") == [(chassis.tag, "high voltage", "by rule")]
    assert (spare.tag, "mercury", "by rule") in told()
    assert hazard_register(store).things == 2 and hazard_register().things == 3


def test_weight_capacitors_and_weak_parts_of_a_set(store, keeper, today):
    chassis = ChassisFactory(model=SetModelFactory(name="Skerry 40", caution=""), place=store)
    add_facts(chassis.item, "weight", "75 lb", by=keeper, today=today)
    kind = lot_of(value=8e6, volts=1050, construction="oil", place=store, about={"value": "8 mfd"}).type
    WeakPart.objects.create(set_model=chassis.model, mark="C1, C2", words="filter capacitors", type=kind, quantity=2)
    found = {(one.item.kind, one.line.hazard): one.line.reasons for one in hazard_register().narrowed()}
    assert found["chassis", "weight"] == ("it weighs 34 kg: lifting index 1.48 at the best, 3.11 from the floor onto a"
                                         " bench; from 3 on a high risk",)  # fmt: skip
    # L9.1: 8 uF at 1050 V hold 4.41 J
    assert "4.41 J in each" in found["parts", "stored charge"][0] and ("parts", "PCB oil") in found
    assert "at most 8.82 J" in found["chassis", "stored charge"][0]
    assert "may hold PCB" in found["chassis", "PCB oil"][0]  # its kind of part is an oil one: 40 CFR 761.2(a)(4)


def test_a_weight_that_cannot_be_read_is_refused(store, keeper, today, refused):
    item = ChassisFactory(place=store).item
    with refused("text", "expected a figure with its unit"):
        add_facts(item, "weight", "heavy", by=keeper, today=today)
    (fact,) = add_facts(item, "weight", "34 kg", by=keeper, today=today)
    assert str(fact) == "weight: 34 kg"


def test_made_on_decides_whether_oil_may_hold_pcb(store, keeper, today):
    # L9.7: 40 CFR 761.2(a)(4)
    old, young = (lot_of(construction="oil", place=store) for _ in range(2))
    add_facts(old.item, "made", "Nov 1978", by=keeper, today=today)
    add_facts(young.item, "made", "1980", by=keeper, today=today)
    assert told(hazard="PCB oil") == [(old.tag, "PCB oil", "by rule")]


def test_a_rule_is_disproved_by_a_mark_alone(store, keeper, today):
    lot = lot_of(construction="oil", place=store)
    check_things(HazardCheck(on=today, how="looked along the shelf"), [lot.item], by=keeper)
    (pcb, check) = hazard_register().entries
    assert pcb.line.standing == "by rule" and "none found" in pcb.line.against and "PCB oil" in check.line.against
    assert {row[0] for row in told(standing="contradicted")} == {lot.tag}
    mark = {"standing": "none found", "reason": "marked No PCBs", "on": today, "by_whom": "I. Crane"}
    note_hazards(lot.item, ["PCB oil"], by=keeper, **mark)
    (pcb, check) = hazard_register().entries
    assert pcb.line.standing == "disproved" and not pcb.line.against and not check.line.against
    row = pcb.as_dict()
    assert (row["by"], row["checked_on"], row["note"]) == ("I. Crane", str(today), "marked No PCBs")
    assert any("may hold PCB" in text for text in row["why"])


def test_a_place_is_checked_in_one_step_but_for_what_bears_a_hazard(store, mercury, keeper, today):
    shelf = PlaceFactory(code="Shelf 1", parent=store)
    plain, other = TubeFactory(place=shelf), TubeFactory(place=store)
    bad, lent = TubeFactory(type=mercury, place=shelf), TubeFactory(place=shelf, lent_to="R. Oddsworth")
    missed = TubeFactory(place=shelf)
    Item.objects.filter(pk=missed.pk).update(missed_on=today)
    row, left = check_place(HazardCheck(on=today, how="lids off", by_whom="I. Crane"), store, by=keeper)
    assert set(row.things.all()) == {plain.item, other.item} and row.where == "Store"
    assert {one.item: one.why for one in left} == {
        bad.item: "bears such a hazard", lent.item: "is lent to R. Oddsworth", missed.item: f"was not found on {today}",
    }  # fmt: skip
    radium, left = check_place(HazardCheck(on=today, how="counter", hazard="radium"), store, by=keeper)
    assert bad.item in radium.things.all() and {one.item for one in left} == {lent.item, missed.item}
    assert not {lent.item, missed.item} & set(radium.things.all())
    with_all, _ = check_place(HazardCheck(on=today, how="lids off"), store, by=keeper, with_bearing=True)
    assert bad.item in with_all.things.all()
    assert row.history.first().history_user == keeper


def test_a_check_is_corrected_and_struck_out(store, keeper, today, days_ago, refused):
    one, two = TubeFactory(place=store), TubeFactory(place=store)
    row, _ = check_place(HazardCheck(on=today, how="lids off"), store, by=keeper)
    row.on = days_ago(3)
    save_check(row, by=keeper, without=[two.item], reason="not that one")
    assert list(row.things.all()) == [one.item]
    with refused("without", "strike it out"):
        save_check(row, by=keeper, without=[one.item])
    with refused("without", "Not in this check"):
        save_check(row, by=keeper, without=[two.item])
    assert told() == [(one.tag, "none found", "none found")]
    strike_out(row, "nobody looked", by=keeper)
    assert told() == []


def test_what_cannot_be_checked(store, mercury, keeper, today, refused):
    with refused("__all__", "Nothing stands in it"):
        check_place(HazardCheck(on=today, how="lids off"), store, by=keeper)
    tube = TubeFactory(type=mercury, place=store)
    with refused("__all__", "bears such a hazard"):
        check_place(HazardCheck(on=today, how="lids off"), store, by=keeper)
    with refused("how", "Say how"):
        check_things(HazardCheck(on=today, how=" "), [tube.item], by=keeper)
    Item.objects.update(gone_on=today)
    with refused("__all__", "None of these"):
        check_things(HazardCheck(on=today, how="lids off"), [tube.item], by=keeper)


def test_it_is_narrowed(store, mercury, days_ago):
    tube, plain, never = TubeFactory(type=mercury, place=store), TubeFactory(place=store), TubeFactory()
    check_of(plain.item, on=days_ago(400))
    assert told(standing="not checked") == told(standing="borne") == [(tube.tag, "mercury", "by rule")]
    assert told(before=days_ago(365)) == [(plain.tag, "none found", "none found")] and not told(before=days_ago(500))
    assert told(words=["866a", "store"]) == [(tube.tag, "mercury", "by rule")] and not told(words=["radium"])
    unseen = hazard_register(unseen=True).narrowed(standing="not looked at")
    assert [one.item for one in unseen] == [never.item]
    register = hazard_register()
    assert (register.things, register.looked) == (3, 1)


def test_what_left_is_out_and_what_is_lent_is_told(store, mercury, today):
    gone = TubeFactory(type=mercury, place=store)
    Item.objects.filter(pk=gone.pk).update(gone_on=today)
    lent = TubeFactory(type=mercury, place=store, lent_to="R. Oddsworth")
    (one,) = hazard_register().entries
    assert one.item == lent.item and one.way == "lent to R. Oddsworth"


def test_command_and_api_give_the_same_rows(store, mercury, as_visitor):
    tube = TubeFactory(type=mercury, place=store)
    check_of(tube.item)
    rows, _ = answer_of("hazards")
    assert [list(row)[: len(KEYS)] for row in rows] == [KEYS, KEYS]
    assert [row["hazard"] for row in rows] == ["mercury", "none found"]
    assert rows[0]["checked_on"] is None and rows[1]["by"] == "I. Crane" and "EPA" in rows[0]["source"]
    assert "no vacuum cleaner" in rows[0]["what_to_do"]
    answer = as_visitor.get("/api/hazards").json()
    assert answer["hazards"] == rows and answer["count"] == 2
    assert as_visitor.get("/api/hazards", {"place": store.pk, "hazard": "mercury"}).json()["count"] == 1
    assert as_visitor.get("/api/hazards", {"before": "yesterday"}).status_code == 400
    assert "Store:" in said("hazards") and "no vacuum cleaner" in said("hazards")


@pytest.mark.parametrize("named", ["Store / Shelf 1", "store/shelf 1", "Shelf 1", "top shelf"])
def test_a_place_is_named_by_path_code_or_name(store, mercury, named):
    tube = TubeFactory(type=mercury, place=PlaceFactory(code="Shelf 1", name="Top shelf", parent=store))
    TubeFactory(type=mercury, place=store)
    assert [row["thing"] for row in answer_of("hazards", "--place", named)[0]] == [tube.tag]


@pytest.mark.parametrize(("named", "why"), [("Attic", "no place 'Attic'"), ("Shelf 1", "several"), (" ", "name")])
def test_a_place_that_is_none_or_several(store, named, why):
    PlaceFactory(code="Shelf 1", parent=store)
    PlaceFactory(code="Shelf 1", parent=PlaceFactory(code="Loft"))
    assert why in refused_by("hazards", "--place", named)


def test_more_things_take_no_more_questions(store, mercury):
    def more():
        check_of(TubeFactory(type=TubeTypeFactory(), place=store).item)
        FittingFactory(tube__type=mercury, chassis=ChassisFactory(place=store))
        lot_of(construction="oil", place=store)

    more()
    once = cost(lambda: hazard_register(store))
    more()
    assert cost(lambda: hazard_register(store)) == once


def test_page_and_paper(store, mercury, as_keeper, as_visitor, today):
    for _ in range(2):
        TubeFactory(type=mercury, place=store)
    lot = lot_of(value=8e6, volts=1050, place=store)
    check_of(lot.item)
    Contact.objects.create(name="Ines Farrow", reach="the watch house")
    text = page_text(as_visitor.get("/hazards/"))
    assert "2 × 866A" in text and "by rule, not checked" in text and "no vacuum cleaner" in text
    assert "EPA, what to do if you spill mercury" in text and "of=bank&amp;capacitors=8+uF" in text
    assert "checked, none found" in text and "Somebody looked at 1 of 3 things" in text
    assert "the watch house" not in text and "the watch house" in page_text(as_keeper.get("/hazards/"))
    assert "866A" not in page_text(as_visitor.get("/hazards/", {"hazard": "stored charge"}))
    assert as_visitor.get("/hazards/", {"standing": "maybe"}).status_code == 422
    answer = as_visitor.get("/hazards/print/", {"place": store.pk, "paper": "Letter"})
    assert answer.content[:5] == b"%PDF-" and as_visitor.get("/hazards/print/", {"before": "x"}).status_code == 422
    register = hazard_register()
    printed = register_printed(register, register.narrowed(), ("Which: all.",), people_to_ask())
    told = printed_text(printed)
    assert "2 × 866A" in told and "Whom of the house to ask" in told and "the watch house" in told
    assert "GHS06" in told and "licensed disposal for mercury" in told


def test_a_rule_is_disproved_from_the_page_of_the_thing(store, as_helper, as_keeper, today):
    lot = lot_of(construction="oil", place=store)
    text = page_text(as_helper.get(f"/things/{lot.tag}/hazards/"))
    assert "may hold PCB" in text and "hazard=PCB%20oil&amp;standing=none+found" in text
    form = as_helper.get(f"/things/{lot.tag}/hazards/add/?hazard=PCB+oil&standing=none+found").context["form"]
    assert form["hazards"].value() == ["PCB oil"] and form["by_whom"].value()
    sent = {"hazards": ["PCB oil"], "standing": "none found", "reason": "marked No PCBs"}
    sent |= {"on": today, "by_whom": "I. C."}
    text = page_text(as_helper.post(f"/things/{lot.tag}/hazards/add/", sent, follow=True))
    assert "disproved" in text and "marked No PCBs" in text and "may hold PCB" in text and "I. C." in text


def test_a_shelf_is_checked_from_its_page_and_taken_back(store, mercury, as_visitor, as_helper, as_keeper, today):
    tube, bad = TubeFactory(place=store), TubeFactory(type=mercury, place=store)
    address = f"/places/{store.pk}/hazards/check/"
    assert as_visitor.get(address).status_code == 403
    text = page_text(as_helper.post(address, {"how": "lids off", "on": today, "by_whom": "I. Crane"}, follow=True))
    assert f"Left out: {bad.tag} (bears such a hazard): settle each" in text and "1 thing" in text and tube.tag in text
    row = HazardCheck.objects.get()
    assert as_helper.get(f"/hazard-checks/{row.pk}/strike/").status_code == 403
    sent = {"why": "nobody looked"} | seen_at(as_keeper, f"/hazard-checks/{row.pk}/strike/")
    assert "struck out" in page_text(as_keeper.post(f"/hazard-checks/{row.pk}/strike/", sent, follow=True))
    assert told() == [(bad.tag, "mercury", "by rule")]


def test_label_and_page_bear_what_a_rule_says_until_it_is_settled(store, as_visitor, keeper, today):
    lot = lot_of(construction="oil", value=8e6, volts=1050, place=store)
    check_of(lot.item, hazard="radium")

    def label():
        (words,) = labels_of(things_here(Item.objects.filter(pk=lot.pk)), lambda item: "")
        return words.hazards

    assert label() == ("PCB oil (not checked)", "stored charge (not checked)")
    text = page_text(as_visitor.get(f"/parts/{lot.tag}/"))
    assert "<strong>PCB oil</strong>, by rule, not checked" in text and "4.41 J in each" in text
    assert "Radium: checked on" in text and "none found (lids off)" in text
    note_hazards(lot.item, ["PCB oil"], standing="none found", reason="No PCBs", on=today, by=keeper)
    assert label() == ("stored charge (not checked)",)
    add_facts(lot.item, "made", "1980", by=keeper, today=today)
    assert label() == ("stored charge (not checked)",)


def test_page_and_label_of_a_set_say_what_the_register_says(store, keeper, today, as_visitor):
    """High voltage by the plate of a position, the weight by a fact: L9.6 for what is too heavy."""
    chassis = ChassisFactory(model=SetModelFactory(caution=""), place=store)
    PositionFactory(set_model=chassis.model, mark="V7", plate_v=2000)
    add_facts(chassis.item, "weight", "40 kg", by=keeper, today=today)
    told_by_register = {hazard for tag, hazard, _ in told() if tag == chassis.tag}
    assert told_by_register == {"high voltage", "weight"}
    (label,) = labels_of(things_here(Item.objects.filter(pk=chassis.pk)), lambda item: "")
    assert {word.removesuffix(" (not checked)") for word in label.hazards} == told_by_register
    page = page_text(as_visitor.get(chassis.get_absolute_url()))
    assert "<strong>High voltage</strong>, by rule, not checked: 2000 V on the plate of V7" in page
    assert "Weight</strong>, by rule" in page


@pytest.mark.parametrize("said", [["about 1980"], ["1985", "1975"]])
def test_a_date_that_may_lie_before_the_rule_clears_nothing(store, keeper, today, said):
    """40 CFR 761.2(a)(4): of unknown date is taken to hold PCB; of two dates the earlier one counts."""
    item = lot_of(place=store, named="oil capacitor 4 mfd 600 V").item
    for text in said:
        add_facts(item, "made", text, by=keeper, today=today)
    assert (item.tag, "PCB oil", "by rule") in told()
    (label,) = labels_of(things_here(Item.objects.filter(pk=item.pk)), lambda item: "")
    assert "PCB oil (not checked)" in label.hazards


@pytest.mark.usefixtures("reference")
@pytest.mark.parametrize(
    ("hazard", "names"),
    [
        # TR tubes and gaps: notes of the tables, and isotopes at carlwillis.wordpress.com/tag/radioactive
        ("radioactive", ["721A", "724A", "1B22", "1B24", "1B27", "0D3", "STV280/40"]),
        ("mercury", ["FG-17", "393A", "394A", "866A", "83", "872A"]),
        ("implosion", ["5CP1", "VCR97", "3BP1", "5BP1", "1808P1"]),
        # above 10 kV by peak inverse or plate volts: Amps list, March 2001
        ("X-rays", ["8013A", "8020", "WE-705A", "3B24W", "2X2", "869", "575A", "1S2", "6S2", "207", "715B", "5C22"]),
        ("beryllia", ["3CX100A5", "4CX300A", "4CX250B"]),
    ],
)
def test_what_tables_know_of_types_reaches_register_and_labels(store, hazard, names):
    tubes = [TubeFactory(type=TubeType.objects.get(name=name), place=store) for name in names]
    bear = {tag for tag, named, standing in told() if named == hazard and standing == "by rule"}
    assert bear == {tube.tag for tube in tubes}
    labels = labels_of(things_here(Item.objects.filter(kind=Item.TUBE)), lambda item: "")
    short = {label.name: short_words(label.hazards) for label in labels}
    assert {name for name, words in short.items() if {hazard, f"{hazard}?"} & set(words)} == set(names)


@pytest.mark.usefixtures("reference")
def test_a_vacuum_or_xenon_tube_bears_no_mercury(store):
    for name in ("5U4G", "3B28", "2D21", "3C45", "83V"):
        TubeFactory(type=TubeType.objects.get(name=name), place=store)
    assert told(hazard="mercury") == []


def test_a_stamp_without_a_type_is_read_too(store, as_visitor):
    tube = TubeFactory(type=None, marked="TR TUBE 1B24", place=store)
    assert told() == [(tube.tag, "radioactive", "by rule")]
    assert "Radioactive</strong>, by rule" in page_text(as_visitor.get(f"/tubes/{tube.tag}/"))


def test_what_was_moved_out_as_the_check_was_written_is_not_in_it(store, keeper, today, monkeypatch):
    """Rows are locked and read again before it is decided what was looked at."""
    stays, moved = TubeFactory(place=store), TubeFactory(place=store)
    elsewhere = PlaceFactory(code="Loft")

    def meanwhile(items):
        read = list(items)
        Item.objects.filter(pk=moved.pk).update(place=elsewhere)
        return locked_all(read)

    monkeypatch.setattr("inventory.holdings.actions.hazard_checks.locked_all", meanwhile)
    row, left = check_place(HazardCheck(on=today, how="lids off"), store, by=keeper)
    assert list(row.things.all()) == [stays.item] and left == []


def test_that_its_set_is_lent_or_was_not_found_is_told(store, mercury, today):
    lent = FittingFactory(tube__type=mercury, chassis=ChassisFactory(place=store, item__lent_to="R. Oddsworth"))
    gone = FittingFactory(tube__type=mercury, chassis=ChassisFactory(place=store))
    Item.objects.filter(pk=gone.chassis.pk).update(missed_on=today)
    alone = TubeFactory(type=mercury, place=store)
    Item.objects.filter(pk=alone.pk).update(missed_on=today)
    ways = {one.item.tag: one.way for one in hazard_register().narrowed(hazard="mercury")}
    assert ways[lent.tube.tag].endswith(", which is lent to R. Oddsworth")
    assert ways[gone.tube.tag].endswith(f", which was not found on {today}")
    assert ways[alone.tag] == f"not found on {today}"


def test_each_mark_on_a_hazard_can_be_changed_from_its_line(store, as_keeper, keeper, today):
    lot = lot_of(named="meter", kind="meter", value=None, volts=None, place=store)
    for hazards, standing, reason in (
        (["radium"], "none found", "counter on the knobs"), (["other"], "confirmed", "radium on the lacquer, asbestos"),
        (["RF burns"], "proposed", "by a hand"),
    ):  # fmt: skip
        note_hazards(lot.item, hazards, standing=standing, reason=reason, on=today, by=keeper)
    text = page_text(as_keeper.get(f"/things/{lot.tag}/hazards/"))
    assert [text.count(f"/hazards/{mark.pk}/") for mark in lot.item.hazards.order_by("pk")] == [1, 2, 1]
    assert text.count("Confirm it, or write that none was found") == 1 and "RF burns" in text
    (label,) = labels_of(things_here(Item.objects.filter(pk=lot.pk)), lambda item: "")
    assert set(label.hazards) == {"radium on the lacquer, asbestos", "RF burns (not checked)"}
    mark = lot.item.hazards.get(hazard="RF burns")
    settle = as_keeper.get(f"/hazards/{mark.pk}/")
    assert "Proposed on" in page_text(settle) and settle.context["form"]["reason"].value() == ""


def test_a_place_tells_what_is_borne_in_it_and_who_looked(store, mercury, keeper, as_visitor, today):
    shelf = PlaceFactory(code="Shelf 1", parent=store)
    TubeFactory(type=mercury, place=shelf)
    lot_of(named="dynamotor", kind="dynamotor", value=None, volts=28, place=shelf)
    TubeFactory(place=shelf)
    TubeFactory(type=mercury)
    check_place(HazardCheck(on=today, how="lids off", by_whom="I. Crane"), store, by=keeper)
    text = page_text(as_visitor.get(f"/places/{shelf.pk}/"))
    assert "High voltage</a> 1" in text and "Mercury</a> 1" in text
    assert "by I. Crane, every kind, 1 of 3 things here, of Store" in text
    assert "Hazards here" in page_text(as_visitor.get(f"/places/{PlaceFactory(code='Loft').pk}/"))


@pytest.mark.usefixtures("reference")
def test_the_page_of_a_type_says_what_is_told_of_its_tubes(as_visitor):
    text = page_text(as_visitor.get("/types/8013A/"))
    assert "Hazards by rule" in text and "8013A is rated for 40000 V" in text


def test_a_capacitor_whose_note_names_a_supply_keeps_its_charge(store):
    """L9.1: 8 uF at 1050 V hold 4.41 J; a capacitor gives no voltage while it is supplied."""
    typed = lot_of(value=8e6, volts=1050, place=store, about={"note": "out of the power supply"})
    bare = lot_of(place=store, named="cap for dynamotor filter", about={"value": "8 mfd 1050 V", "type": None})
    for lot in (typed, bare):
        assert (lot.tag, "stored charge", "by rule") in told()
    assert (typed.tag, "high voltage", "by rule") not in told()


def test_words_that_cannot_be_reckoned_and_a_weight_in_a_note_are_told(store):
    """L9.6: from 23 kg on a lift is too heavy at the best (NIOSH 94-110)."""
    lot = lot_of(place=store, named="electrolytic 450 V", value=None, volts=None)
    chassis = ChassisFactory(model=SetModelFactory(caution=""), place=store, note="weighs 61 kg")
    why = {(one.item.tag, one.line.hazard): one.line.reasons for one in hazard_register().narrowed()}
    assert "could not be reckoned" in why[lot.tag, "stored charge"][0]
    assert why[chassis.tag, "weight"][0].startswith("its words say 61 kg")
    (label,) = labels_of(things_here(Item.objects.filter(pk=chassis.pk)), lambda item: "")
    assert "weight (not checked)" in label.hazards


def test_weak_parts_without_a_kind_are_read_by_their_words(store):
    """L9.1 and L9.2: two of 8 uF at 1050 V hold 8.82 J; 100 kohm brings 16 uF to 50 V in 4.87 s."""
    chassis = ChassisFactory(model=SetModelFactory(name="Skerry 40", caution=""), place=store)
    for mark, words, many in (("C40", "8 mfd 1050 V oil capacitor", 2), ("R40", "100 kohm 20 W bleeder", 1)):
        WeakPart.objects.create(set_model=chassis.model, mark=mark, words=words, quantity=many)
    (line,) = [one.line for one in hazard_register().narrowed(hazard="stored charge")]
    assert "C40 of Skerry 40: at most 8.82 J" in line.reasons[0] and "in 4.87 s" in line.reasons[0]
    WeakPart.objects.create(set_model=chassis.model, mark="C41", words="electrolytic 450 V")
    (line,) = [one.line for one in hazard_register().narrowed(hazard="stored charge")]
    assert any("C41" in text and "could not be reckoned" in text for text in line.reasons)


@pytest.mark.usefixtures("reference")
def test_a_stamp_and_a_form_are_told_what_is_known_of_the_type(store):
    """WE-705A: 35 kV inverse; 2X2 and 2X2A, 3B24W and 3B24: forms of one tube (tables); 8008: mercury (tables)."""
    stamped = {TubeFactory(type=None, marked=mark, place=store).tag: mark for mark in ("705A", "JAN-705A", "6L6")}
    stamped |= {
        TubeFactory(type=kind, marked=name, place=store).tag: name
        for name in ("2X2A", "3B24", "8008", "FG-57")
        for kind in TubeType.objects.filter(name=name)[:1] or [None]
    }
    found = {(stamped[tag], hazard) for tag, hazard, _ in told()}
    assert found >= {(name, "X-rays") for name in ("705A", "JAN-705A", "2X2A", "3B24")}
    assert found >= {("8008", "mercury"), ("FG-57", "mercury")} and "6L6" not in {name for name, _ in found}


def test_a_bank_in_the_note_of_a_set_is_told(store):
    ChassisFactory(model=SetModelFactory(caution=""), place=store, note="oil capacitor bank 40 mfd 3000 V")
    (line,) = [one.line for one in hazard_register().narrowed(hazard="stored charge")]
    assert "180 J" in line.reasons[0]  # C V^2 / 2, as L9.1


def test_a_check_is_told_where_the_things_stand_that_it_looked_at(store, keeper, today):
    """A place that bears the old name of another was not looked at."""
    tube = TubeFactory(place=store)
    check_place(HazardCheck(on=today, how="lids off"), store, by=keeper)
    other = PlaceFactory(code="Loft")
    Item.objects.filter(pk=tube.pk).update(place=other)
    TubeFactory(place=store)
    assert checks_at(store) == []
    TubeFactory(place=other)
    assert [(one.where, one.here, one.among) for one in checks_at(other)] == [("Store", 1, 2)]
