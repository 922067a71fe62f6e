"""What fits in a position instead, by page, command and API; approvals; the judgement before a tube is fitted."""

import json
from html import unescape
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.running.models import MatchedSet, MatchedTube
from inventory.sets.actions import drop_approval, save_approval, save_position
from inventory.sets.models import Approval, Fitting, Position
from inventory.sets.queries.sockets import Served, conditions_of, served_by, sockets_here
from inventory.sets.queries.substitutes import judged_before_fitting, substitutes_of, tube_tagged, where_it_serves
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    SetModelFactory,
    SourceFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.pages import page_text, seen_at
from tests.running.rows import TubeTestFactory
from tubes.models import Designation, Rating
from tubes.queries.judging import court
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, UNSUITABLE, VERDICTS, Conditions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def run(*arguments):
    out = StringIO()
    call_command("substitutes", *arguments, "--json", stdout=out)
    return json.loads(out.getvalue())


def refusal(*arguments):
    with pytest.raises(CommandError) as fault:
        call_command("substitutes", *arguments, "--json", stdout=StringIO())
    assert fault.value.returncode == 2 and "\n" not in str(fault.value)
    return str(fault.value)


def kind(name):
    return TubeTypeFactory(name=name)


@pytest.fixture
def position():
    """A speech amplifier of an invented transmitter that wants a 6SN7GT."""
    model = SetModelFactory(name="Ostercape TX 5", neutralizing="chassis")
    return PositionFactory(set_model=model, mark="V109", type=kind("6SN7GT"), plate_v=180, plate_w=1.2, heater_v=6.3)


@pytest.fixture
def approve(keeper, days_ago):
    def written(position, name, verdict="approved", **more):
        row = Approval(position=position, type=kind(name), verdict=verdict, on=days_ago(9), source="letter", **more)
        return save_approval(row, today=days_ago(0), by=keeper)

    return written


# --- the command -----------------------------------------------------------------------------------------------------


@pytest.mark.worked_out
def test_the_contract_of_the_command():
    answer = run("6SN7GT")
    assert list(answer) == ["wanted", "candidates"] and answer["wanted"] == "6SN7GT"
    for one in answer["candidates"]:
        assert {"type", "verdict", "owned_good", "findings"} <= set(one)
        assert one["verdict"] in VERDICTS and one["type"] != "6SN7GT"
        for finding in one["findings"]:
            assert list(finding)[:7] == ["check", "verdict", "wanted", "candidate", "limit", "text", "source"]
    ranks = [VERDICTS.index(one["verdict"]) for one in answer["candidates"]]
    assert ranks == sorted(ranks) and len(ranks) > 200


@pytest.mark.worked_out
def test_owned_good_ones_stand_first_within_a_verdict():
    places = [one["type"] for one in run("6SN7GT")["candidates"] if one["verdict"] == "unsuitable"]
    late = places[-1]
    TubeFactory(type=kind(late))
    TubeFactory(type=kind(late), state="dud")
    FittingFactory(position=PositionFactory(type=kind(late)))
    TubeFactory(type=kind(late), lent_to="R. Oddsworth")
    rows = [one for one in run("6SN7GT")["candidates"] if one["verdict"] == "unsuitable"]
    assert (rows[0]["type"], rows[0]["owned_good"]) == (late, 1)
    assert not any(one["owned_good"] for one in rows[1:])


@pytest.mark.worked_out
def test_a_stranger_of_which_nothing_is_known_is_not_listed():
    """ZZ49: no figures anywhere. Gas regulators and power pentodes are no answer, however many are owned."""
    for name in ("0D3", "0A2", "6F6", "6AK6"):
        TubeFactory(type=kind(name))
    kind("ZZ49")
    assert run("ZZ49")["candidates"] == []
    made = kind("ZZ50")  # a kin of it, not owned
    Designation.objects.create(
        type=made, scheme="maker", designation="ZZ49", relation="variant", note="metal base", source=SourceFactory()
    )
    assert [(one["type"], one["verdict"]) for one in run("ZZ49")["candidates"]] == [("ZZ50", "not known")]


@pytest.mark.worked_out
def test_kin_stands_before_strangers_where_nothing_is_known():
    """6H6: the tables lack its peak plate voltage, so strangers are not known; its glass forms are with care."""
    TubeFactory(type=kind("6AL5"))
    found = run("6H6")["candidates"]
    names = [one["type"] for one in found]
    assert {"6H6GT", "6H6G"} <= set(names[:2]) and all(one["verdict"] == "with care" for one in found[:2])
    assert names.index("6AL5") > 1
    unknown = [one for one in found if one["verdict"] == "not known"]
    kin = [any(f["check"] == "kinship" for f in one["findings"]) for one in unknown]
    assert kin == sorted(kin, reverse=True)


@pytest.mark.worked_out
@pytest.mark.parametrize("wanted", ["6SK7", "6BA6", "12SK7"])
def test_no_power_pentode_is_offered_for_an_if_stage(wanted):
    offered = {one["type"] for one in run(wanted)["candidates"] if one["verdict"] != "unsuitable"}
    assert not offered & {"6F6", "6K6GT", "6AK6", "EL84", "6V6", "6V6G", "6AQ5", "12A6", "0D3", "0A2"}


@pytest.mark.worked_out
def test_forms_count_for_the_sockets_of_their_type():
    """6SK7MG: a glass form of the 6SK7, whose figures it takes; each socket of a 6SK7 takes it with care."""
    house(("6SK7", 3, {}), ("6J5", 2, {"tuned": True}), ("6J5", 1, {"neutralized": True}))
    for _ in range(2):
        TubeFactory(type=kind("6SK7MG"))
    (one,) = [c for c in run("6SK7")["candidates"] if c["type"] == "6SK7MG"]
    assert (one["verdict"], one["owned_good"], one["sockets_served"]) == ("with care", 2, {"fits": 0, "with care": 3})
    assert {"check": "kind", "type": "6SK7MG", "from": "6SK7"} in one["taken_from"]
    served = served_by(["6J5GT", "6SK7MG"], court(), sockets_here())
    assert served == {"6J5GT": Served(0, 3), "6SK7MG": Served(0, 3)}
    services, _ = where_it_serves("6J5GT", court(), sockets_here())
    assert [one.judgement.verdict for one in services] == ["with care", "with care"]


@pytest.mark.worked_out
def test_a_number_of_the_wanted_type_does():
    assert run("VT-231")["wanted"] == run("6sn7gt")["wanted"] == "6SN7GT"


@pytest.mark.worked_out
def test_the_same_tube_under_another_name_is_owned_too():
    """6CA7 and EL34 are one tube (the tables say same): a good one of either counts for both."""
    TubeFactory(type=kind("EL34"))
    found = {one["type"]: one["owned_good"] for one in run("6L6")["candidates"]}
    names = court().known.kin.same_as("EL34") & set(found)
    assert names and all(found[name] == 1 for name in names)


@pytest.mark.worked_out
def test_a_position_gives_its_type_and_its_values(position):
    answer = run("--position", " ostercape tx 5:v109 ")
    assert answer["wanted"] == "6SN7GT"
    (one,) = [c for c in answer["candidates"] if c["type"] == "6SL7GT"]
    plate = next(f for f in one["findings"] if f["check"] == "plate voltage")
    assert plate["wanted"] == 180  # not the 300 V that a 6SN7GT is rated for


@pytest.mark.worked_out
def test_options_stand_before_the_values_of_the_position(position):
    def voltage(*more):
        (one,) = [c for c in run("--position", "Ostercape TX 5:V109", *more)["candidates"] if c["type"] == "6SL7GT"]
        return next(f for f in one["findings"] if f["check"] == "plate voltage")

    assert voltage()["verdict"] == "fits"
    assert (voltage("--plate-v", "900")["wanted"], voltage("--plate-v", "900")["verdict"]) == (900, "unsuitable")


@pytest.mark.worked_out
def test_options_narrow():
    """12SN7GT is the 12.6 V form (6SN7GT data sheet): not on 6.3 V, right where the place gives 12.6 V."""

    def heater(*more):
        (one,) = [c for c in run("6SN7GT", *more)["candidates"] if c["type"] == "12SN7GT"]
        return next(f["verdict"] for f in one["findings"] if f["check"] == "heater voltage")

    assert heater() != "fits"
    assert heater("--supply-v", "12.6 V") == "fits"


def test_ticks_of_the_set_model_count_in_its_positions(as_keeper):
    """Mercury wants its filament warm first and stands upright (uli-866a): two ticks of the model say what it gives."""
    model = SetModelFactory(name="Mullock PS 2")
    place = PositionFactory(set_model=model, mark="V2", type=kind("3B28"))

    def mercury():
        (one,) = [c for c in run("--position", "Mullock PS 2:V2")["candidates"] if c["type"] == "866A"]
        return one["verdict"]

    assert mercury() == "with care"
    cells = {"name": model.name, "kind": "power unit", "neutralizing": model.neutralizing}
    address = reverse("sets:model-change", args=[model.pk])
    for tick in ("switched_together", "on_side"):
        answer = as_keeper.post(address, cells | {tick: "on"} | seen_at(as_keeper, address))
        assert answer.status_code == 302 and mercury() == "unsuitable"
    change = reverse("sets:position-change", args=[place.pk])
    sent = {"mark": "V2", "type": "807", "screen_w": "2.5"} | seen_at(as_keeper, change)
    assert as_keeper.post(change, sent).status_code == 302
    place.refresh_from_db()
    assert (place.screen_w, conditions_of(place).screen_w, conditions_of(place).on_side) == (2.5, 2.5, True)


@pytest.mark.worked_out
def test_another_type_may_be_asked_for_in_a_position(position):
    assert run("6SL7GT", "--position", "Ostercape TX 5:V109")["wanted"] == "6SL7GT"


@pytest.mark.worked_out
def test_no_more_than_asked_for():
    assert run("6SN7GT", "--limit", "3")["candidates"] == run("6SN7GT")["candidates"][:3]


@pytest.mark.worked_out
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "--position MODEL:MARK"),
        (("QQQ99",), "not in the tables"),
        (("VT-105",), "can mean"),  # the U.S. and the British numbers collide
        (("807", "--plate-v", "high"), "--plate-v"),
        (("807", "--plate-v", "-3"), "--plate-v"),
        (("807", "--supply-v", "nan"), "--supply-v"),
        (("807", "--frequency", "3.6"), "3.6"),
        (("807", "--limit", "-1"), "--limit"),
        (("--position", "V109"), "MODEL:MARK"),
        (("--position", "Nowhere:V1"), "no set model has that name"),
        (("--position", "Ostercape TX 5:V7"), "it has V109"),
        (("--position", "Ostercape TX 5:V110"), "which type it wants"),
    ],
)
def test_bad_input_is_told_in_one_line(position, arguments, words):
    if "V110" in "".join(arguments):
        PositionFactory(set_model=position.set_model, mark="V110", type=None)
    assert words in refusal(*arguments)


@pytest.mark.worked_out
def test_in_words(position, approve, capsys):
    approve(position, "6SL7GT", "refused")
    call_command("substitutes", "--position", "Ostercape TX 5:V109", "--plate-v", "200")
    text = capsys.readouterr().out
    assert text.startswith("In place of 6SN7GT:") and "refused for this position" in text


# --- the API ---------------------------------------------------------------------------------------------------------


def test_command_and_api_agree(position, approve, as_visitor):
    approve(position, "6SL7GT")
    api = as_visitor.get("/api/substitutes", {"position": "Ostercape TX 5:V109"}).json()
    assert api == run("--position", "Ostercape TX 5:V109")
    api = as_visitor.get("/api/substitutes", {"type": "VT-231", "plate_v": "250", "frequency": "3.6 Mc"}).json()
    assert api == run("6SN7GT", "--plate-v", "250", "--frequency", "3.6 Mc")
    beside = {"position": "Ostercape TX 5:V109", "type": "VT-229", "plate_v": "200", "neutralized": "on"}
    narrowed = as_visitor.get("/api/substitutes", beside).json()  # stands before what the position says
    assert narrowed == run("VT-229", "--position", "Ostercape TX 5:V109", "--plate-v", "200", "--neutralized")
    assert narrowed["wanted"] == "6SL7GT" and narrowed != api


@pytest.mark.worked_out
@pytest.mark.parametrize(
    "query",
    [
        {}, {"type": ""}, {"type": "QQQ99"}, {"type": "VT-105"},
        {"type": "807", "plate_v": "high"},
        {"type": "807", "plate_v": "nan"}, {"type": "807", "plate_v": "1e99"}, {"type": "807", "frequency": "fast"},
        {"position": "nowhere"}, {"position": "A:B"}, {"type": "807", "series_heater": "on", "supply_v": "1"},
    ],
)  # fmt: skip
def test_the_api_refuses_in_words(as_visitor, query):
    answer = as_visitor.get("/api/substitutes", query)
    assert answer.status_code == 400 and answer.json()["errors"]


# --- how many sockets could share the spares -------------------------------------------------------------------------


def house(*wanted):
    """Sets here, one a model, each with one position: (type, chassis here, what it gives)."""
    for name, chassis, values in wanted:
        position = PositionFactory(type=kind(name), **values)
        for _ in range(chassis):
            ChassisFactory(model=position.set_model)


def test_sockets_are_counted_by_set_and_gone_ones_not(today):
    house(("6SN7GT", 3, {}), ("6SN7GT", 0, {}), ("807", 2, {}))
    gone = ChassisFactory(model=Position.objects.order_by("pk").first().set_model)
    gone.item.gone_on = today
    gone.item.save()
    served = served_by(["6SN7GT", "807"], court(), sockets_here())
    assert served == {"6SN7GT": Served(3, 0), "807": Served(2, 0)}
    kind("ZZ51")
    assert served_by(["ZZ51"], court(), sockets_here()) == {"ZZ51": Served(0, 0, 5)}  # nothing is known of it


@pytest.mark.worked_out
def test_a_spare_serves_where_the_plain_judge_says_so():
    """The vectorised count against the judge asked one by one, over all types of the tables."""
    house(
        ("6SN7GT", 2, {}), ("6SN7GT", 1, {"plate_v": 420.0}), ("12AU7", 1, {}), ("6K7", 4, {"tuned": True}),
        ("807", 2, {"plate_v": 400.0, "plate_w": 14.0, "heater_v": 6.3}), ("5U4G", 3, {"output_ma": 90.0}),
    )  # fmt: skip
    judges = court()
    sockets = sockets_here()
    names = sorted(name for name, one in judges.figures.items() if one.numbers)
    served = served_by(names, judges, sockets)
    for name in names:
        counts = {FITS: 0, CARE: 0, UNKNOWN: 0}
        for socket in sockets:
            same = name in judges.known.kin.same_as(socket.wanted) | {socket.wanted}
            rank = FITS if same else judges.judge(socket.wanted, name, socket.conditions).rank
            if rank in counts:
                counts[rank] += socket.chassis
        assert served[name] == Served(counts[FITS], counts[CARE], counts[UNKNOWN]), name
    assert served["6SN7GT"].total >= 3


def test_a_socket_whose_values_cannot_be_is_left_out():
    house(("807", 1, {"plate_v": 0.0}), ("807", 1, {}))
    assert served_by(["807"], court(), sockets_here()) == {"807": Served(1, 0)}


def test_the_count_is_in_the_answer_and_on_the_page(as_visitor):
    house(("6SN7GT", 3, {}), ("807", 2, {}))
    (one,) = [c for c in run("6SL7GT")["candidates"] if c["type"] == "6SN7GT"]
    assert one["sockets_served"] == {"fits": 3, "with care": 0} and one["sockets_here"] == 3
    page = as_visitor.get(reverse("tubes:type-instead", args=["6SL7GT"]), {"verdict": one["verdict"]})
    assert "One kept spare could serve in 3 sockets of the sets here" in page_text(page)


# --- pages -----------------------------------------------------------------------------------------------------------


def test_the_page_of_a_position(position, as_visitor):
    page = as_visitor.get(reverse("sets:position", args=[position.pk]))
    assert page.status_code == 200
    shown = page.context["page"].object_list
    assert shown and all(one.judgement.rank != UNSUITABLE for one in shown)
    words = page_text(page)
    assert "180 V, 1.2 W" in words and "6.3 V at the socket" in words and "assumed: as rated" in words
    assert "local codes and licensed practice come first" in words
    unsuitable = as_visitor.get(reverse("sets:position", args=[position.pk]), {"verdict": "unsuitable", "page": "2"})
    assert all(one.judgement.rank == UNSUITABLE for one in unsuitable.context["page"])
    assert "verdict=unsuitable" in page_text(unsuitable)


def test_a_position_without_a_type_or_with_values_that_cannot_be(as_keeper):
    nothing = PositionFactory(type=None)
    assert (
        "does not say which type it wants"
        in as_keeper.get(reverse("sets:position", args=[nothing.pk])).content.decode()
    )
    model = SetModelFactory(filament_supply_v=6.3)
    string = [PositionFactory(set_model=model, mark=m, type=kind("12SK7"), heater_branch="A") for m in ("V1", "V2")]
    ChassisFactory(model=model)
    page = as_keeper.get(reverse("sets:position", args=[string[0].pk]))
    assert page.status_code == 200 and "less than the 12.6 V of 12SK7 alone" in page.content.decode()
    services, refused = where_it_serves("12SK7", court(), sockets_here())
    assert services == [] and len(refused) == 2 and f"{model}:V1" in refused[0]
    assert refused[0] in unescape(as_keeper.get(reverse("tubes:type-instead", args=["12SK7"])).content.decode())
    tube = TubeFactory(type=kind("6K7"))
    fit = as_keeper.get(reverse("sets:tube-fit", args=[model.chassis.get().tag, string[0].pk]), {"tube": tube.tag})
    assert fit.status_code == 200 and "cannot be" in fit.content.decode()


def test_nought_is_no_working_value(position, keeper, refused):
    position.screen_v = 0
    with refused("screen_v", "leave it empty"):
        save_position(position, by=keeper)


@pytest.mark.parametrize(
    "query",
    [
        {"plate_v": "high"},
        {"frequency": "3.6"},
        {"supply_v": "-1"},
        {"plate_w": "nan"},
        {"series_heater": "on", "supply_v": "2"},
    ],
)
def test_a_place_that_cannot_be_is_told_on_the_page_of_a_type(as_visitor, query):
    page = as_visitor.get(reverse("tubes:type-instead", args=["12SK7"]), query)
    assert page.status_code == 200 and page.context["form"].errors


def test_the_place_that_is_asked_for_counts(as_visitor):
    page = as_visitor.get(reverse("tubes:type-instead", args=["6SN7GT"]), {"supply_v": "12.6"})
    (one,) = [one for one in page.context["page"].paginator.object_list if one.type == "12SN7GT"]
    assert one.judgement.of("heater voltage").verdict == "fits"
    assert as_visitor.get(reverse("tubes:type-instead", args=["no such type"])).status_code == 404


def test_where_a_tube_could_serve(position, approve, as_visitor):
    for _ in range(2):
        ChassisFactory(model=position.set_model)
    PositionFactory(type=kind("6SN7GT"))  # of a model of which no set is here
    other = PositionFactory(set_model=position.set_model, type=kind("80"))
    services, refused = where_it_serves("6SN7GT", court(), sockets_here())
    assert [(s.socket.position, s.socket.chassis) for s in services] == [(position, 2)] and refused == []
    approve(other, "6SN7GT", "refused")  # unsuitable there, and shown since somebody spoke of it
    services, _ = where_it_serves("6SN7GT", court(), sockets_here())
    assert [s.socket.position for s in services] == [position, other]
    page = as_visitor.get(reverse("tubes:type-instead", args=["6SN7GT"]))
    assert "2 sets here" in page.content.decode()


@pytest.mark.worked_out
def test_figures_of_the_keepers_own_count_in_the_search(as_keeper):
    """A maker's sheet entered by the keeper stands before the tables' figure and its finding names the text."""

    def plate():
        (one,) = [c for c in run("6SN7GT", "--plate-v", "280")["candidates"] if c["type"] == "6SL7GT"]
        return next(f for f in one["findings"] if f["check"] == "plate voltage")

    assert plate()["verdict"] == "fits"
    sheet = SourceFactory(key="own-sheet-3")
    address = reverse("tubes:rating-write", args=["6SL7GT"])
    assert as_keeper.post(address, {"plate_v_max": "150", "source": sheet.pk, "grade": "stated"}).status_code == 302
    assert (plate()["candidate"], plate()["verdict"]) == (150, "unsuitable")
    assert "own-sheet-3" in plate()["source"]


# --- approvals -------------------------------------------------------------------------------------------------------


@pytest.mark.worked_out
def test_a_word_is_shown_beside_the_findings_and_hides_none(position, approve, as_visitor):
    before = {c["type"]: (c["verdict"], c["findings"]) for c in run("--position", "Ostercape TX 5:V109")["candidates"]}
    approve(position, "80", words="held up so far")  # a rectifier: unsuitable whatever anybody says
    after = run("--position", "Ostercape TX 5:V109")["candidates"]
    assert {c["type"]: (c["verdict"], c["findings"]) for c in after} == before
    (one,) = [c for c in after if c["type"] == "80"]
    assert one["verdict"] == "unsuitable" and [w["verdict"] for w in one["words"]] == ["approved"]
    page = as_visitor.get(reverse("sets:position", args=[position.pk]))
    assert "80" in [c.type for c in page.context["page"].paginator.object_list]  # shown for the word on it
    assert "held up so far" in page.content.decode() and "Take this back" not in page.content.decode()


def test_a_word_for_one_position_is_none_for_another(position, approve):
    approve(position, "6SL7GT")
    other = PositionFactory(set_model=position.set_model, type=kind("6SN7GT"))
    found = substitutes_of("6SN7GT", conditions_of(other), other)
    assert not any(one.words for one in found)
    assert not any(one.words for one in substitutes_of("6SN7GT", Conditions()))


def test_writing_a_word_and_taking_it_back(position, as_keeper, as_helper, today, keeper):
    address = reverse("sets:approval-add", args=[position.pk])
    cells = {
        "type": "6SL7GT",
        "verdict": "approved",
        "on": today,
        "source": "R. Oddsworth, letter",
        "words": "re-biased",
    }
    assert as_helper.post(address, cells).status_code == 403
    answer = as_keeper.post(address, cells)
    assert answer.status_code == 302 and answer.url == reverse("sets:position", args=[position.pk])
    row = position.approvals.get()
    assert (row.source, row.history.first().history_user) == ("R. Oddsworth, letter", keeper)
    drop = reverse("sets:approval-drop", args=[row.pk])
    assert as_helper.post(drop).status_code == 403 and as_keeper.get(drop).status_code == 405
    assert as_keeper.post(drop).status_code == 302 and not position.approvals.exists()
    assert as_keeper.post(drop).status_code == 404  # a page that stood open meanwhile
    assert Approval.history.count() == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("type", "QQQ99"), ("type", "6SL7\0GT"), ("type", ""), ("type", "6SN7GT"),
        ("on", "2999-01-01"), ("on", "1066-10-14"), ("on", "soon"),
        ("source", ""), ("source", "a" * 201), ("source", "a\0b"), ("verdict", "perhaps"), ("words", "a" * 301),
    ],
)  # fmt: skip
def test_a_bad_word_names_the_field(position, as_keeper, today, field, value):
    cells = {"type": "6SL7GT", "verdict": "refused", "on": today, "source": "letter", "words": ""}
    answer = as_keeper.post(reverse("sets:approval-add", args=[position.pk]), cells | {field: value})
    assert answer.status_code == 422 and list(answer.context["form"].errors) == [field]
    assert not Approval.objects.exists()


def test_dropping_keeps_the_history(position, approve, keeper):
    row = approve(position, "6SL7GT", "refused")
    drop_approval(row, by=keeper)
    assert Approval.history.filter(history_type="-").get().history_user == keeper


# --- on paper ---------------------------------------------------------------------------------------------------------


def test_on_paper_stands_what_serves_and_what_was_said(position, approve, as_visitor):
    approve(position, "12AU7", words="with the adapter of the north hut")
    page = as_visitor.get(reverse("sets:position", args=[position.pk]))
    paper = page.context["paper"]
    assert "12AU7" in [one.type for one in paper] and len(paper) < len(page.context["page"].object_list)
    assert all(one.judgement.rank <= CARE or one.words for one in paper) and page.context["paper_left"] == 0
    everything = substitutes_of("6SN7GT", conditions_of(position), position)
    assert [one.type for one in paper] == [o.type for o in everything if o.judgement.rank <= CARE or o.words]
    words = page_text(page)
    assert words.index("paper-list") < words.index("with the adapter of the north hut", words.index("paper-list"))


# --- nothing goes in ----------------------------------------------------------------------------------------------


@pytest.fixture
def lying():
    """A rectifier socket of an invented set on its side, in which no type of the tables is anything but unsuitable."""
    known_too_little = ("0A4G", "5823", "VU111", "VU133", "15R", "WE-371A", "VT-158")  # no heater, or no kind
    Rating.objects.filter(type__name__in=known_too_little).delete()
    model = SetModelFactory(name="Fallen PS 1", on_side=True)
    cells = {"plate_v": 1e6, "output_ma": 1e6, "heater_v": 2.5}
    return PositionFactory(set_model=model, mark="V5", type=kind("3B28"), **cells)


@pytest.mark.worked_out
def test_all_unsuitable_is_no_lack_of_knowledge(lying, as_visitor, capsys):
    address = reverse("sets:position", args=[lying.pk])
    page = as_visitor.get(address)
    words, judged = unescape(" ".join(page.content.decode().split())), page.context["judged"]
    assert not page.context["page"].object_list and judged > 100
    assert f"All {judged} types judged are unsuitable here." in words and "Nothing to judge by" not in words
    assert 'href="?verdict=unsuitable">See them with the reasons.' in words
    assert as_visitor.get(address, {"verdict": "unsuitable"}).context["page"].paginator.count == judged
    call_command("substitutes", "--position", "Fallen PS 1:V5")
    assert f"All {judged} types judged are unsuitable here. See them with --unsuitable." in capsys.readouterr().out
    call_command("substitutes", "--position", "Fallen PS 1:V5", "--unsuitable", "--limit", "2")
    assert ": unsuitable" in capsys.readouterr().out


@pytest.mark.worked_out
def test_the_socket_asked_about_is_none_of_the_others(as_visitor):
    """What stands beside the verdict on a position tells of other positions only."""
    house(("6SN7GT", 2, {}), ("6SL7GT", 3, {}))
    place = Position.objects.get(type__name="6SN7GT")
    good = [one for one in substitutes_of("6SN7GT", conditions_of(place), place) if one.judgement.rank <= CARE]
    assert good
    for one in good[:3]:
        there = [socket for socket in sockets_here() if socket.position == place]
        assert one.served == one.told + served_by([one.type], court(), there)[one.type]
        assert one.told.total + one.told.not_known <= 3 and one.served.total >= 2
    words = " ".join(as_visitor.get(reverse("sets:position", args=[place.pk])).content.decode().split())
    assert "other socket" in words and "No socket of the sets" not in words


@pytest.mark.worked_out
def test_where_nothing_was_judged_it_says_so(as_visitor, capsys):
    TubeTypeFactory(name="ZZ9")
    words = as_visitor.get(reverse("tubes:type-instead", args=["ZZ9"])).content.decode()
    assert "Nothing to judge by" in " ".join(words.split())
    call_command("substitutes", "ZZ9")
    assert "Nothing to judge by" in capsys.readouterr().out


def test_mercury_in_a_set_on_its_side_is_asked_about(as_helper, as_visitor, today):
    """866A upright only: uli.de/tubes/866a.htm."""
    model = SetModelFactory(name="Fallen PS 2", on_side=True)
    place, chassis = PositionFactory(set_model=model, mark="V5", type=kind("866A")), ChassisFactory(model=model)
    tube = TubeFactory(type=kind("866A"))
    address = reverse("sets:tube-fit", args=[chassis.tag, place.pk])
    against = "Tubes lie on their side in this set: no mercury rectifier goes in."
    assert against in as_helper.get(address).content.decode()
    asked = as_helper.post(address, {"tube": tube.tag, "since": today})
    assert asked.status_code == 422 and against in asked.context["form"].errors["mercury_why"][0]
    cells = {"tube": tube.tag, "since": today, "mercury_why": "shelf set, stood on end"}
    assert as_helper.post(address, cells).status_code == 302
    row = Fitting.objects.get(tube=tube)
    assert row.note == "all the same: shelf set, stood on end"
    assert row.history.first().history_change_reason == "mercury rectifier all the same: shelf set, stood on end"
    upright = PositionFactory(set_model=SetModelFactory(name="Upright PS"), mark="V5", type=kind("866A"))
    other = ChassisFactory(model=upright.set_model)
    page = as_helper.get(reverse("sets:tube-fit", args=[other.tag, upright.pk]))
    assert "mercury_why" not in page.context["form"].fields
    assert served_by(["866A"], court(), sockets_here()) == {"866A": Served(1, 1)}


# --- before a tube is fitted -----------------------------------------------------------------------------------------


@pytest.fixture
def final():
    """A neutralized 211 in a set with a unit that is good, one other set of the model, and a spare 838."""
    model = SetModelFactory(name="Skelter 9", neutralizing="unit")
    position = PositionFactory(set_model=model, mark="V3", type=kind("211"), neutralized=True)
    chassis, other = (ChassisFactory(model=model, serial=serial) for serial in ("11", "22"))
    FittingFactory(position=position, chassis=chassis)
    unit = PlugInUnitFactory(model=UnitModelFactory(name="Skelter drawer", fits=[model]), serial="77")
    NeutralizationFactory(chassis=chassis, unit=unit)
    return position, chassis, other, unit


def test_what_it_will_do_is_shown_before_it_is_saved(final, as_helper, today):
    position, chassis, _, unit = final
    spare = TubeFactory(type=kind("838"))
    address = reverse("sets:tube-fit", args=[chassis.tag, position.pk])
    cells = {"tube": spare.tag, "since": today, "replace": "on"}
    for page in (as_helper.get(address, {"tube": spare.tag}), as_helper.post(address, cells)):
        words = page.content.decode()
        assert page.context["judgement"].candidate == "838"
        assert "838 in the place of 211" in words and "re-neutralize" in words.casefold()
        assert "due to be neutralized again" in words and f"Skelter drawer 77 ({unit.tag}), now good" in words
        assert not Fitting.objects.filter(tube=spare).exists()
    assert page.status_code == 422 and "other_type" in page.context["form"].errors
    assert as_helper.post(address, cells | {"other_type": "on"}).status_code == 302
    assert Fitting.objects.get(tube=spare).position == position
    again = as_helper.get(address)
    assert again.context["undone"] == []  # it is due now: nothing more to undo


def test_a_tube_of_a_matched_set_is_not_fitted_in_silence(final, as_helper, today):
    position, chassis, _, _ = final
    one, two = (TubeTestFactory(tube=TubeFactory(type=kind("211"))) for _ in range(2))
    row = MatchedSet.objects.create(instrument=one.instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
    for test in (one, two):
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    address = reverse("sets:tube-fit", args=[chassis.tag, position.pk])
    words = as_helper.get(address, {"tube": one.tube.tag}).content.decode()
    assert "belongs together with" in words and two.tube.tag in words


@pytest.mark.parametrize("tag", ["", "T-9999", "X\0"])
def test_a_tag_that_names_nothing_is_not_judged(final, as_helper, tag):
    position, chassis, _, _ = final
    page = as_helper.get(reverse("sets:tube-fit", args=[chassis.tag, position.pk]), {"tube": tag})
    assert page.status_code == 200 and page.context["judgement"] is None


def test_the_type_wanted_needs_no_judgement(final):
    position, *_ = final
    assert judged_before_fitting(position, TubeFactory(type=kind("211"))) is None
    assert judged_before_fitting(position, TubeFactory(type=None)) is None
    assert (
        judged_before_fitting(position, tube_tagged(f" {TubeFactory(type=kind('838')).tag.lower()} ")).candidate
        == "838"
    )


def test_a_position_names_the_pairs_of_every_set(final, as_visitor):
    position, chassis, other, unit = final
    NeutralizationFactory(chassis=other, unit=PlugInUnitFactory(model=unit.model, serial="88"))
    page = as_visitor.get(reverse("sets:position", args=[position.pk]))
    undone = page.context["undone"]
    assert sum(f"Skelter 9 11 ({chassis.tag})" in text for text in undone) == 1
    assert sum(f"Skelter 9 22 ({other.tag})" in text for text in undone) == 1
    assert "To neutralize again after any other tube" in page.content.decode()
    plain = PositionFactory(set_model=position.set_model, type=kind("807"))
    assert as_visitor.get(reverse("sets:position", args=[plain.pk])).context["undone"] == []


# --- the number of questions -----------------------------------------------------------------------------------------


@pytest.mark.growth
def test_more_of_everything_takes_no_more_questions(position, approve, as_visitor, days_ago):
    addresses = [
        (reverse("sets:position", args=[position.pk]), {}),
        (reverse("tubes:type-instead", args=["6SN7GT"]), {}),
        (reverse("sets:api-substitutes"), {"type": "6SN7GT"}),
        (reverse("tubes:type", args=["6SN7GT"]), {}),
        (reverse("tubes:limit-list"), {}),
    ]

    def grow(number):
        for _ in range(number):
            another = PositionFactory(type=kind("6SN7GT"), neutralized=True)
            chassis = ChassisFactory(model=another.set_model)
            FittingFactory(position=another, chassis=chassis)
            PositionFactory(set_model=position.set_model, type=kind("807"), heater_branch="A")
            ChassisFactory(model=position.set_model)
            approve(another, "6SL7GT")
            for name in ("6SL7GT", "12SN7GT", "6F8G", "7N7"):
                approve(position, name)
                TubeFactory(type=kind(name))

    grow(3)
    before = [asked(as_visitor, address, **query) for address, query in addresses]
    grow(6)
    assert [asked(as_visitor, address, **query) for address, query in addresses] == before
