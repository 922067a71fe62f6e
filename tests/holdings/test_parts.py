"""Part lots: quantities as known, never guessed. Common practice, no source."""

import pytest

from inventory.holdings.actions import add_parts, change_parts
from inventory.holdings.models import Item, PartLot, PartType
from tests.counting import asked
from tests.factories import PlaceFactory
from tests.pages import page_text, seen_at

pytestmark = pytest.mark.django_db


def lot(keeper, today, place=None, **cells):
    return add_parts(PartLot(**{"name": "capacitor", "value": "0.01 mfd"} | cells), by=keeper, on=today, place=place)


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        (None, None, "not known"),
        (4, 4, "4"),
        (12, 15, "12 to 15"),
        (25, None, "at least 25"),
        (None, 3, "0 to 3"),
        (0, 0, "0"),
    ],
)
def test_unknown_is_not_zero(least, most, words):
    assert PartLot(name="knob", least=least, most=most).quantity_text == words


def test_a_lot_has_a_tag_a_place_and_a_move(keeper, today):
    place = PlaceFactory()
    made = lot(keeper, today, place=place)
    assert made.item.tag == "P-0001" and made.item.kind == Item.PARTS
    assert made.item.movements.get().to_path == place.path
    assert made.history.get().history_user == keeper


def test_turned_round_limits_are_refused_in_words(keeper, today, refused, as_keeper):
    with refused("most", "turn the two round"):
        lot(keeper, today, least=5, most=3)
    answer = as_keeper.post("/parts/add/", {"name": "knob", "least": "5", "most": "3", "duds": "0"})
    assert answer.status_code == 422
    assert "turn the two round" in answer.context["form"].errors["most"][0]
    assert "Constraint" not in answer.content.decode()
    made = lot(keeper, today)
    made.least, made.most = 9, 2
    with refused("most"):
        change_parts(made, by=keeper)
    assert not PartLot.objects.filter(least=9).exists()


def test_add_look_change(as_keeper, as_helper, as_visitor):
    place = PlaceFactory()
    sent = {
        "name": "crystal",
        "value": "5030 kc",
        "maker": "",
        "least": "2",
        "most": "2",
        "duds": "1",
        "place": place.pk,
    }
    page = as_helper.post("/parts/add/", sent, follow=True)
    assert page.redirect_chain[-1][0] == "/parts/P-0001/"
    assert "5030 kc" in as_visitor.get("/parts/P-0001/").content.decode()
    assert as_helper.get("/parts/P-0001/change/").status_code == 403
    sent = {"name": "crystal", "value": "5030 kc", "duds": "0", "least": "", "most": ""}
    as_keeper.post("/parts/P-0001/change/", sent | seen_at(as_keeper, "/parts/P-0001/change/"))
    assert PartLot.objects.get().quantity_text == "not known"
    assert as_visitor.get("/parts/add/").status_code == 403


def test_a_plain_count_is_one_figure(as_helper, as_keeper):
    sent = {"name": "meter", "value": "0-1 mA", "duds": "0"}
    as_helper.post("/parts/add/", sent | {"quantity": "3"})
    lot = PartLot.objects.get()
    assert (lot.least, lot.most, lot.quantity_text) == (3, 3, "3")
    page = as_keeper.get("/parts/P-0001/change/")
    assert [page.context["form"][name].value() for name in ("quantity", "least", "most")] == [3, None, None]
    seen = seen_at(as_keeper, "/parts/P-0001/change/")
    wrong = as_keeper.post("/parts/P-0001/change/", sent | {"quantity": "2", "least": "3"} | seen)
    assert wrong.status_code == 422 and "says otherwise" in page_text(wrong)
    as_keeper.post("/parts/P-0001/change/", sent | {"quantity": "1", "serial": "4711"} | seen)
    assert PartLot.objects.get().quantity_text == "1"


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("paper bypass", ".05 mfd 600 V paper", "Read from its words: capacitor 0.05 mfd 600 V paper"),
        ("resistor", "270 K 1W", "Read from its words: resistor 270 kohm 1 W"),
        ("capacitor", "3 x .1 mfd 600 V", "can be 3 sections in one can or 3 pieces"),
        ("capacitor", ".1 mfd 600 V Blue Lagoon", "nothing was read from Blue, Lagoon"),
        ("capacitor", "0.01 400 V", "has no unit"),
        ("meter", "0-1 mA", "a meter, and no value with its unit"),
        ("capacitor", "4700 pF class Y", "class Y has no number"),
        ("capacitor", "0.1 mfd 250 VAC", "alternating current"),
        ("thing", "as found", "what kind of part"),
    ],
)
def test_what_was_read_from_a_new_lot_is_said_and_what_not(as_helper, name, value, told):
    page = as_helper.post("/parts/add/", {"name": name, "value": value, "duds": "0"}, follow=True)
    assert told in page_text(page)


def test_a_lot_is_given_its_kind_where_it_is_added_and_changed(as_helper, as_keeper):
    kind = PartType.objects.create(kind="capacitor", value=10_000.0, volts=600.0)
    sent = {"name": "capacitor", "value": "0.01 mfd", "duds": "0", "type": kind.pk}
    as_helper.post("/parts/add/", sent)
    assert PartLot.objects.get().type == kind
    text = page_text(as_keeper.get("/parts/P-0001/"))
    assert "<dt>Kind of part</dt><dd>capacitor 0.01 mfd 600 V " in text
    as_keeper.post("/parts/P-0001/change/", sent | {"type": ""} | seen_at(as_keeper, "/parts/P-0001/change/"))
    assert PartLot.objects.get().type is None


def test_the_list_and_what_wants_counting(keeper, today, as_visitor):
    place = PlaceFactory()
    lot(keeper, today, place=place, least=4, most=4)
    lot(keeper, today, name="knob", value="bar", least=12, most=15, to_count=True)
    lot(keeper, today, name="cable", value="")
    gone = lot(keeper, today, name="meter")
    Item.objects.filter(pk=gone.pk).update(gone_on=today)

    def names(**asked):
        return [row.name for row in as_visitor.get("/parts/", asked).context["page"].object_list]

    assert names() == ["cable", "capacitor", "knob"]
    assert names(to_count="yes") == ["cable", "knob"]
    assert names(text="mfd capac") == ["capacitor"] and names(text="p-0002") == ["knob"]
    assert names(place=place.pk) == ["capacitor"]


def test_a_lot_stands_with_other_things(keeper, today, as_keeper):
    """In its place, in the bench report, and it moves and is lent like anything else."""
    place = PlaceFactory()
    made = lot(keeper, today, place=place)
    homeless = lot(keeper, today, name="knob")
    assert "0.01 mfd" in as_keeper.get(f"/places/{place.pk}/").content.decode()
    assert f"/parts/{homeless.item.tag}/" in as_keeper.get("/").content.decode()
    moved = as_keeper.post(f"/things/{made.item.tag}/move/", {"place": "", "on": today}, follow=True)
    assert moved.status_code == 200 and made.item.movements.count() == 2
    lent = as_keeper.post(f"/things/{made.item.tag}/lend/", {"lent_to": "P. Quillan", "on": today}, follow=True)
    assert "P. Quillan" in lent.content.decode()


def test_twice_the_lots_take_no_more_questions(keeper, today, as_keeper):
    place = PlaceFactory()
    for _ in range(10):
        lot(keeper, today, place=place)
    before = asked(as_keeper, "/parts/")
    for _ in range(10):
        lot(keeper, today, place=place)
    assert asked(as_keeper, "/parts/") == before


def test_who_changed_a_part_is_told_by_name_with_what_was_changed(keeper, helper, as_visitor, today):
    """Not a line without a name, and words rather than the numbers of rows."""
    place = PlaceFactory(name="Drawer of knobs")
    made = lot(helper, today, place, least=4, most=4)
    made.least = made.most = 3
    change_parts(made, by=keeper)
    text = page_text(as_visitor.get(f"/parts/{made.item.tag}/"))
    told = text[text.index("Who changed what") :]
    assert f"by {keeper.get_username()}" in told and f"by {helper.get_username()}" in told
    assert "at least: <s>4</s> to <strong>3</strong>" in told and "Created" in told and "Changed" in told
