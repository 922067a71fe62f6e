"""The pocket page and its saved copy: the questions of a swap meet (common practice, no source)."""

import json
import re
import shutil
from html import unescape

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import pocket_answer, saved_copy, serials_wanted
from inventory.frontpage.queries.pocket import cautions_for
from inventory.sets.models import SetModel
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tubes.models import TubeType
from tubes.rules.stamp import fold_key

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out]


class Meet:
    """Two sets of one model that call for three 6SN7GT each; some tubes; a drawer and a book missing."""

    def __init__(self):
        self.type = TubeTypeFactory(name="6SN7GT")
        self.model = SetModelFactory(name="Ostercape TX 5", caution="1,200 V on the cap", neutralizing=SetModel.IN_UNIT)
        self.positions = [
            PositionFactory(set_model=self.model, mark=f"V10{n}", type=self.type, role="audio") for n in (1, 2, 3)
        ]
        self.first = ChassisFactory(model=self.model, serial="0458")
        self.second = ChassisFactory(model=self.model, serial="01432")
        self.place = PlaceFactory(code="D7")
        for chassis, states in ((self.first, ("weak", "good", None)), (self.second, ("untested", "dud", "good"))):
            for position, state in zip(self.positions, states, strict=True):
                if state:
                    FittingFactory(position=position, chassis=chassis, tube=TubeFactory(type=self.type, state=state))
        TubeFactory(place=self.place)
        TubeFactory(place=self.place, marked="VT-231")
        TubeFactory(place=self.place, state="untested")
        TubeFactory(state="weak")
        TubeFactory(lent_to="R. Oddsworth")
        TubeFactory(gone_on="2020-01-01")
        drawer = UnitModelFactory(name="Ostercape drawer low", fits=[self.model])
        PlugInUnitFactory(model=drawer, serial="0458")
        book = CompanionKindFactory(set_model=self.model, name="calibration book")
        CompanionFactory(kind=book, mate_serial="01432")


@pytest.fixture
def meet(reference):
    return Meet()


@pytest.mark.parametrize("text", ["6SN7GT", "VT-231", "jan-chs-6sn7gt", "CV1988"])
def test_under_any_number(meet, today, text):
    """VT-231 is 6SN7GT in TM 11-487; CV1988 in the British common valve list (both rows of fixtures/reference)."""
    (match,) = pocket_answer(text, today).matches
    assert match.card.name == "6SN7GT" and match.stock.good == 2 and match.stock.untested == 1
    assert match.stock.places == (("D7", 2, 1),)


def test_empty_and_spent_positions_come_first(meet, today):
    (match,) = pocket_answer("6SN7GT", today).matches
    told = [(need.chassis, need.mark, need.state) for need in match.needs]
    assert told == [
        ("Ostercape TX 5 0458", "V103", "empty"),
        ("Ostercape TX 5 01432", "V102", "dud"),
        ("Ostercape TX 5 0458", "V101", "weak"),
        ("Ostercape TX 5 01432", "V101", "untested"),
        ("Ostercape TX 5 01432", "V103", "good"),
        ("Ostercape TX 5 0458", "V102", "good"),
    ]
    assert len(match.needy) == 3 and len(match.content) == 3
    assert match.cautions == (("Ostercape TX 5", "1,200 V on the cap"),)


def test_serials_that_would_match(meet, today):
    wanted = {(w.thing, w.serial) for w in serials_wanted(today)}
    assert wanted == {("Ostercape drawer low", "01432"), ("calibration book", "0458")}


def test_plain_sets_and_unread_plates_want_no_serial(today):
    plain = SetModelFactory(neutralizing=SetModel.NONE)
    unread = SetModelFactory(neutralizing=SetModel.IN_UNIT)
    UnitModelFactory(fits=[plain, unread])
    ChassisFactory(model=plain)
    ChassisFactory(model=unread, serial="", serial_reading="unreadable")
    assert serials_wanted(today) == []


def test_a_unit_without_a_readable_plate_may_be_the_one(meet, today):
    drawer = UnitModelFactory(name="Ostercape drawer high", fits=[meet.model])
    PlugInUnitFactory(model=drawer, serial="", serial_reading="unreadable")
    told = {(w.thing, w.serial): w.maybe_here for w in serials_wanted(today)}
    assert told["Ostercape drawer high", "0458"] and not told["Ostercape drawer low", "01432"]


@pytest.mark.parametrize(("text", "hits"), [("01432", 1), ("1432", 0), ("0458", 1), ("drawer low", 0)])
def test_a_serial_is_text(meet, today, text, hits):
    assert len(pocket_answer(text, today).fits) == hits


def test_the_name_of_a_unit_lists_its_serials(meet, today):
    assert [w.serial for w in pocket_answer("drawer low", today).wanted] == ["01432"]
    assert [w.serial for w in pocket_answer("Calibration book", today).wanted] == ["0458"]


def test_a_scanned_label_tells_the_thing_and_its_type(meet, as_visitor, today):
    tube = TubeFactory(place=meet.place, marked="VT-231")
    answer = pocket_answer(f"http://192.168.1.7:8000/tubes/{tube.tag}/", today)
    assert answer.item == tube.item and answer.matches[0].card.name == "6SN7GT"
    assert pocket_answer(meet.second.tag, today).wanted[0].serial == "01432"
    page = as_visitor.get("/pocket/", {"q": tube.tag.lower()}).content.decode()
    assert f"/tubes/{tube.tag}/" in page


def test_the_page_says_all_six(meet, as_visitor):
    text = page_text(as_visitor.get("/pocket/", {"q": "VT-231"}))
    for words in (
        "<strong>2</strong> good", "D7:", "V103: <strong>empty</strong>",
        "not on the want list", "1,200 V on the cap",
    ):  # fmt: skip
        assert words in text
    assert '<strong class="stamp">01432</strong>' in page_text(as_visitor.get("/pocket/", {"q": "drawer"}))
    assert "would match" in page_text(as_visitor.get("/pocket/", {"q": "01432"}))


def test_two_meanings_and_none(meet, as_visitor):
    text = as_visitor.get("/pocket/", {"q": "VT-60"}).content.decode()
    assert "More than one meaning" in text and ">850<" in text and ">807<" in text
    assert "Not known" in as_visitor.get("/pocket/", {"q": "QX-99881"}).content.decode()


def test_sunlight_is_remembered(as_visitor):
    assert "pocket--sun" not in as_visitor.get("/pocket/").content.decode()
    assert "pocket--sun" in as_visitor.get("/pocket/?sun=on").content.decode()
    assert "pocket--sun" in as_visitor.get("/pocket/").content.decode()
    assert "pocket--sun" not in as_visitor.get("/pocket/?sun=off").content.decode()


# --- the saved copy --------------------------------------------------------------------------------------------------


def copy_of(client, **asked):
    answer = client.get("/pocket/saved-copy/", {"file": "1"} | asked)
    assert answer.status_code == 200 and "attachment" in answer["Content-Disposition"]
    text = answer.content.decode()
    (inside,) = re.findall(r'<script id="data" type="application/json">(.*?)</script>', text, re.S)
    return text, json.loads(inside)


def test_the_copy_counts_as_the_page_does(meet, as_visitor, today):
    _, data = copy_of(as_visitor, places="1")
    stock = pocket_answer("6SN7GT", today).matches[0].stock
    row = next(row for row in data["types"] if "6SN7GT" in row["names"])
    assert row["counts"] == [
        stock.good, stock.untested, stock.weak, stock.dud, stock.fitted, stock.lent, stock.missed,
    ]  # fmt: skip
    assert row["places"] == [list(place) for place in stock.places]
    assert row["needs"][0] == ["Ostercape TX 5 0458", "V103", "empty"] and len(row["needs"]) == 3
    assert row["look"] == ["Ostercape TX 5: 1,200 V on the cap"]
    for mark in ("6SN7GT", "VT-231", "CV1988"):
        assert [data["types"][index]["names"] for index, _ in data["marks"][fold_key(mark)]] == [row["names"]]
    assert ["Ostercape drawer low", "01432", "Ostercape TX 5 01432", False] in data["wanted"]
    assert ["Ostercape TX 5", "0458", meet.first.tag] in data["sets"]


def test_all_meanings_of_a_mark_stand_together(meet, as_visitor):
    """VT-60: the 850 of the U.S. list, an 807 of the British one. Owning only one of them does not settle the mark."""
    TubeFactory(type=TubeTypeFactory(name="807"), marked="807")
    _, data = copy_of(as_visitor)
    meanings = [data["types"][m]["names"][0] if isinstance(m, int) else m for m, _ in data["marks"]["VT60"]]
    assert sorted(meanings) == ["807", "850"]


def test_places_are_left_out_unless_asked_for(meet, as_visitor):
    text, data = copy_of(as_visitor)
    assert "D7" not in text and all(row["places"] == [] for row in data["types"])
    assert "without places" in text
    assert "D7" in copy_of(as_visitor, places="1")[0]


def test_it_stands_alone(meet, as_visitor):
    text, _ = copy_of(as_visitor, places="1")
    for start in ("src=", "href=", "url(", "@import", "http:", "https:", "//"):
        assert start not in re.sub(r"\s//[^\n]*", "", text), start  # but for a comment of the script
    assert "default-src 'none'" in text and "<noscript>" in text and "2 hidden" not in text
    assert re.search(r"Pocket copy of \d{4}-\d\d-\d\d", text)


def test_the_list_below_serves_without_the_script(meet, as_visitor):
    """What the script hides is in the page as a table; a reader without scripts sees all of it."""
    text = unescape(copy_of(as_visitor, places="1")[0])
    table = " ".join(re.sub(r"<script.*?</script>|</?t[dh][^>]*>", " ", text, flags=re.S).split())
    assert "6SN7GT" in table and "D7: 2/1" in table and "Ostercape TX 5 0458 V103 empty" in table and "01432" in table


def test_what_was_typed_never_becomes_markup(as_visitor):
    nasty = "</script><script>alert(1)</script><img src=x onerror=alert(2)>"
    place = PlaceFactory(code=nasty[:20], path=nasty)
    TubeFactory(type=TubeTypeFactory(name="ZZ5", hazard=nasty), place=place)
    TubeFactory(type=None, marked=nasty)
    model = SetModelFactory(name=nasty, caution=nasty)
    ChassisFactory(model=model, serial=nasty[:40])
    PositionFactory(set_model=model, type=TubeTypeFactory(name="ZZ5"))
    text, data = copy_of(as_visitor, places="1")
    assert "<script>alert" not in text and "<img" not in text
    assert data["untyped"] == [[nasty, 1, ["without a place: 1"]]]


def test_only_for_those_logged_in(client, as_visitor):
    assert client.get("/pocket/saved-copy/?file=1").status_code == 302
    assert "Say where the tubes are" in as_visitor.get("/pocket/saved-copy/").content.decode()


@pytest.mark.growth
def test_more_tubes_and_sets_ask_no_more(meet, as_visitor, today):
    addresses = ["/pocket/", "/pocket/?q=6SN7GT", "/pocket/?q=drawer", "/pocket/saved-copy/?file=1&places=1"]
    before = [asked(as_visitor, address) for address in addresses]
    for number in range(10):
        chassis = ChassisFactory(model=meet.model, serial=f"8{number}")
        FittingFactory(position=meet.positions[0], chassis=chassis, tube=TubeFactory(state="dud"))
        TubeFactory(type=TubeTypeFactory(name=f"ZZ{number}"), place=PlaceFactory(code=f"W{number}"))
        UnitModelFactory(fits=[meet.model])
    assert [asked(as_visitor, address) for address in addresses] == before
    assert len(saved_copy(today, with_places=True)["types"]) >= 11


@pytest.mark.browser
def test_the_copy_answers_without_a_signal(meet, as_visitor, tmp_path):
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("no Chromium on this machine (Debian: apt-get install chromium)")
    play = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed (pip install .[test])")
    kept = TubeFactory(type=TubeTypeFactory(name="6AC7"), state="good", place=meet.place)
    TubeFactory(type=None, marked="6SN7 odd", place=meet.place)
    file = tmp_path / "copy.html"
    file.write_bytes(as_visitor.get("/pocket/saved-copy/?file=1&places=1").content)
    answers, begun, faults = {}, {}, []
    with play.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_context(offline=True, viewport={"width": 360, "height": 740}).new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto(file.as_uri())
        assert not page.locator("#list").is_visible()
        for text in ("vt 231", "JAN-CHS-6SN7GT", "6н8с", "VT-60", "01432", "QX-99881", "6Ж4", kept.tag.lower()):
            page.fill("#q", text)
            answers[text] = page.inner_text("#answer")
            page.press("#q", "Enter")
            assert page.inner_text("#answer") == answers[text], text
        page.fill("#q", "6SN")
        page.press("#q", "Enter")
        answers["6SN"] = page.inner_text("#answer")
        for text in ("6s", "vt-2", "014", "6"):
            page.fill("#q", text)
            begun[text] = page.inner_text("#answer")
        page.fill("#q", "6s")
        page.click("#answer button")
        assert page.input_value("#q") == "6SN7GT" and page.inner_text("#answer").startswith("6SN7GT")
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        plain = browser.new_context(java_script_enabled=False).new_page()
        plain.goto(file.as_uri())
        assert plain.locator("#list").is_visible()
        browser.close()
    for text in (
        "vt 231",
        "JAN-CHS-6SN7GT",
        "6н8с",
    ):  # 6Н8С: Soviet 6SN7GT (a row of fixtures/reference)
        assert answers[text].startswith("6SN7GT") and "2 good" in answers[text] and "V103: empty" in answers[text], text
    assert "You own none" in answers["QX-99881"]
    assert answers["6Ж4"].startswith("6AC7") and "1 good" in answers["6Ж4"]  # 6Ж4: Soviet 6AC7 (fixtures/reference)
    assert f"{kept.tag}: " in answers[kept.tag.lower()] and "good" in answers[kept.tag.lower()]
    assert "6SN7GT: 2 good" in answers["6SN"] and "6SN7 odd" in answers["6SN"] and "own none" not in answers["6SN"]
    assert "Would match your Ostercape TX 5 01432" in answers["01432"]
    assert all("6SN7GT: 2 good" in begun[text] for text in ("6s", "vt-2", "6")), begun  # VT-231 is a 6SN7GT
    assert "01432: Ostercape TX 5" in begun["014"] and not any("You own none" in text for text in begun.values())
    assert faults == []


def test_a_serial_of_something_here_is_found_digit_for_digit(db, today):
    """At a swap meet the question is whether one has it already; 01432 is not 1432."""
    unit = PlugInUnitFactory(serial="02209")
    assert [tag for _, tag, _ in pocket_answer("02209", today).here] == [unit.tag]
    assert pocket_answer("2209", today).here == ()


def test_a_tube_of_no_settled_type_is_not_denied(reference, as_visitor, today, capsys):
    """A mark of no known type, or of two, is on a tube here: the answer names that tube."""
    tube = TubeFactory(type=None, marked="RLX12P3;3", state="untested")
    answer = pocket_answer("RLX12P3", today)
    assert answer.untyped == (tube,) and not answer.nothing
    assert tube.tag in as_visitor.get("/pocket/", {"q": "RLX12P3"}).content.decode()
    call_command("lookup", "RLX12P3")
    told = capsys.readouterr().out
    assert tube.tag in told and "not in the collection" not in told


def test_a_mercury_rectifier_for_a_set_on_its_side_is_told(reference):
    """866A upright only: uli.de/tubes/866a.htm."""
    for name, ticks in (("Fallen PS 3", {"on_side": True}), ("Upright PS 3", {})):
        model = SetModelFactory(name=name, caution="", **ticks)
        PositionFactory(set_model=model, mark="V5", type=TubeType.objects.get(name="866A"))
        PositionFactory(set_model=model, mark="V1", type=TubeType.objects.get(name="6SN7GT"))
    against = ("Fallen PS 3", "Tubes lie on their side in this set: no mercury rectifier goes in.")
    assert cautions_for(["866A", "6SN7GT"]) == cautions_for() == {"866A": [against]}
