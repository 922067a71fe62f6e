"""Stamps from a photograph: page, command and action, with a stand-in for the reader of print (``photographs``)."""

import io
import json
import sys

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.holdings.forms.stamp_photo import ReadFrom
from inventory.holdings.models import Item, Paper, Tube
from inventory.holdings.queries import photo_engine
from inventory.holdings.queries.stamp_photo import read_photo
from tests.commands import answer_of, refused, told
from tests.counting import cost
from tests.factories import PlaceFactory, TubeFactory
from tests.holdings.photographs import StandIn, jpeg, line, put_in
from tests.pages import page_text

pytestmark = pytest.mark.django_db
PAGE = "/shelf/photograph/"
TWO = [line("NORDLYS", 100, 300), line("VT-231", 100, 350), line("43-12", 100, 400), line("6K4", 700, 300)]


@pytest.fixture(autouse=True)
def store(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


@pytest.fixture
def two(reference, monkeypatch):
    return put_in(monkeypatch, StandIn(TWO))


def upload(body=None, name="shelf.jpg"):
    return SimpleUploadedFile(name, jpeg() if body is None else body)


def read(client, body=None):
    return client.post(PAGE, {"read": "1", "picture": upload(body), "state": "untested", "place": ""})


def cells_of(page, **more):
    """What the page would send back, nothing ticked."""
    form = page.context["form"]
    sent = {name: form[name].value() or "" for name in ("digest", "key", "overview", "rows")}
    for row in page.context["rows"]:
        sent |= {row.form[name].html_name: row.form[name].value() or "" for name in row.form.fields if name != "take"}
    return sent | {"state": "untested", "place": "", "take": "1"} | more


def kept_files(store):
    return [file for file in store.rglob("*") if file.is_file()]


# --- reading ---------------------------------------------------------------------------------------------------------


def test_candidates_stand_with_their_piece_their_reading_and_their_doubts(two, as_helper):
    """VT-231 is the 6SN7GT (TM 11-487, U.S. Army VT numbers); 6K4 may as well be the Soviet 6Ж4 (6AC7)."""
    page = read(as_helper)
    first, second = page.context["rows"]
    assert (first.form["marked"].value(), first.reading.type.name) == ("NORDLYS VT-231 43-12", "6SN7GT")
    assert first.form["date_code"].value() == "43-12" and first.told.against == ()
    assert second.reading.type.name == "6SG7" and ("6Ж4", "6AC7") in second.told.others
    text = page_text(page)
    assert "Read clearly." in text and "it may be Cyrillic" in text and text.count("data:image/jpeg;base64,") >= 3
    assert page.context["form"]["state"].value() == "untested" and ", which is 6AC7" in text
    assert "<svg" in text and 'class="photo-number"' in text


def test_nothing_is_entered_kept_or_ticked_by_reading(two, as_helper, store):
    page = read(as_helper)
    assert not Tube.objects.exists() and not Paper.objects.exists() and kept_files(store) == []
    assert page_text(page).count('type="checkbox"') == 3 and " checked" not in page_text(page)


def test_what_is_not_read_is_said_so(reference, monkeypatch, as_helper):
    put_in(monkeypatch, StandIn([]))
    text = page_text(read(as_helper))
    assert "No print could be read" in text and "Enter the ticked ones" not in text


def test_words_without_a_number_are_told(reference, monkeypatch, as_helper):
    put_in(monkeypatch, StandIn([line("ELECTRON TUBE"), line("~", top=700)]))
    text = page_text(read(as_helper))
    assert "no number of a tube" in text and "ELECTRON TUBE" in text and "1 place with print" in text


def test_other_looks_are_taken_until_one_settles_a_type(reference):
    """As it is, softened, turned: the third look sees it, the fourth is not asked for."""
    engine = StandIn([], [line("QX-9")], [line("807")], [line("6H6")])
    found = read_photo(Image.new("RGB", (600, 300)), engine)
    assert engine.asked == 3 and found.turned == 90 and found.picture.size == (300, 600)
    assert found.proposed[0].reading.type.name == "807"


def test_no_further_look_is_begun_when_the_time_is_up(reference):
    engine = StandIn([])
    read_photo(Image.new("RGB", (60, 60)), engine, seconds=-1)
    assert engine.asked == 1


def test_boxes_are_in_pixels_of_the_picture_that_is_told(reference):
    """The softened look is of half the size."""
    found = read_photo(Image.new("RGB", (600, 600)), StandIn([], [line("807", 100, 100)]))
    assert found.proposed[0].candidate.box == (200, 200, 344, 280)


def test_a_picture_is_turned_upright_before_it_is_read(reference, monkeypatch, as_helper):
    """Exif 2.32, orientation 6: the camera was held so that the picture must be turned by 90 degrees."""
    seen = []
    stand_in = put_in(monkeypatch, StandIn([line("807", 20, 20)]))
    monkeypatch.setattr(stand_in, "lines", lambda picture: seen.append(picture.size) or [line("807", 20, 20)])
    exif, out = Image.Exif(), io.BytesIO()
    exif[0x0112] = 6
    Image.new("RGB", (400, 200)).save(out, "JPEG", exif=exif)
    read(as_helper, out.getvalue())
    assert seen == [(200, 400)]


def test_a_large_picture_is_made_smaller_first(reference):
    found = read_photo(Image.new("RGB", (4000, 1000)), StandIn([]))
    assert found.picture.size == (2000, 500)


def test_a_date_code_that_is_badly_read_is_shown_and_not_filled_in(reference, monkeypatch, as_helper):
    put_in(monkeypatch, StandIn([line("6SN7GT", 300, 300), line("8-44", 300, 350, score=0.6)]))
    page = read(as_helper)
    (row,) = page.context["rows"]
    assert row.form["date_code"].value() == "" and row.told.date_in_doubt == "8-44"
    text = page_text(page)
    assert "too badly read to be filled in" in text and "In doubt." in text and "Read clearly." not in text


def test_more_than_can_be_shown_is_told(reference, monkeypatch, as_helper):
    put_in(monkeypatch, StandIn([line("807", 20 + 140 * (at % 10), 100 + 200 * (at // 10)) for at in range(32)]))
    page = read(as_helper, jpeg((1500, 900)))
    assert len(page.context["rows"]) == 30 and "2 more places were read and not shown" in page_text(page)
    assert page.context["found"].as_dict()["more"] == ["807", "807"]


# --- what is refused -------------------------------------------------------------------------------------------------


def test_a_visitor_may_not(two, as_visitor):
    assert as_visitor.get(PAGE).status_code == 403
    assert read(as_visitor).status_code == 403


@pytest.mark.parametrize(
    ("limit", "body", "says"),
    [
        ({}, b"%PDF-1.4\n%%EOF", "only pictures"),
        ({}, b"no picture", "no JPEG, PNG or WebP"),
        ({"PAPER_MAX_MB": 0}, None, "larger than 0 MB"),
        ({"PAPER_MAX_MEGAPIXELS": 0.5}, None, "million pixels"),
    ],
)
def test_limits_of_kind_size_and_pixels(two, as_helper, settings, limit, body, says):
    for name, value in limit.items():
        setattr(settings, name, value)
    page = read(as_helper, body)
    assert page.status_code == 422 and says in page_text(page) and two.asked == 0


def test_no_picture_at_all_is_asked_for(two, as_helper):
    page = as_helper.post(PAGE, {"read": "1", "state": "untested"})
    assert page.status_code == 422 and "Choose a photograph first." in page_text(page)


def test_one_at_a_time(reference, monkeypatch, as_helper):
    put_in(monkeypatch, StandIn(TWO), busy=True)
    page = read(as_helper)
    assert page.status_code == 503 and "Try again in a minute" in page_text(page)


def test_a_refusal_is_put_in_place_where_the_page_swaps(two, as_helper):
    """htmx leaves answers of 4xx out."""
    page = as_helper.post(PAGE, {"read": "1"}, headers={"HX-Request": "true"})
    assert page.status_code == 200 and "Choose a photograph first." in page_text(page)


def test_without_the_extra_the_page_says_how_to_add_it(monkeypatch, as_helper):
    monkeypatch.setattr("inventory.holdings.views.stamp_photo.is_installed", lambda: False)
    text = page_text(as_helper.get(PAGE))
    assert "pip install" in text and "[photo]" in text and 'type="file"' not in text


def test_without_the_extra_it_is_looked_for_and_nothing_is_loaded(monkeypatch):
    monkeypatch.setattr(photo_engine.importlib.util, "find_spec", lambda name: None)
    assert not photo_engine.is_installed()
    with pytest.raises(photo_engine.EngineMissing, match="pip install"), photo_engine.engine():
        pass


def test_an_extra_that_cannot_be_loaded_is_told_and_a_fault_of_the_tool_is_none_of_it(two, monkeypatch, as_helper):
    monkeypatch.setitem(sys.modules, "rapidocr", None)  # importing it raises ImportError
    with pytest.raises(photo_engine.EngineMissing, match="cannot be loaded here"):
        photo_engine.RapidEngine()
    monkeypatch.setattr(two, "lines", lambda picture: {}["boxes"])
    with pytest.raises(KeyError):
        read(as_helper)


# --- confirming ------------------------------------------------------------------------------------------------------


def test_only_what_is_ticked_becomes_a_tube_as_on_the_shelf(two, as_helper, helper):
    place = PlaceFactory()
    sent = cells_of(read(as_helper), **{"row0-take": "on", "place": place.pk, "state": "good"})
    page = as_helper.post(PAGE, sent, follow=True)
    tube = Tube.objects.get()
    assert (tube.marked, tube.type.name, tube.state) == ("NORDLYS VT-231 43-12", "6SN7GT", "good")
    assert tube.date_code == "43-12" and tube.item.place == place and not Paper.objects.exists()
    assert "T-0001 added: 6SN7GT." in page_text(page)
    assert tube.history.get().history_user == helper and "take it back" in page_text(as_helper.get("/shelf/"))


def test_several_at_once_with_the_photograph_kept_with_each(two, as_helper):
    page = read(as_helper)
    other = {"row1-marked": "6Ж4", "row1-shown": "6Ж4"}
    sent = cells_of(page, **{"row0-take": "on", "row1-take": "on", "keep": "on"} | other)
    as_helper.post(PAGE, sent | {"picture": upload()})
    assert [tube.type.name for tube in Tube.objects.order_by("pk")] == ["6SN7GT", "6AC7"]
    assert [paper.kind for paper in Paper.objects.all()] == ["photograph"] * 2
    assert {paper.item.tag for paper in Paper.objects.all()} == {"T-0001", "T-0002"}


def test_nothing_ticked_enters_nothing(two, as_helper):
    page = as_helper.post(PAGE, cells_of(read(as_helper)))
    assert page.status_code == 422 and "Nothing is confirmed" in page_text(page) and not Item.objects.exists()


def test_another_photograph_is_not_kept_for_the_one_that_was_read(two, as_helper, store):
    sent = cells_of(read(as_helper), **{"row0-take": "on", "keep": "on"})
    page = as_helper.post(PAGE, sent | {"picture": upload(jpeg(colour="#aa0000"))})
    assert page.status_code == 422 and "another photograph" in page_text(page)
    assert not Item.objects.exists() and kept_files(store) == []


def test_a_photograph_to_be_kept_must_come_along(two, as_helper):
    page = as_helper.post(PAGE, cells_of(read(as_helper), **{"row0-take": "on", "keep": "on"}))
    assert page.status_code == 422 and "Choose the photograph again" in page_text(page) and not Item.objects.exists()
    assert page.context["rows"][0].told.piece.startswith("data:image/jpeg")  # the rows stay as they were


def test_the_text_is_read_anew_when_it_was_changed(two, as_helper):
    sent = cells_of(read(as_helper), **{"row1-marked": "807"})
    del sent["take"]
    row = as_helper.post(PAGE, sent | {"look": "1"}).context["rows"][1]
    assert row.reading.type.name == "807" and row.edited and not Tube.objects.exists()


def test_another_meaning_is_put_into_its_row(two, as_helper):
    sent = cells_of(read(as_helper))
    del sent["take"]
    row = as_helper.post(PAGE, sent | {"use": "1:6Ж4"}).context["rows"][1]
    assert row.form["marked"].value() == "6Ж4" and row.reading.type.name == "6AC7"


def test_a_tick_is_for_the_reading_that_was_shown(two, as_helper):
    """Another text than the one whose reading stood on the page is shown with its reading first, unticked."""
    sent = cells_of(read(as_helper), **{"row0-take": "on", "row1-take": "on", "row1-marked": "807"})
    page = as_helper.post(PAGE, sent)
    assert page.status_code == 422 and "It was changed." in page_text(page) and not Tube.objects.exists()
    assert [bool(row.form["take"].value()) for row in page.context["rows"]] == [True, False]
    del sent["take"]
    used = as_helper.post(PAGE, sent | {"use": "1:6Ж4"}).context["rows"][1]
    assert not used.form["take"].value() and used.form["shown"].value() == "6Ж4"
    as_helper.post(PAGE, cells_of(page, **{"row0-take": "on", "row1-take": "on"}))
    assert [tube.type.name for tube in Tube.objects.order_by("pk")] == ["6SN7GT", "807"]


def test_pressing_twice_enters_once(two, as_helper, store):
    page = read(as_helper)
    sent = cells_of(page, **{"row0-take": "on", "row1-take": "on", "keep": "on"})
    first = page_text(as_helper.post(PAGE, sent | {"picture": upload()}, follow=True))
    again = page_text(as_helper.post(PAGE, sent | {"picture": upload()}, follow=True))
    assert "T-0001 to T-0002 added" in first and "T-0001 to T-0002 added" in again
    assert Tube.objects.count() == Paper.objects.count() == 2 and len(kept_files(store)) == 4
    assert len(as_helper.session["shelf_made"]) == 1
    told = Tube.objects.first().history.get().history_change_reason
    assert told.startswith("read from a photograph (SHA-256 ") and len(told) <= 100


def test_another_tick_of_a_page_that_was_entered_is_refused(two, as_helper):
    page = read(as_helper)
    as_helper.post(PAGE, cells_of(page, **{"row0-take": "on"}))
    refused = as_helper.post(PAGE, cells_of(page, **{"row1-take": "on"}))
    assert refused.status_code == 422 and "entered from this page already: T-0001" in page_text(refused)
    assert Tube.objects.count() == 1


def test_a_photograph_from_which_tubes_were_entered_says_so(two, as_helper, today):
    assert "Entered before" not in page_text(read(as_helper))
    as_helper.post(PAGE, cells_of(read(as_helper), **{"row0-take": "on"}))
    page = read(as_helper)
    assert f"1 tube was entered from this very photograph before, the last on {today}: T-0001." in page_text(page)
    as_helper.post(PAGE, cells_of(page, **{"row1-take": "on"}))
    assert "2 tubes were entered" in page_text(read(as_helper)) and "T-0001 to T-0002" in page_text(read(as_helper))


def test_a_beginning_of_a_number_asks_which(two, as_helper):
    sent = cells_of(read(as_helper), **{"row0-take": "on", "row0-marked": "6SN7", "row0-shown": "6SN7"})
    page = as_helper.post(PAGE, sent)
    assert page.status_code == 422 and "which of them" in page_text(page) and not Tube.objects.exists()
    as_helper.post(PAGE, sent | {"row0-choice": "6SN7GT"})
    assert Tube.objects.get().type.name == "6SN7GT"


def test_the_label_of_a_thing_is_no_stamp(two, as_helper):
    tag = TubeFactory().item.tag
    page = as_helper.post(PAGE, cells_of(read(as_helper), **{"row0-take": "on", "row0-marked": tag, "row0-shown": tag}))
    assert page.status_code == 422 and "is the label of" in page_text(page) and Tube.objects.count() == 1


@pytest.mark.parametrize("sent", ["", "{", "[]", '{"text": 1}', json.dumps({"text": "", "box": "x"}), "[" * 5000])
def test_what_came_back_otherwise_than_it_was_sent_is_left_out(sent):
    assert ReadFrom.from_text(sent) == ReadFrom()


def test_a_piece_that_is_no_picture_is_left_out():
    told = ReadFrom("807", 0.9, "javascript:alert(1)", (1, 2, 3, 4))
    assert ReadFrom.from_text(told.as_text()) == ReadFrom("807", 0.9, "", (1, 2, 3, 4))


@pytest.mark.growth
def test_more_stamps_take_no_more_questions(reference, monkeypatch, as_helper):
    def asked(count):
        spots = [line("807", 20 + 140 * (at % 10), 100 + 300 * (at // 10)) for at in range(count)]
        put_in(monkeypatch, StandIn(spots))
        assert len(read(as_helper, jpeg((1500, 900))).context["rows"]) == count
        return cost(lambda: read(as_helper, jpeg((1500, 900))))

    assert asked(20) == asked(10)


# --- the command -----------------------------------------------------------------------------------------------------


def test_the_command_tells_pictures_with_candidates(two, tmp_path):
    file = tmp_path / "shelf.jpg"
    file.write_bytes(jpeg())
    answer, _ = answer_of("read_photo", str(file), str(file))
    one = answer["pictures"][0]
    assert len(answer["pictures"]) == 2 and (one["file"], one["width"], one["turned"]) == (str(file), 1000, 0)
    first = one["candidates"][0]
    assert (first["text"], first["type"], first["clear"], first["score"]) == (
        "NORDLYS VT-231 43-12",
        "6SN7GT",
        True,
        0.99,
    )
    assert first["box"] == [100, 300, 268, 440] and first["reading"]["readings"][0]["designation"] == "VT-231"
    assert "Cyrillic" in told("read_photo", str(file))


def test_the_command_refuses_what_cannot_be_read(two, tmp_path, monkeypatch):
    bad = tmp_path / "notes.jpg"
    bad.write_text("no picture")
    assert "notes.jpg" in refused("read_photo", str(bad))
    assert "cannot be read" in refused("read_photo", str(tmp_path / "none.jpg"))
