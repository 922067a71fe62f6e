"""Labels and box lists: what stands on them, that it fits, that the code opens the page, when a list is stale.

The QR codes are decoded by another library (ZXing) than the one that made them. Fitting is measured with the widths of
the very font that prints. ISO/IEC 18004: four modules of quiet zone round a code.
"""

import io
import shutil
import subprocess
from dataclasses import replace
from functools import cache

import pytest
import segno
import zxingcpp
from django.core.management import CommandError, call_command
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from inventory.holdings.actions import change_tube, move
from inventory.holdings.actions.labels import record_prints
from inventory.holdings.forms.labels import tags_in
from inventory.holdings.models import BoxPrint, HazardMark, Item, Movement, PartLot
from inventory.holdings.queries.labels import box_lists, label_sheets, labels_of, stale_boxes, things_tagged
from inventory.holdings.rules.hazard_kinds import MARKS
from inventory.holdings.rules.hazard_words import OTHER, short_words
from inventory.holdings.rules.label_flow import MM
from inventory.holdings.rules.label_layout import WARNING, LabelWords, lay_out
from inventory.holdings.views.label_pdf import box_pdf, label_pdf, measure
from inventory.house.pdf_pages import QUIET
from tests.counting import asked, cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    DesignationFactory,
    ItemFactory,
    PlaceFactory,
    PlugInUnitFactory,
    TubeFactory,
    TubeTypeFactory,
)

needs_pdftoppm = pytest.mark.skipif(not shutil.which("pdftoppm"), reason="no pdftoppm here (package poppler-utils)")
SHEETS = {sheet.key: sheet for sheet in label_sheets()}
SITE = "http://museum.example:8000"
FULL = LabelWords(
    tag="T-0042", name="807", same=("VT-100", "CV124", "VT60A", "ATS25", "QE06/50", "RCA-807"), state="untested",
    reading="3900/2500 micromho, Bench tester 1", mark="marked JAN-CRC-807", place="Store / Cabinet B / Shelf 1",
    readings=True, address=f"{SITE}/tubes/T-0042/",
    hazards=("Mercury: keep upright, warm the filament first; a broken one is left to people equipped for it.",),
)  # fmt: skip


# --- the layout -------------------------------------------------------------------------------------------------------


def rectangles(layout, size):
    """(left, bottom, right, top) of every piece; ascent 0.928 and descent 0.236 stand in the font's hhea table."""
    for piece in layout.words:
        width = measure(piece.text, piece.size, piece.bold)
        yield piece.x, piece.y - 0.236 * piece.size * MM, piece.x + width, piece.y + 0.928 * piece.size * MM
    for blank in layout.blanks:
        yield blank.x, blank.y, blank.x + blank.w, blank.y + 0.01
    x, y, side = layout.code
    yield x, y, x + side, y + side


def assert_nothing_overlaps(layout, sheet):
    placed = []
    for left, bottom, right, top in rectangles(layout, sheet):
        assert left >= sheet.inset_mm - 1e-6 and right <= sheet.label_w_mm - sheet.inset_mm + 1e-6
        assert bottom >= sheet.inset_mm - 1e-6 and top <= sheet.label_h_mm - sheet.inset_mm + 1e-6
        for l2, b2, r2, t2 in placed:
            assert right <= l2 + 1e-6 or r2 <= left + 1e-6 or top <= b2 + 1e-6 or t2 <= bottom + 1e-6
        placed.append((left, bottom, right, top))


def laid(words, sheet):
    return lay_out(words, sheet.label_w_mm, sheet.label_h_mm, sheet.inset_mm, measure)


def said(layout):
    return [piece.text for piece in layout.words]


def short_of(label):
    return WARNING + ", ".join(short_words(label.hazards))


wild = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=90)
words = st.builds(
    LabelWords,
    tag=st.text(st.sampled_from("TWM0123456789-"), min_size=1, max_size=20),
    name=wild | st.sampled_from(["807", "6SN7GT", "capacitor, oil filled, 4 mfd 1000 V"]),
    same=st.lists(st.sampled_from(["VT-100", "CV124", "6Н8С", "W" * 30, "ATS25"]), max_size=12).map(tuple),
    mark=wild, state=st.sampled_from(["", "good", "untested"]), place=wild, reading=wild | st.just(FULL.reading),
    hazards=st.lists(wild | st.just(FULL.hazards[0]), max_size=3).map(tuple), readings=st.booleans(),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(label=words, sheet=st.sampled_from(sorted(SHEETS)))
def test_nothing_leaves_the_label_and_nothing_overlaps(label, sheet):
    layout = laid(label, SHEETS[sheet])
    assert_nothing_overlaps(layout, SHEETS[sheet])
    assert any(piece.text.startswith(label.tag[:2]) for piece in layout.words)
    if any(label.hazards):
        assert layout.words[0].text.startswith(WARNING.strip())
        assert short_of(label).replace(" ", "") in "".join(said(layout)).replace(" ", "")


@pytest.mark.parametrize("key", SHEETS)
def test_what_every_label_says(key):
    layout = laid(FULL, SHEETS[key])
    assert_nothing_overlaps(layout, SHEETS[key])
    text = " ".join(said(layout))
    assert said(layout)[0] == "⚠ mercury"
    assert "T-0042" in text and "untested" in text and "807" in text and "VT-100" in text
    assert FULL.reading in text
    assert min(piece.size for piece in layout.words) >= 5.5
    if SHEETS[key].label_h_mm > 20:
        assert "JAN-CRC-807" in text and "Shelf 1" in text


@pytest.mark.parametrize("key", [key for key, sheet in SHEETS.items() if sheet.label_h_mm > 20])
def test_a_label_without_hazard_has_room_to_write(key):
    layout = laid(replace(FULL, hazards=(), reading=""), SHEETS[key])
    assert {"reads", "min", "on"} <= set(said(layout))
    assert len(layout.blanks) == 3 and min(blank.w for blank in layout.blanks) >= 4


def test_as_many_equivalents_as_fit():
    small, large = (" ".join(said(laid(FULL, SHEETS[key]))) for key in ("a4-65", "a4-8"))
    assert "RCA-807" in large and "RCA-807" not in small and "…" in small


HAZARDS = [mark for mark in MARKS if mark != "other"]


@pytest.mark.parametrize("key", SHEETS)
@pytest.mark.parametrize("count", [1, 2, 3, len(HAZARDS)])
def test_no_hazard_is_cut_on_any_label(key, count):
    """All else gives way first: a tube of three hazards keeps its tag and its code on the smallest label."""
    label = replace(FULL, hazards=(*(f"{hazard} (not checked)" for hazard in HAZARDS[:count]), *FULL.hazards))
    layout = laid(label, SHEETS[key])
    assert_nothing_overlaps(layout, SHEETS[key])
    assert short_of(label) in " ".join(said(layout))
    assert "T-0042" in said(layout)
    assert layout.code[2] > 0 or count > 2


@pytest.mark.parametrize("key", SHEETS)
def test_state_and_reading_stand_beside_a_hazard(key):
    text = " ".join(said(laid(FULL, SHEETS[key])))
    assert "untested" in text and FULL.reading in text


def test_a_caution_is_not_cut_to_the_opposite():
    """The caution of the 83 (table of cautions): `may lie down; the general rule says otherwise`."""
    caution = (
        "Mercury vapour: keep upright. One text says that it needs no preheating and may lie down; the general rule "
        "says otherwise: warm it first. A broken one is left to people equipped for mercury."
    )
    for sheet in SHEETS.values():
        text = " ".join(said(laid(replace(FULL, hazards=(caution,)), sheet)))
        assert "lie down" not in text or "warm it first" in text


def test_a_long_reading_goes_over_several_lines():
    label = LabelWords(tag="T-0093", name="6146B", reading="6800/4500 micromho, Crane's tester, green case")
    for sheet in SHEETS.values():
        assert label.reading in " ".join(said(laid(label, sheet)))


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (("mercury; keep upright",), ("mercury; keep upright",)),
        (("Mercury vapour: keep upright; warm the filament before plate voltage.",), ("mercury",)),
        (("Gas tube: some makes hold a trace of radioactive material. Do not open.",), ("radioactive",)),
        (("High voltage on plates (about 1100 V); RF burns at the post. Mercury in the rectifiers.",),
         ("high voltage", "RF burns", "mercury")),
        (("About 180 V inside from the mains unit. Local codes come first.",), ("high voltage",)),
        (("mercury (not checked)", "Mercury vapour: keep upright, and warm it."), ("mercury",)),
        (("No mercury in this one, whatever the carton says.",), ("No mercury in this one",)),
        (("radium (not checked)", "asbestos"), ("radium?", "asbestos")),
        (("The lid falls on fingers: hold it, and mind the spring.",), ("The lid falls on fingers",)),
        (("it " * 30,), (OTHER,)),
        (("", " "), ()),
    ],
)  # fmt: skip
def test_the_short_word_of_a_hazard(texts, words):
    """Words of the reference table of cautions and of the demo; what is meant by them: common practice, no source."""
    assert short_words(texts) == words


# --- the code ---------------------------------------------------------------------------------------------------------


def decoded(image):
    return {code.text for code in zxingcpp.read_barcodes(image)}


@cache
def no_pdftotext():
    return not shutil.which("pdftotext")


def pages_of(pdf, tmp_path, dpi=300):
    """Each page of a PDF as a picture, not packed: packing and unpacking takes longer than drawing."""
    (tmp_path / "x.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "x.pdf", "page"], cwd=tmp_path, check=True)
    return [Image.open(file) for file in sorted(tmp_path.glob("page*.pgm"))]


def test_the_code_says_the_address():
    out = io.BytesIO()
    segno.make_qr(FULL.address, error="m", boost_error=False).save(out, kind="png", scale=4, border=QUIET)
    assert decoded(Image.open(out)) == {FULL.address}


@needs_pdftoppm
@pytest.mark.parametrize("key", SHEETS)
def test_codes_of_every_sheet_are_read_again(key, tmp_path):
    """At 300 dots to the inch, a common office printer; the smallest label has the smallest code."""
    tags = [f"T-{number:04d}" for number in range(1, 6)]
    labels = [replace(FULL, tag=tag, address=f"{SITE}/tubes/{tag}/") for tag in tags]
    sheet = SHEETS[key]
    found = [decoded(page) for page in pages_of(label_pdf(labels, sheet, start=sheet.count - 1), tmp_path)]
    assert found[0] == {label.address for label in labels[:2]}
    assert set().union(*found) == {label.address for label in labels}


def test_the_same_labels_make_the_same_file():
    assert label_pdf([FULL], SHEETS["a4-21"]) == label_pdf([FULL], SHEETS["a4-21"])


# --- what things say --------------------------------------------------------------------------------------------------


def label_of(item):
    (found,), missing = things_tagged([item.tag])
    assert not missing
    (label,) = labels_of([found], lambda thing: f"/{thing.tag}")
    return label


@pytest.mark.django_db
def test_a_tube_says_its_equivalents(reference):
    """VT-231 is 6SN7GT (U.S. Signal Corps numbers, rows of designations.csv); a lead is no equivalent."""
    tube = TubeFactory(
        type=TubeTypeFactory(name="6SN7GT"), marked="VT-231", state="good", place=PlaceFactory(code="B7")
    )
    label = label_of(tube.item)
    assert (label.name, label.mark, label.state, label.place) == ("6SN7GT", "marked VT-231", "good", "B7")
    assert "VT-231" in label.same and "6SN7GT" not in label.same
    lead = DesignationFactory(type=tube.type, designation="ZQ1", note="unchecked: seen on a carton")
    assert lead.unchecked and "ZQ1" not in label_of(tube.item).same


@pytest.mark.django_db
def test_hazards_looked_for_and_not_found_are_none(today):
    tube = TubeFactory(type=TubeTypeFactory(name="ZZ866", hazard="mercury; keep upright"))
    HazardMark.objects.create(item=tube.item, hazard="radium", standing="confirmed", on=today)
    HazardMark.objects.create(item=tube.item, hazard="asbestos", standing="proposed", on=today)
    HazardMark.objects.create(item=tube.item, hazard="selenium", standing="none found", on=today)
    hazards = label_of(tube.item).hazards
    assert set(hazards) == {"radium", "asbestos (not checked)", "mercury; keep upright"}


@pytest.mark.django_db
def test_things_of_every_kind(today):
    place = PlaceFactory(code="R1")
    chassis = ChassisFactory(serial="01432", place=place, model__caution="High voltage")
    unit = PlugInUnitFactory(serial="", serial_reading="unreadable")
    companion = CompanionFactory(mate_serial="0458")
    lot = PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name="capacitor", value="4 mfd", least=12, most=15)
    Movement.objects.create(item=unit.item, to_path="in Ostercape TX 5 01432, bay left", on=today)
    assert label_of(chassis.item).mark == "serial 01432" and label_of(chassis.item).hazards == ("High voltage",)
    assert label_of(unit.item).mark == "serial unreadable"
    assert label_of(unit.item).place == "in Ostercape TX 5 01432, bay left"
    assert label_of(companion.item).mark == "belongs to 0458"
    assert (label_of(lot.item).name, label_of(lot.item).mark) == ("capacitor 4 mfd", "quantity 12 to 15")
    assert label_of(TubeFactory(type=None, marked="?7").item).mark == "type not settled"


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("T-0001", ["T-0001"]),
        (" t-0001, T-0002;\nC-0001 t-0001 ", ["T-0001", "T-0002", "C-0001"]),
        ("T-0009..T-0011", ["T-0009", "T-0010", "T-0011"]),
        ("T-0009 .. 0011 X", ["T-0009", "T-0010", "T-0011", "X"]),
        ("T-0001 to T-0002", ["T-0001", "T-0002"]),
        ("", []),
    ],
)
def test_tags_as_people_type_them(text, tags):
    assert tags_in(text) == tags


@pytest.mark.parametrize("text", ["T-0009..T-0001", "T-0001..T-9999"])
def test_a_run_that_is_none(text):
    with pytest.raises(ValueError, match="is no run of tags"):
        tags_in(text)


# --- the page ---------------------------------------------------------------------------------------------------------

ASK = {"sheet": "a4-65", "start": 1, "copies": 1, "of": "things"}


def is_pdf(answer):
    return answer.status_code == 200 and answer["Content-Type"] == "application/pdf" and answer.content[:5] == b"%PDF-"


def page_count(answer):
    return answer.content.count(b"/Type /Page\n") or answer.content.count(b"/Type /Page ")


@pytest.fixture
def shelf(db):
    """A cabinet with two drawers: three tubes in one, one in the other, and one elsewhere."""
    cabinet = PlaceFactory(code="Cabinet 1", name="Tubes")
    first, second = PlaceFactory(code="1", parent=cabinet), PlaceFactory(code="2", parent=cabinet)
    kind = TubeTypeFactory(name="ZZ6J5")
    for number in range(3):
        TubeFactory(item__tag=f"W-000{number}", type=kind, place=first, state="untested" if number else "good")
    TubeFactory(item__tag="W-0005", type=kind, place=second, state="dud")
    TubeFactory(item__tag="W-0009", place=PlaceFactory(code="Loft"))
    return cabinet, first, second


@needs_pdftoppm
@pytest.mark.parametrize(
    ("ask", "tags"),
    [
        ({"tags": "W-0009 W-0000..W-0001"}, {"W-0009", "W-0000", "W-0001"}),
        ({"place": "cabinet"}, {"W-0000", "W-0001", "W-0002", "W-0005"}),
        ({"narrowed": "state=untested"}, {"W-0001", "W-0002"}),
        ({"narrowed": "only=in-chassis:"}, {"W-0000", "W-0001", "W-0002", "W-0005", "W-0009"}),
        ({"narrowed": "all=1"}, {"W-0000", "W-0001", "W-0002", "W-0005", "W-0009"}),
        ({"narrowed": "fitted=yes", "tags": "W-0009"}, {"W-0009"}),
    ],
)
def test_what_is_labelled(as_visitor, shelf, tmp_path, settings, ask, tags):
    settings.SITE_URL = SITE
    if "place" in ask:
        ask = {"place": shelf[0].pk}
    answer = as_visitor.post(reverse("holdings:label-sheet"), ASK | ask)
    assert is_pdf(answer), answer.context and answer.context["form"].errors
    (page,) = pages_of(answer.content, tmp_path)
    assert decoded(page) == {f"{SITE}/tubes/{tag}/" for tag in tags}


@needs_pdftoppm
def test_without_a_setting_the_code_has_the_address_asked_for(as_visitor, shelf, tmp_path):
    answer = as_visitor.post(reverse("holdings:label-sheet"), ASK | {"tags": "W-0009"}, headers={"host": "localhost"})
    assert decoded(pages_of(answer.content, tmp_path)[0]) == {"http://localhost/tubes/W-0009/"}
    assert as_visitor.get("/tubes/W-0009/").status_code == 200


def test_places_have_labels_too(as_visitor, shelf):
    answer = as_visitor.post(reverse("holdings:label-sheet"), ASK | {"place": shelf[0].pk, "of": "places"})
    assert is_pdf(answer)


def test_the_form_begins_with_what_was_ticked(as_visitor, shelf):
    page = as_visitor.get(reverse("holdings:label-sheet") + "?pick=W-0001&pick=W-0005&tag=W-0009")
    assert page.context["form"]["tags"].value() == "W-0009 W-0001 W-0005"
    assert reverse("holdings:label-sheet") in as_visitor.get("/tubes/?state=dud").content.decode()


def test_copies_fill_the_next_sheet(as_visitor, shelf):
    answer = as_visitor.post(
        reverse("holdings:label-sheet"), ASK | {"sheet": "a4-8", "tags": "W-0009", "copies": 3, "start": 7}
    )
    assert page_count(answer) == 2


@pytest.mark.parametrize(
    ("ask", "field", "text"),
    [
        ({}, "tags", "Say what to label"),
        ({"tags": "W-0009 Q-1"}, "tags", "Not in the collection: Q-1."),
        ({"tags": "W-0009", "start": 66}, "start", "labels 1 to 65; 66 is not on it"),
        ({"tags": "W-0009", "start": 0}, "start", "greater than or equal to 1"),
        ({"tags": "W-0009", "sheet": "a5"}, "sheet", "a5"),
        ({"tags": "W-9..W-1"}, "tags", "is no run of tags"),
        ({"place": "empty"}, "__all__", "nothing to label"),
    ],
)
def test_what_cannot_be_labelled_is_said(as_visitor, shelf, ask, field, text):
    if "place" in ask:
        ask = {"place": PlaceFactory().pk}
    answer = as_visitor.post(reverse("holdings:label-sheet"), ASK | ask)
    assert answer.status_code == 422
    assert text in " ".join(answer.context["form"].errors[field])


def test_a_thing_that_left_is_not_labelled(as_visitor, days_ago):
    TubeFactory(item__tag="W-0001", gone_on=days_ago(1))
    answer = as_visitor.post(reverse("holdings:label-sheet"), ASK | {"tags": "W-0001"})
    assert answer.status_code == 422


def test_twice_the_labels_take_no_more_questions(as_visitor, shelf, reference):
    cabinet, first, second = shelf

    def run():
        assert is_pdf(as_visitor.post(reverse("holdings:label-sheet"), ASK | {"place": cabinet.pk}))

    ChassisFactory(place=first)  # with a set among them what higher areas know of hazards is asked, too
    before = cost(run)
    for number in range(20):
        TubeFactory(type=TubeTypeFactory(name=f"ZZ{number}"), place=second)
        ChassisFactory(place=first), PlugInUnitFactory(place=first), CompanionFactory(place=first)
    assert cost(run) == before


# --- box lists --------------------------------------------------------------------------------------------------------


def test_what_a_box_list_says(shelf, today):
    cabinet, first, _second = shelf
    lot = ItemFactory(tag="P-0001", kind=Item.PARTS, place=first)
    PartLot.objects.create(item=lot, name="capacitor", value="4 mfd", least=12, most=15)
    HazardMark.objects.create(item=lot, hazard="PCB oil", standing="proposed", on=today)
    (box,) = box_lists([cabinet])
    assert box.things == 5
    (path, lines), (other, more) = box.parts
    assert (path, other) == ("1", "2") and len(more) == 1
    parts, tubes = lines
    assert (parts.count, parts.hazards) == ("12 to 15", ("PCB oil (not checked)",))
    assert (tubes.name, tubes.count, tubes.states) == ("ZZ6J5", "3", (("good", 1), ("untested", 2)))
    assert (tubes.count_text, parts.count_text, more[0].count_text) == ("3: 1 good, 2 untested", "12 to 15", "1 dud")
    assert tubes.tags == ("W-0000", "W-0001", "W-0002")
    assert box.hazards == ("PCB oil (not checked)",)


def test_a_list_is_stale_when_what_it_says_changed(shelf, keeper, today):
    cabinet, first, second = shelf
    record_prints(box_lists([cabinet, first, second]))
    assert stale_boxes() == []
    move(Item.objects.filter(tag="W-0000"), second, on=today, by=keeper)
    assert [row.box.place for row in stale_boxes()] == [cabinet, first, second]
    move(Item.objects.filter(tag="W-0000"), first, on=today, by=keeper)
    assert stale_boxes() == []
    tube = Item.objects.get(tag="W-0005").tube
    tube.state = "weak"
    change_tube(tube, by=keeper)
    assert [row.box.place for row in stale_boxes()] == [cabinet, second]
    move(Item.objects.filter(tag="W-0009"), PlaceFactory(), on=today, by=keeper)  # none of theirs
    assert len(stale_boxes()) == 2


def test_printing_is_recorded_and_the_rest_reprinted(as_helper, as_visitor, shelf, keeper, today):
    cabinet, _first, second = shelf
    page = reverse("holdings:place-contents", args=[cabinet.pk])
    assert "never printed" in as_helper.get(page).content.decode()
    printing = reverse("holdings:place-contents-print", args=[cabinet.pk])
    assert as_visitor.post(printing).status_code == 403 and not BoxPrint.objects.exists()
    assert as_helper.get(printing).status_code == 405
    answer = as_helper.post(printing, {"paper": "Letter", "each": "1"})
    assert is_pdf(answer) and page_count(answer) == 3
    assert BoxPrint.objects.count() == 3
    assert "still holds" in as_helper.get(page).content.decode()
    move(Item.objects.filter(tag="W-0005"), PlaceFactory(), on=today, by=keeper)
    assert "content changed" in as_helper.get(page).content.decode()
    lists = as_visitor.get(reverse("holdings:place-lists")).content.decode()
    assert second.path in lists and "Print all" not in lists
    again = reverse("holdings:place-lists-print")
    assert as_visitor.post(again).status_code == 403
    answer = as_helper.post(again, {"paper": "A4"})
    assert is_pdf(answer) and page_count(answer) == 2  # the cabinet and the emptied drawer
    assert stale_boxes() == []
    assert as_helper.post(again).status_code == 302


def test_a_page_printed_by_the_browser_counts(as_helper, shelf):
    place = shelf[1]
    answer = as_helper.post(reverse("holdings:place-contents-print", args=[place.pk]), {"by-browser": "1"})
    assert answer.status_code == 302
    assert BoxPrint.objects.get().place == place and stale_boxes() == []


def test_twice_the_boxes_take_no_more_questions(as_visitor, shelf):
    cabinet, _first, _second = shelf

    def grow():
        for number in range(20):
            place = PlaceFactory(parent=cabinet)
            TubeFactory(place=place, type=TubeTypeFactory(name=f"ZZ{number}"))
            ChassisFactory(place=place), PlugInUnitFactory(place=place), CompanionFactory(place=place)
        BoxPrint.objects.all().delete()
        for row in box_lists(cabinet.children.all()):
            BoxPrint.objects.create(place=row.place, digest="old")

    pages = [reverse("holdings:place-contents", args=[cabinet.pk]), reverse("holdings:place-lists")]
    grow()
    before = [asked(as_visitor, page) for page in pages]
    grow()
    assert [asked(as_visitor, page) for page in pages] == before


def test_a_full_box_goes_over_several_pages(shelf):
    """A thousand tags of one type are one row: it is split, not lost and not refused."""
    cabinet, first, _second = shelf
    kind = TubeTypeFactory(name="ZZ<b>&")
    Item.objects.bulk_create(Item(tag=f"X-{n:05d}", kind=Item.TUBE, place=first) for n in range(3000))
    from inventory.holdings.models import Tube

    Tube.objects.bulk_create(
        Tube(item=item, type=kind, marked="ZZ") for item in Item.objects.filter(tag__startswith="X-")
    )
    (box,) = box_lists([cabinet])
    pdf = box_pdf([(box, SITE)], paper="A4", printed="")
    assert pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") > 3


# --- the command ------------------------------------------------------------------------------------------------------


def test_the_command_writes_a_file(shelf, tmp_path, capsys):
    out = tmp_path / "labels.pdf"
    call_command("print_labels", "--place", "cabinet 1", "--out", str(out), "--site", SITE, "--json")
    assert out.read_bytes().startswith(b"%PDF-")
    assert '"labels": 4' in capsys.readouterr().out


@needs_pdftoppm
@pytest.mark.parametrize("given", ["--site", "SITE_URL"])
def test_the_codes_begin_with_the_site(shelf, tmp_path, settings, given):
    settings.SITE_URL = SITE + "/" if given == "SITE_URL" else "http://elsewhere.example"
    site = ["--site", SITE + "/"] if given == "--site" else []
    call_command("print_labels", "W-0001", "--out", str(tmp_path / "x.pdf"), *site, stdout=io.StringIO())
    (page,) = pages_of((tmp_path / "x.pdf").read_bytes(), tmp_path)
    assert decoded(page) == {f"{SITE}/tubes/W-0001/"}


@pytest.mark.parametrize(
    ("args", "text"),
    [
        (["--place", "nowhere"], "There is no place 'nowhere'"),
        (["Q-0001"], "Not in the collection: Q-0001"),
        (["W-0001", "--sheet", "a5"], "'a5' is no label sheet; expected a4-65"),
        (["W-0001", "--start", "99"], "labels 1 to 24; there is no 99"),
        (["W-0001", "--site", ""], "Say what the QR codes begin with"),
        (["W-0001", "--site", "museum"], "'museum' is no address to begin with; expected http:// or https://"),
        (["W-0001", "--site", "https://a b"], "is no address to begin with"),
        (["W-0001", "--out", "/nowhere/x.pdf"], "/nowhere/x.pdf cannot be written"),
        ([], "There is nothing to label"),
    ],
)
def test_the_command_says_what_is_wrong(shelf, tmp_path, args, text):
    site = [] if "--site" in args else ["--site", SITE]
    with pytest.raises(CommandError) as fault:
        call_command("print_labels", "--out", str(tmp_path / "x.pdf"), *args, *site)
    assert text in str(fault.value) and fault.value.returncode == 2
    assert not (tmp_path / "x.pdf").exists()
