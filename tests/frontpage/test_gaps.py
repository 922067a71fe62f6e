"""Which figures are missing here, and how a sheet that is typed in fills them: command, page, form, judge, archive.

The invented tube ZZ9 stands for one of which no table knows anything; 807, 6.3 V: fixtures/reference/ratings.csv.
"""

import pytest
from django.urls import reverse

from inventory.frontpage.queries.gaps import reference_gaps
from inventory.holdings.models import Want
from tests.commands import answer_of, told
from tests.counting import asked
from tests.factories import PositionFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tubes.actions import drop_rating, save_sheet, text_named
from tubes.models import KEEPER, TABLE, Basing, Rating, Source, TubeType
from tubes.queries.gaps import own_otherwise
from tubes.queries.handbook import handbook_of
from tubes.queries.judging import court
from tubes.queries.reference import held_against
from tubes.rules.judge_parts import Conditions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
GAPS = "/types/gaps/"
SHEET = {"title": "Harbour sheet 12", "page": "3", "dated": "1943"}
FULL = SHEET | {
    "kind": "triode", "cathode": "oxide-indirect", "base": "octal", "pins": "2=H 3=P 5=G1 7=H  8=K", "cap": "none",
    "heater_v": "6,3 V", "heater_a": "300 mA", "plate_v_max": "0.3 kV", "plate_w_max": "2.5", "mu": "20",
    "gm_umho": "2.6 mA/V",
}  # fmt: skip


@pytest.fixture
def unknown():
    return TubeTypeFactory(name="ZZ9")


def figures(name="ZZ9"):
    return reverse("tubes:rating-write", args=[name])


def test_what_is_lacking_most_stands_first(unknown):
    TubeFactory(type=unknown)
    TubeFactory(type=unknown, gone_on="2026-01-02")
    other = TubeTypeFactory(name="ZZ8")
    PositionFactory(type=other)
    Want.objects.create(type=TubeTypeFactory(name="ZZ7"), since="2026-01-02")
    known = TubeType.objects.get(name="6SN7GT")
    TubeFactory(type=known)
    answer, _ = answer_of("reference_gaps")
    assert [(one["type"], one["positions"], one["owned"], one["wanted"]) for one in answer] == [
        ("ZZ8", 1, 0, 0), ("ZZ9", 0, 1, 0), ("ZZ7", 0, 0, 1),
    ]  # fmt: skip
    assert list(answer[0])[:4] == ["type", "owned", "positions", "lacking"]
    assert answer[0]["lacking"][:4] == ["kind", "cathode", "heater_v", "heater_a"]
    assert "ZZ8: 1 positions, 0 owned, 0 wanted; lacking kind" in told("reference_gaps")
    every, _ = answer_of("reference_gaps", "--all")
    assert len(every) > 100 and {"ZZ7", "2J32"} <= {one["type"] for one in every}


def test_a_house_that_lacks_nothing_says_so():
    assert answer_of("reference_gaps")[0] == [] and "No type" in told("reference_gaps")


def test_a_sheet_typed_in_fills_the_gap_and_the_judge_goes_by_it(unknown, as_keeper):
    TubeFactory(type=unknown)
    assert [gap.type for gap in reference_gaps()] == ["ZZ9"]
    page = as_keeper.get(figures())
    assert "Kind, cathode, heater volts" in page_text(page)
    done = as_keeper.post(figures(), FULL, follow=True)
    assert "Your figures of ZZ9 are written" in page_text(done)
    assert reference_gaps() == []
    row = Rating.objects.get(type=unknown, origin=KEEPER)
    assert (row.heater_v, row.heater_a, row.plate_v_max, row.gm_umho) == (6.3, 0.3, 300, 2600)
    text = Source.objects.get(title="Harbour sheet 12")
    assert (text.origin, text.location, text.year) == (KEEPER, "3", "1943")
    assert {(one.source, one.grade) for one in row.sources.all()} == {(text, "stated")}
    drawn = Basing.objects.get(origin=KEEPER)
    assert (row.basing, drawn.pins, drawn.socket, drawn.source) == (drawn.code, "2=H 3=P 5=G1 7=H 8=K", "octal", text)
    found = court().judge("6J5", "ZZ9", Conditions())
    assert found.verdict == "fits", found.as_dict()
    assert f"candidate: {text.key}" in found.of("heater voltage").source
    assert found.as_dict()["findings"][0]["candidate_grade"] == "own"


def test_a_second_type_of_the_same_text_makes_no_second_text(unknown, as_keeper, keeper):
    as_keeper.post(figures(), FULL)
    other = TubeTypeFactory(name="ZZ8")
    as_keeper.post(figures(other.name), SHEET | {"heater_v": "6.3"})
    assert Source.objects.filter(title="Harbour sheet 12").count() == 1
    assert text_named("harbour  sheet 12", "4", "1943", by=keeper).key == "own-harbour-sheet-12-2"
    there = Source.objects.filter(origin=TABLE).exclude(location="").first()
    assert text_named(there.title, by=keeper) == there


def test_where_the_tables_say_otherwise_both_are_told(as_keeper):
    done = as_keeper.post(figures("807"), SHEET | {"heater_v": "6.6"}, follow=True)
    text = page_text(done)
    assert "heater, V 6.6, the tables 6.3" in text and "the tables: 6.3" in text
    assert court()["807"].numbers["heater_v"].value == 6.6
    assert Rating.objects.get(type__name="807", origin=TABLE).heater_v == 6.3
    (one,) = own_otherwise()["807"]
    assert (one.own, one.tables) == (6.6, 6.3)
    assert [told["field"] for told in held_against()["own_otherwise"] if told["why"]] == ["heater_v"]
    assert "own: 807 heater_v 6.6, the tables say 6.3" in told("check_reference")


def test_what_agrees_with_the_tables_is_not_told(as_keeper):
    done = as_keeper.post(figures("807"), SHEET | {"heater_v": "6.3"}, follow=True)
    assert "Where the tables say otherwise" not in page_text(done) and own_otherwise() == {}


@pytest.mark.parametrize(
    ("cells", "field", "words"),
    [
        ({"heater_v": "6.3 A"}, "heater_v", "expected"),
        ({"heater_a": "six"}, "heater_a", "expected"),
        ({"pins": "1=X"}, "pins", "no electrode"),
        ({"pins": "1=H 2=K 7=H", "basing": "8BD"}, "pins", "The tables draw 8BD as"),
        ({"pins": "1=H 2=K 7=H"}, "base", "write it"),
        ({"heater_v": "6.3", "title": ""}, "title", "Name the text"),
        ({"running": "150"}, "running", "together"),
        ({"kind": "lamp"}, "kind", "valid choice"),
        ({}, "__all__", "Not one figure"),
    ],
)
def test_what_is_wrong_on_the_form_is_told_beside_it(unknown, as_keeper, snapshot, cells, field, words):
    before = snapshot()
    answer = as_keeper.post(figures(), SHEET | cells)
    assert answer.status_code == 422
    assert words in str(answer.context["form"].errors[field]) and snapshot() == before


def test_own_figures_are_struck_out_with_a_reason(unknown, as_keeper, as_helper):
    as_keeper.post(figures(), FULL)
    drop = reverse("tubes:rating-drop", args=["ZZ9"])
    assert as_helper.post(drop, {"why": "misread"}).status_code == 403
    assert "Write why" in page_text(as_keeper.post(drop, {"why": " "}, follow=True))
    assert "struck out" in page_text(as_keeper.post(drop, {"why": "sheet of another tube"}, follow=True))
    assert not Rating.objects.filter(origin=KEEPER).exists() and not Basing.objects.filter(origin=KEEPER).exists()
    last = Rating.history.first()
    assert (last.history_type, last.history_change_reason, last.heater_v) == ("-", "sheet of another tube", 6.3)
    assert as_keeper.post(drop, {"why": "again"}).status_code == 404


def test_figures_of_the_tables_are_not_struck_out(keeper):
    with pytest.raises(Exception, match="stay"):
        drop_rating(Rating.objects.get(type__name="807", origin=TABLE), reason="no", by=keeper)


def test_a_diagram_that_others_stand_on_is_not_redrawn(unknown, as_keeper):
    as_keeper.post(figures(), FULL | {"basing": "Z1"})
    other = TubeTypeFactory(name="ZZ8")
    pinned = SHEET | {"base": "octal", "basing": "Z1"}
    assert as_keeper.post(figures("ZZ8"), pinned | {"pins": "2=H 3=P 5=G1 7=H 8=K"}).status_code == 302
    answer = as_keeper.post(figures(), FULL | {"basing": "Z1", "pins": "1=H 3=P 5=G1 7=H 8=K", "seen": "x"})
    assert answer.status_code == 422
    row = Rating(type=other, origin=KEEPER, basing="Z1", base="octal")
    with pytest.raises(Exception, match="Other types stand on"):
        save_sheet(row, title="Harbour sheet 12", pins="1=H 3=P 7=H", by=None)


def test_the_page_ranks_and_narrows(unknown, as_keeper, as_visitor):
    TubeFactory(type=unknown)
    rectifier = TubeTypeFactory(name="ZZ8")
    Rating.objects.create(type=rectifier, origin=KEEPER, kind="rectifier")
    TubeFactory(type=rectifier)

    def shown(**sent):
        return [gap.type for gap in as_keeper.get(GAPS, sent).context["page"].object_list]

    assert shown() == ["ZZ8", "ZZ9"]
    assert shown(text="zz9") == ["ZZ9"] and shown(kind="unknown") == ["ZZ9"] and shown(kind="rectifier") == ["ZZ8"]
    assert shown(lacking="wave") == ["ZZ8"] and shown(text="nothing") == []
    assert len(shown(every="on")) == 50
    assert "Type a sheet in" in page_text(as_keeper.get(GAPS)) and "Type a sheet in" not in page_text(
        as_visitor.get(GAPS)
    )
    assert GAPS in as_visitor.get("/types/").content.decode()
    assert "All that is missing" in page_text(as_visitor.get("/types/ZZ9/"))


def test_twice_the_types_take_no_more_questions(as_keeper):
    def grow(first):
        for number in range(10):
            TubeFactory(type=TubeTypeFactory(name=f"ZZ{first + number}"))

    grow(100)
    before = asked(as_keeper, GAPS)
    grow(200)
    assert asked(as_keeper, GAPS) == before


def test_a_zero_bias_tube_is_called_so_on_its_page(as_visitor):
    assert "Zero-bias class B" in page_text(as_visitor.get("/types/838/"))
    assert "Zero-bias class B" not in page_text(as_visitor.get("/types/211/"))


def test_cutoff_is_a_figure_with_its_grade_and_text(as_visitor):
    (match,) = answer_of("lookup", "6SK7")[0]["matches"]
    told_of = {one["figure"]: one for one in match["figures"]}
    assert told_of["cutoff"]["value"] == "remote" and told_of["cutoff"]["grade"] and told_of["cutoff"]["source"]
    assert "Grid cutoff" in page_text(as_visitor.get("/types/6SK7/")) or "grid cutoff" in page_text(
        as_visitor.get("/types/6SK7/")
    )


def test_a_type_of_the_handbook_alone_shows_its_figures(as_visitor, as_keeper):
    """avo-vdm23: EL33 6.3 V, octal; what the page shows is what look-up and judge go by, before and after a sheet."""
    assert "No figures in the tables" not in page_text(as_visitor.get("/types/EL33/"))
    as_keeper.post(figures("EL33"), SHEET | {"heater_a": "0.9"})
    cells = {one.field: one for one in as_visitor.get("/types/EL33/").context["card"].figures}
    assert (cells["heater_v"].value, cells["base"].value, cells["heater_a"].value) == (6.3, "octal", 0.9)
    assert (cells["heater_v"].grade, cells["heater_a"].grade) == ("handbook", "own") and cells["base"].texts
    assert own_otherwise() == {}


def test_an_own_slip_against_the_handbook_is_told_and_throws_no_row_away(as_keeper):
    """avo-vdm23: EL33 6.3 V; 13 V is the slip."""
    done = as_keeper.post(figures("EL33"), SHEET | {"heater_v": "13"}, follow=True)
    text = page_text(done)
    assert "heater, V 13, the tables 6.3 (from a handbook of tests)" in text
    assert "13 by your own figures, 6.3 in the handbook" in text and "another tube of this number" not in text
    told_of = handbook_of("EL33")
    assert told_of.rows and not told_of.others
    (one,) = own_otherwise()["EL33"]
    assert (one.field, one.own, one.tables) == ("heater_v", 13, 6.3)
    assert "own: EL33 heater_v 13.0, the tables say 6.3" in told("check_reference")


def test_an_own_figure_makes_no_row_of_another_tube(as_keeper):
    """6SN7GT is 6.3 V by tables and handbook alike; an own 12 V changes nothing of whose row it is."""
    as_keeper.post(figures("6SN7GT"), SHEET | {"heater_v": "12"})
    told_of = handbook_of("6SN7GT")
    assert told_of.rows and not told_of.others
    assert [(one.field, one.own) for one in told_of.said if not one.agrees] == [("heater_v", True)]
    against = [one for one in held_against()["handbook"] if one["type"] == "6SN7GT"]
    assert [(one["ours"], one["theirs"]) for one in against] == [(12.0, 6.3)] and against[0]["why"]


def test_an_own_diagram_that_the_tables_draw_otherwise_by_now_is_told(as_visitor):
    """8BD of the tables (basings.csv) against one that was the keeper's own under that code before they had it."""
    source = Source.objects.first()
    Basing.objects.create(code="8BD", socket="octal", pins="1=H 2=K 8=H", source=source, origin=KEEPER)
    (one,) = own_otherwise()["6SN7GT"]
    assert (one.field, one.own) == ("basing", "drawn 1=H 2=K 8=H") and one.tables.startswith("drawn 1=G")
    assert "own: 6SN7GT basing drawn 1=H 2=K 8=H" in told("check_reference")
    assert "the tables: drawn 1=G" in page_text(as_visitor.get("/types/6SN7GT/"))
