"""A tube that is good by the keeper's word and that its last tests speak against: named wherever it counts as good.

A shorted, gassy or rejected tube is not put to work unasked (common practice, no source); gas passes up to 3 divisions
(TM 11-6625-316-12). The keeper's word on the state stands: promised numbers stay as they are.
"""

import csv
import hashlib
import io
import json

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.frontpage.queries import (
    bench_report,
    look_up,
    pocket_answer,
    saved_copy,
    search_all,
    untyped_bearing,
)
from inventory.frontpage.wording.look_up import look_up_as_json
from inventory.holdings.actions.labels import record_prints
from inventory.holdings.models import Fact
from inventory.holdings.queries.labels import box_lists, stale_boxes
from inventory.sets.models import Fitting, Position
from tests.counting import cost
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
)
from tests.pages import page_text
from tests.running.rows import InstrumentFactory, TubeTestFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]
SPEAKS = [({"reading": 1700.0}, "reject"), ({"shorts": "found", "reading": None}, "shorted"), ({"gas": "6"}, "gas")]


class World:
    """A set with a place for a 6SN7GT, and tubes of that type that a test speaks for or against."""

    def __init__(self):
        self.kind = TubeType.objects.get(name="6SN7GT")
        self.position = PositionFactory(type=self.kind, mark="V3")
        self.chassis = ChassisFactory(model=self.position.set_model, serial="0417")
        self.instrument = InstrumentFactory()
        self.place = PlaceFactory(name="Shelf 3")

    def tube(self, cells=None, **more):
        tube = TubeFactory(**({"type": self.kind, "marked": "6SN7GT", "state": "good"} | more))
        said = {"reading": 2500.0, "minimum": 1800.0, "instrument": self.instrument}
        TubeTestFactory(tube=tube, **said | (cells or {}))
        return tube

    def fitted(self, cells=None, **more):
        return FittingFactory(chassis=self.chassis, position=self.position, tube=self.tube(cells, **more))


@pytest.fixture
def world():
    return World()


def commanded(capsys, *words):
    call_command(*words)
    return capsys.readouterr().out


@pytest.mark.parametrize(("cells", "word"), SPEAKS)
def test_fitting_asks(world, as_helper, today, cells, word):
    tube, good = world.tube(cells), world.tube()
    address = reverse("sets:tube-fit", args=[world.chassis.tag, world.position.pk])
    plain = as_helper.get(address, {"tube": good.tag})
    assert "in_doubt" not in plain.context["form"].fields
    shown = as_helper.get(address, {"tube": tube.tag})
    assert f"last test {word}" in page_text(shown) and "in_doubt" in shown.context["form"].fields
    sent = {"tube": tube.tag, "since": today, "seen": shown.context["form"]["seen"].value()}
    refused = as_helper.post(address, sent)
    assert refused.status_code == 422 and f"{tube.tag}: last test {word}" in page_text(refused)
    assert not Fitting.objects.exists()
    assert as_helper.post(address, sent | {"in_doubt": "on"}).status_code == 302
    row = Fitting.objects.get()
    assert row.tube == tube and f"last test {word}" in row.history.get().history_change_reason


def test_a_box_that_is_asked_for_is_there(world, as_helper, today, monkeypatch):
    """A test that is entered between what the page asks and what is written: its box comes with the refusal."""
    tube = world.tube({"shorts": "found", "reading": None})
    monkeypatch.setattr("inventory.sets.views.fitting.against_fitting", lambda tube: "")
    address = reverse("sets:tube-fit", args=[world.chassis.tag, world.position.pk])
    sent = {"tube": tube.tag, "since": today, "seen": as_helper.get(address).context["form"]["seen"].value()}
    refused = as_helper.post(address, sent)
    form = refused.context["form"]
    assert refused.status_code == 422 and "tick this box" in form.errors["in_doubt"][0]
    assert not form.non_field_errors() and 'name="in_doubt"' in refused.content.decode()
    assert "mercury_why" not in form.fields and list(form.fields)[-3:] == ["note", "until", "until_at"]


def test_the_list_of_a_place_counts_them_among_the_good(world, as_visitor):
    tubes = [world.tube(cells, item__place=world.place) for cells in (None, None, {"reading": 1700.0})]
    world.tube({"gas": "6"}, item__place=world.place, state="weak")  # not called good: its state says enough
    address = reverse("holdings:place-contents", args=[world.place.pk])
    counted = "4: 3 good (1 of them in doubt, last test: reject), 1 weak"
    assert counted in page_text(as_visitor.get(address))
    record_prints(box_lists([world.place]))
    assert stale_boxes() == []
    TubeTestFactory(tube=tubes[0], shorts="found", reading=None, instrument=world.instrument)
    (stale,) = stale_boxes()
    ((_path, (line,)),) = stale.box.parts
    assert line.count_text == "4: 3 good (2 of them in doubt, last test: 1 reject, 1 shorted), 1 weak"


def test_a_list_of_a_place_without_doubts_is_what_it_was(world):
    """So that lists printed before stay valid: what they say is put together as it was."""
    world.tube(item__place=world.place)
    (box,) = box_lists([world.place])
    plain = [
        (path, [[x.kind, x.name, x.count, x.states, x.tags, x.hazards] for x in lines]) for path, lines in box.parts
    ]
    assert box.digest == hashlib.sha256(json.dumps(plain, ensure_ascii=False).encode()).hexdigest()


@pytest.mark.parametrize(("cells", "word"), SPEAKS)
def test_the_list_that_is_taken_out_says_so(world, as_visitor, days_ago, cells, word):
    doubted, good = world.tube(cells), world.tube()
    answer = as_visitor.get("/lists/tubes/out/", {"as": "csv"})
    rows = {row["Tag"]: row for row in csv.DictReader(io.StringIO(answer.getvalue().decode()))}
    assert (rows[doubted.tag]["State"], rows[doubted.tag]["In doubt"]) == ("good", f"last test {word} ({days_ago(5)})")
    assert rows[good.tag]["In doubt"] == ""


@pytest.mark.parametrize(("cells", "word"), SPEAKS)
def test_the_set_says_so_on_every_page_of_it(world, as_visitor, capsys, cells, word):
    row = world.fitted(cells)
    page = page_text(as_visitor.get(reverse("sets:chassis", args=[world.chassis.tag])))
    assert f'<span class="mark mark--dud">last test: {word}</span>' in page
    sheet = page_text(as_visitor.get(reverse("pairing:on-air", args=[world.chassis.tag]), {"frequency": "3.6 Mc"}))
    assert f"In doubt: V3 {row.tube.tag} last test {word}" in sheet and f"last test: {word}</span>" in sheet
    told = json.loads(commanded(capsys, "on_air", world.chassis.tag, "--frequency", "3.6 Mc", "--json"))
    assert told["tubes_in_doubt"] == [{"position": "V3", "tag": row.tube.tag, "state": "good", "in_doubt": word}]
    assert f"In doubt: V3 {row.tube.tag}, last test {word}" in commanded(
        capsys, "on_air", world.chassis.tag, "--frequency", "3.6 Mc"
    )


def test_the_bench_report_names_them(world, as_visitor, capsys, days_ago):
    world.fitted()
    row = FittingFactory(chassis=ChassisFactory(model=world.chassis.model), tube=world.tube({"reading": 1700.0}))
    home = page_text(as_visitor.get("/"))
    assert "last test: reject</span>" in home and row.tube.tag in home
    assert "Every fitted tube is good" not in home
    text = commanded(capsys, "bench")
    assert "In use but in doubt: 1 tube" in text
    assert f"{row.tube.tag} 6SN7GT, good, last test reject ({days_ago(5)})" in text
    (told,) = json.loads(commanded(capsys, "bench", "--json"))["fitted_doubtful"]
    assert (told["tag"], told["state"], told["in_doubt"]) == (row.tube.tag, "good", "reject")
    assert told["in_doubt_on"] == str(days_ago(5))


def test_a_tube_that_is_called_weak_is_told_once_with_what_is_said_of_it(world, today):
    world.fitted({"reading": 1700.0}, state="weak")
    report = bench_report(today)
    assert report.doubtful_count == 1 and [f.tube.doubt.word for f in report.doubtful] == ["reject"]


def test_the_report_is_cut_with_the_number_of_all(world, today):
    for _ in range(3):
        FittingFactory(chassis=world.chassis, tube=world.tube({"gas": "6"}))
        FittingFactory(chassis=world.chassis, tube=world.tube(state="weak"))
    report = bench_report(today, 4)
    assert [f.tube.state for f in report.doubtful] == ["weak", "weak", "weak", "good"]
    assert report.doubtful_count == 6


def test_look_up_and_api_tell_how_many_of_the_good_ones(world, as_visitor, capsys):
    world.tube(), world.tube({"reading": 1700.0})
    told = look_up_as_json(look_up("6SN7GT"))["matches"][0]["owned"]
    assert told["good"] == 2 and told["good_in_doubt"] == 1
    assert told["in_doubt_words"] == "1 of them in doubt, last test: reject"
    assert as_visitor.get("/api/lookup", {"text": "6SN7GT"}).json()["matches"][0]["owned"]["good_in_doubt"] == 1
    for address in ("/look-up/?q=6SN7GT", "/types/6SN7GT/"):
        assert "1 of them in doubt, last test: reject" in page_text(as_visitor.get(address)), address
    assert "of the good ones 1 in doubt, last test: reject" in commanded(capsys, "lookup", "6SN7GT")
    rows = as_visitor.get("/api/tubes", {"type": "6SN7GT"}).json()["tubes"]
    assert sorted(row.get("in_doubt", "") for row in rows) == ["", "reject"]
    assert "last test: reject</span>" in page_text(as_visitor.get("/tubes/"))


def test_nothing_is_added_where_nothing_is_said(world, as_visitor):
    world.tube()
    assert set(look_up_as_json(look_up("6SN7GT"))["matches"][0]["owned"]) == {
        "good", "untested", "weak", "dud", "fitted",
    }  # fmt: skip
    assert "in_doubt" not in as_visitor.get("/api/tubes").json()["tubes"][0]


def test_the_pocket_page_and_the_saved_copy_tell_it(world, as_visitor, today):
    tube = world.tube({"shorts": "found", "reading": None})
    world.tube()
    row = world.fitted({"reading": 1700.0})
    words = "1 of them in doubt, last test: shorted"
    (match,) = (one for one in pocket_answer("6SN7GT", today).matches if one.card.name == "6SN7GT")
    assert (match.stock.good, match.stock.said.told) == (2, words)
    assert [(need.state, need.told) for need in match.needy] == [("good", "good, last test: reject")]
    page = page_text(as_visitor.get("/pocket/", {"q": "6SN7GT"}))
    assert words in page and "good, last test: reject" in page
    assert "last test: reject</span>" in page_text(as_visitor.get("/pocket/", {"q": row.tube.tag}))
    copy = saved_copy(today, with_places=True)
    (told,) = (one for one in copy["types"] if "6SN7GT" in one["names"])
    assert told["said"] == words and told["counts"][0] == 2
    assert told["needs"] == [[str(world.chassis), "V3", "good, last test: reject"]] and told["content"] == 0
    assert "last test shorted" in copy["tags"][tube.tag][1]


def test_what_fits_tells_it(world, as_visitor, capsys):
    world.tube({"gas": "6"}, type=TubeType.objects.get(name="6SN7WGT"), marked="6SN7WGT")
    words = "1 of them in doubt, last test: gas"
    page = page_text(as_visitor.get(reverse("sets:position", args=[world.position.pk])))
    assert page.count(words) == 2 and f"1 good on the shelf, <strong>{words}</strong>" in page  # screen, and paper
    found = json.loads(commanded(capsys, "substitutes", "6SN7GT", "--json"))["candidates"]
    (told,) = (one for one in found if one["type"] == "6SN7WGT")
    assert (told["owned_good"], told["good_in_doubt"], told["in_doubt_words"]) == (1, 1, words)
    assert f"1 good on the shelf ({words})" in commanded(capsys, "substitutes", "6SN7GT")
    (near,) = (one for one in look_up("6SN7GT").matches[0].good_relatives if one.type == "6SN7WGT")
    assert near.said.told == words


def test_tubes_of_no_settled_type_are_told_too(world, as_visitor):
    world.tube({"gas": "6"}, type=None, marked="6SN7GTY")
    words = "1 of them in doubt, last test: gas"
    match = look_up("6SN7GT").matches[0]
    assert [one.said.told for one in match.good_relatives if one.type == "6SN7GTY"] == [words]
    assert look_up("6SN7GTY").told[0].stock.said.told == words
    assert words in page_text(as_visitor.get(reverse("sets:position", args=[world.position.pk])))


@pytest.mark.growth
def test_ten_or_twenty_ask_the_same_number_of_questions(world, as_visitor, today):
    asked = [
        "/", "/look-up/?q=6SN7GT", "/pocket/?q=6SN7GT", "/types/6SN7GT/", "/tubes/", "/api/tubes", "/api/bench",
        reverse("sets:chassis", args=[world.chassis.tag]),
        reverse("sets:position", args=[world.position.pk]),
        reverse("pairing:on-air", args=[world.chassis.tag]) + "?frequency=3.6+Mc",
        reverse("holdings:place", args=[world.place.pk]),
        reverse("holdings:place-contents", args=[world.place.pk]),
    ]  # fmt: skip

    def grow():
        for cells in [cells for cells, _ in SPEAKS] * 4:
            world.tube(cells, item__place=world.place)
            world.tube(cells, type=None, marked="6SN7GTY")
            Position.objects.create(
                set_model=world.chassis.model, mark=f"V1{Position.objects.count()}", type=world.kind
            )
            FittingFactory(chassis=world.chassis, position=Position.objects.latest("pk"), tube=world.tube(cells))

    def count():
        with CaptureQueriesContext(connection) as caught:
            for address in asked:
                assert as_visitor.get(address).status_code == 200
            saved_copy(today, with_places=True)
        return len(caught)

    grow()
    count()
    before = count()
    grow()
    count()  # levels of prices are made anew after a change of the register
    assert count() == before


@pytest.mark.parametrize(("cells", "word"), SPEAKS)
def test_the_look_up_of_a_tag_says_in_which_set_it_is_and_what_its_last_test_says(
    world, as_visitor, as_helper, capsys, days_ago, cells, word
):
    tube = world.fitted(cells).tube
    stands = f"in {world.chassis} V3"
    words = f"tube, 6SN7GT, {stands}, last test {word} ("
    (found,) = as_visitor.get("/api/lookup", {"text": tube.tag}).json()["found"]
    (row,) = found["rows"]
    assert row["words"].startswith(words) and row["in_doubt"] == word
    assert json.loads(commanded(capsys, "lookup", tube.tag, "--json"))["found"] == [found]
    assert f"{tube.tag}: {words}" in commanded(capsys, "lookup", tube.tag)
    assert words in page_text(as_visitor.get("/look-up/", {"q": tube.tag}))
    assert f"Move {tube.tag}, now {stands}" in page_text(as_helper.get(f"/things/{tube.tag}/move/"))


def test_the_look_up_of_a_unit_names_its_bay_and_a_tube_on_the_shelf_its_place(world, as_helper):
    unit = PlugInUnitFactory(serial="77-B")
    SeatingFactory(chassis=world.chassis, unit=unit, bay=BayFactory(set_model=world.chassis.model, mark="B1"))
    for text in (unit.tag, "77-B"):
        (found,) = search_all(text)
        assert f"sits in {world.chassis}, bay B1" in found.rows[0].words and "no place" not in found.rows[0].words
    assert f"now sits in {world.chassis}, bay B1" in page_text(as_helper.get(f"/things/{unit.tag}/move/"))
    shelf, loose = world.tube(), world.tube(item__place=world.place)
    told = [search_all(tube.tag)[0].rows[0] for tube in (shelf, loose)]
    assert [row.words for row in told] == ["tube, 6SN7GT, no place", f"tube, 6SN7GT, {world.place.path}"]
    assert [row.in_doubt for row in told] == ["", ""]


def test_an_untyped_tube_in_a_set_is_told_there(world, capsys):
    fitting = world.fitted(type=None, marked="Q 88 X")
    assert f"{fitting.tube.tag} marked Q 88 X, good, in {world.chassis} V3" in commanded(capsys, "lookup", "Q 88 X")


@pytest.mark.growth
def test_tubes_in_sets_that_are_found_ask_no_more_for_more(world):
    def grown(count):
        for _ in range(count):
            tube = world.tube({"reading": 1700.0}, type=None, marked="Q 88 X")
            FittingFactory(chassis=ChassisFactory(model=world.chassis.model), position=world.position, tube=tube)
            Fact.objects.create(item=tube.item, about="number", text="K-9")
        assert all(" V3, last test reject" in row.words for row in search_all("K-9")[0].rows)
        return cost(lambda: (search_all("K-9"), untyped_bearing("Q 88 X")))

    assert grown(10) == grown(10)
