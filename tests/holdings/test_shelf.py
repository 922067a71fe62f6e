"""The shelf session: one stamp after the other, and taking back what was wrong."""

import pytest
from django.urls import reverse

from inventory.holdings.actions import add_tubes, move, take_back_entry
from inventory.holdings.models import HazardMark, Item, Movement, Tube
from inventory.holdings.queries import shelf_reading
from inventory.holdings.queries.shelf import shelf_line
from tests.counting import asked
from tests.factories import FittingFactory, PlaceFactory, PositionFactory, TubeFactory, TubeTypeFactory

pytestmark = pytest.mark.django_db
SHELF = "/shelf/"


def cells(**other):
    return {"marked": "VT-231", "state": "good", "count": "1", "place": "", "maker": "", "date_code": ""} | other


def said(page):
    return " ".join(str(message) for message in page.context["messages"])


# --- reading ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stamp", "name"),
    [
        ("VT-231", "6SN7GT"),  # TM 11-487, U.S. Army VT numbers: VT-231 is 6SN7GT
        ("JAN-CHS-6SN7GT", "6SN7GT"),  # JAN-1A: JAN, maker code, type
        ("vt 231", "6SN7GT"),
    ],
)
def test_a_stamp_with_one_meaning_settles_the_type(reference, stamp, name):
    reading = shelf_reading(stamp)
    assert reading.type.name == name and reading.says == f"Read as {name}."


def test_a_type_that_only_the_handbook_names_is_read_as_that(reference):
    """EL33 stands in avo-vdm23 and in no other table."""
    reading = shelf_reading("EL33")
    assert reading.type.name == "EL33" and reading.says == "Read as EL33, named by the handbook row EL33."


def test_two_meanings_settle_nothing_and_are_named(reference):
    """VT-60 is the 850 in the U.S. list and an 807 in the British one (reference/designations, both sourced there)."""
    reading = shelf_reading("VT-60")
    assert reading.type is None
    assert "can mean" in reading.says and "850" in reading.says and "807" in reading.says


def test_an_unknown_mark_is_said_to_be_unknown(reference):
    assert "not in the tables" in shelf_reading("QX-99881").says


def test_what_is_here_is_counted_under_any_number(reference):
    TubeFactory(marked="6SN7GT")
    TubeFactory(marked="VT-231")
    TubeFactory(gone_on="2020-01-01")
    assert shelf_reading("VT-231").here == 2


# --- the session -----------------------------------------------------------------------------------------------------


def test_the_stamp_box_is_first_empty_and_ready(as_helper):
    text = as_helper.get(SHELF).content.decode()
    assert text.index("read a stamp") < text.index('id="id_marked"') < text.index('id="id_state"')
    box = text[text.index('name="marked"') : text.index(">", text.index('name="marked"'))]
    assert "autofocus" in box and "value=" not in box


def test_enter_saves_and_the_next_form_keeps_place_state_maker_and_date(reference, as_helper, helper, today):
    place = PlaceFactory()
    sent = cells(count="3", state="untested", place=place.pk, maker="Tarn Valve", date_code="43-11")
    page = as_helper.post(SHELF, sent, follow=True)
    tubes = Tube.objects.filter(marked="VT-231").select_related("item")
    assert [t.item.place for t in tubes] == [place] * 3 and {t.type.name for t in tubes} == {"6SN7GT"}
    assert {t.item.seen_on for t in tubes} == {today}
    assert Movement.objects.filter(by=helper, to_path=place.path).count() == 3
    assert "T-0001 to T-0003 added. Read as 6SN7GT." in said(page)
    start = page.context["form"].initial
    assert (start["state"], start["place"], start["maker"], start["date_code"]) == (
        "untested", place.pk, "Tarn Valve", "43-11",
    )  # fmt: skip
    assert start["count"] == 1 and "marked" not in start
    assert "3 alike" in page.content.decode()


@pytest.mark.parametrize("stamp", ["VT-60", "QX-99881"])
def test_an_open_mark_is_saved_without_a_type_and_said_so(reference, as_helper, stamp):
    page = as_helper.post(SHELF, cells(marked=stamp), follow=True)
    assert Tube.objects.get(marked=stamp).type is None
    assert "saved without a type" in said(page)
    assert "no type" in page.content.decode()


def test_a_look_saves_nothing_and_keeps_what_was_typed(reference, as_helper, snapshot):
    before = snapshot()
    page = as_helper.post(SHELF, cells(count="7", look="1"))
    assert page.status_code == 200 and snapshot() == before
    text = page.content.decode()
    assert "Read as 6SN7GT." in text and 'value="7"' in text and 'value="VT-231"' in text


def test_the_part_while_typing(reference, as_helper, as_visitor):
    typing = {"HX-Request": "true"}
    part = as_helper.get(SHELF, {"marked": "VT-231"}, headers=typing)
    assert "Read as 6SN7GT." in part.content.decode() and "<html" not in part.content.decode()
    assert "HX-Request" in part["Vary"]
    assert "How it reads" in as_helper.get(SHELF, headers=typing).content.decode()
    assert as_visitor.get(SHELF, {"marked": "VT-231"}, headers=typing).status_code == 403


def test_a_stamp_in_the_address_is_read_and_stands_in_the_box(reference, as_helper):
    text = as_helper.get(SHELF, {"marked": "VT-231"}).content.decode()
    assert "Read as 6SN7GT." in text and 'value="VT-231"' in text


@pytest.mark.parametrize("text", ["T-0001", "t-0001", "http://radio.example/tubes/T-0001/"])
def test_a_label_is_no_stamp(reference, as_helper, text):
    as_helper.post(SHELF, cells())
    page = as_helper.post(SHELF, cells(marked=text))
    assert page.status_code == 422 and "label of T-0001" in page.context["form"].errors["marked"][0]
    assert Tube.objects.count() == 1


@pytest.mark.parametrize(("field", "value"), [("marked", ""), ("count", "0"), ("count", "501"), ("state", "fine")])
def test_a_bad_cell_is_named_and_nothing_is_written(reference, as_helper, snapshot, field, value):
    before = snapshot()
    page = as_helper.post(SHELF, cells(**{field: value}))
    assert page.status_code == 422 and list(page.context["form"].errors) == [field]
    assert snapshot() == before


@pytest.mark.parametrize("stamp", ["\0", "VT-\x00231", "T-0001\0"])
def test_a_sign_that_no_database_keeps(reference, as_helper, snapshot, stamp):
    assert shelf_reading(stamp).text == stamp.replace("\0", "")
    before = snapshot()
    for sent in (cells(marked=stamp), cells(marked=stamp, look="1")):
        assert as_helper.post(SHELF, sent).status_code in (200, 422)
    assert as_helper.get(SHELF, {"marked": stamp}).status_code == 200
    assert snapshot() == before


def test_only_the_last_ten_entries_are_listed(reference, as_helper):
    for number in range(12):
        as_helper.post(SHELF, cells(date_code=str(number)))
    entries = as_helper.get(SHELF).context["entries"]
    assert [e["first"].date_code for e in entries] == [str(n) for n in range(11, 1, -1)]
    assert [bool(e.get("latest")) for e in entries] == [True] + [False] * 9


def test_ten_or_twenty_tubes_ask_the_same_number_of_questions(reference, as_helper):
    as_helper.post(SHELF, cells(count="10"))
    few = asked(as_helper, SHELF)
    as_helper.post(SHELF, cells(count="20"))
    as_helper.post(SHELF, cells(count="20"))
    assert asked(as_helper, SHELF) == few


@pytest.mark.parametrize(
    ("text", "stamp", "count"),
    [
        ("VT-231 x3", "VT-231", 3),
        ("3 x VT-231", "VT-231", 3),
        ("3x 6SN7GT", "6SN7GT", 3),
        ("6X4 x2", "6X4", 2),
        ("QX-99 x 12", "QX-99", 12),
        ("6 X 5GT", "6 X 5GT", 0),  # the 6X5GT is a tube (TM 11-487), whatever blanks are in it
        ("2 X 2", "2 X 2", 0),
        ("6SN7GT", "6SN7GT", 0),
        ("VT-231 x0", "VT-231 x0", 0),
        ("VT-231 x501", "VT-231 x501", 0),
        ('"', '"', 0),
    ],
)
def test_a_count_in_the_line_of_the_stamp(reference, text, stamp, count):
    """Common practice in lists by hand, no source."""
    line = shelf_line(text)
    assert (line.stamp, line.count, line.ditto) == (stamp, count, False)


def test_a_count_and_a_ditto_mark_in_the_line(reference, as_helper):
    page = as_helper.post(SHELF, cells(marked="VT-231 x3", date_code="43-11"), follow=True)
    assert "T-0001 to T-0003 added. Read as 6SN7GT." in said(page)
    typing = as_helper.get(SHELF, {"marked": '" x2'}, headers={"HX-Request": "true"}).content.decode()
    assert "As before" in typing and "2 alike" in typing and "Read as 6SN7GT." in typing
    as_helper.post(SHELF, cells(marked='" x2'))
    as_helper.post(SHELF, cells(marked=",,", count="4"))
    assert Tube.objects.filter(marked="VT-231", type__name="6SN7GT").count() == 9


def test_two_counts_are_asked_about_and_a_ditto_of_nothing_is_none(reference, as_helper, snapshot):
    before = snapshot()
    page = as_helper.post(SHELF, cells(marked="VT-231 x3", count="5"))
    assert page.status_code == 422 and "The line says 3" in page.context["form"].errors["count"][0]
    page = as_helper.post(SHELF, cells(marked='"'))
    assert "Nothing stands before it" in page.context["form"].errors["marked"][0] and snapshot() == before


# --- taking back -----------------------------------------------------------------------------------------------------


def test_the_latest_entry_is_taken_back_and_its_tags_are_spent(reference, as_helper, as_keeper):
    """L10.1: a number once used is not issued again (Spectrum, Acquisition and accessioning)."""
    place = PlaceFactory()
    as_helper.post(SHELF, cells(count="2", place=place.pk))
    key = Item.objects.get(tag="T-0001").pk
    page = as_helper.post("/shelf/take-back/", {"entry": key}, follow=True)
    assert "T-0001 to T-0002 taken back" in said(page)
    assert not Tube.objects.exists() and not Item.objects.exists() and not Movement.objects.exists()
    gone = Item.history.filter(tag="T-0001").first()
    assert (gone.history_type, gone.history_user.username) == ("-", "a-helper")
    as_helper.post(SHELF, cells())
    assert Tube.objects.get().tag == "T-0003"
    refusal = as_keeper.post("/tubes/add/", {"marked": "VT-231", "state": "good", "count": 1, "tag": "T-0001"})
    assert "never used again" in refusal.context["form"].errors["tag"][0]


def test_only_the_latest_and_only_once(reference, as_helper):
    as_helper.post(SHELF, cells())
    first = Item.objects.get().pk
    as_helper.post(SHELF, cells())
    assert "Only the latest" in said(as_helper.post("/shelf/take-back/", {"entry": first}, follow=True))
    assert Tube.objects.count() == 2


def _moved(tube, keeper, today):
    move([tube.item], PlaceFactory(), on=today, by=keeper)


def _changed(tube, keeper, today):
    tube.note = "getter gone"
    tube.save()


def _fitted(tube, keeper, today):
    FittingFactory(tube=tube, position=PositionFactory(type=tube.type))


def _marked(tube, keeper, today):
    HazardMark.objects.create(item=tube.item, hazard="mercury", on=today)


@pytest.mark.parametrize("happen", [_moved, _changed, _fitted, _marked])
def test_what_was_touched_since_stays(keeper, today, refused, happen):
    (tube,) = add_tubes(Tube(marked="866A", type=TubeTypeFactory(), state="good"), by=keeper, on=today)
    happen(tube, keeper, today)
    with refused("entry", tube.tag):
        take_back_entry([tube.pk], by=keeper)
    assert Tube.objects.filter(pk=tube.pk).exists() and Item.objects.filter(pk=tube.pk).exists()


def test_a_visitor_adds_nothing(as_visitor):
    assert as_visitor.get(reverse("holdings:shelf")).status_code == 403
    assert as_visitor.post("/shelf/take-back/", {"entry": 1}).status_code == 403


# --- a stamp that is no full number ----------------------------------------------------------------------------------


def test_what_begins_alike_is_offered_and_not_saved_unseen(reference, as_helper, snapshot):
    before = snapshot()
    page = as_helper.post(SHELF, cells(marked="6SN7", count="2"))
    assert page.status_code == 422 and snapshot() == before
    text = " ".join(page.content.decode().split())
    assert "Begins alike" in text and 'value="6SN7GT" accesskey="1" autofocus' in text
    # Enter presses the first button of the form: that is the one that saves, none of the choices
    assert text.index(">Save and next</button>") < text.index('name="choice"')
    part = as_helper.get(SHELF, {"marked": "6SN7"}, headers={"HX-Request": "true"}).content.decode()
    assert 'value="6SN7GT" accesskey="1"' in part and "autofocus" not in part


@pytest.mark.parametrize(("choice", "name"), [("6SN7GT", "6SN7GT"), ("none", None)])
def test_one_key_chooses(reference, as_helper, choice, name):
    page = as_helper.post(SHELF, cells(marked="6SN7", choice=choice), follow=True)
    tube = Tube.objects.get()
    assert (tube.marked, tube.type and tube.type.name) == ("6SN7", name)
    assert ("Taken for 6SN7GT." if name else "no full number") in said(page)


@pytest.mark.parametrize("choice", ["807", "6SN7GT' --", "", "\0"])
def test_what_was_not_offered_is_not_chosen(reference, as_helper, choice):
    assert as_helper.post(SHELF, cells(marked="6SN7", choice=choice)).status_code == 422
    assert not Tube.objects.exists()


# --- labels scanned --------------------------------------------------------------------------------------------------


def test_the_label_of_a_place_sets_the_place(as_helper):
    place = PlaceFactory(code="D7")
    page = as_helper.post(SHELF, cells(marked=f"https://radio.example/places/{place.pk}/"), follow=True)
    assert "Now at D7." in said(page) and not Tube.objects.exists()
    assert page.context["form"].initial["place"] == place.pk


@pytest.mark.parametrize("text", ["http://10.0.0.7:8000/places/99999/", "https://radio.example/look-up/?q=807"])
def test_an_address_is_no_stamp(as_helper, text):
    page = as_helper.post(SHELF, cells(marked=text))
    assert page.status_code == 422 and "an address and no stamp" in page.context["form"].errors["marked"][0]
    assert not Tube.objects.exists()
