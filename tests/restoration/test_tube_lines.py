"""What tubes in place, reserved and read say for "can it start?". Sets are invented; the types are real.

That 12SN7GT, of a 12.6 V heater, and 6SN7GT, of a 6.3 V one, do not stand in for one another on one heater voltage,
and that 6K7G is the glass form of 6K7, is in the RCA Receiving Tube Manual.
"""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.models import Loan
from inventory.restoration.actions import reserve_all, reserve_tube
from inventory.restoration.models import Reservation
from inventory.restoration.queries.answer import answer_of
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.rules.cover import count_of
from inventory.restoration.rules.demand import few, percent
from inventory.restoration.rules.words import AFTER_TEST, COVERED, DOUBTFUL, IN_PLACE
from inventory.running.models import TypeMinimum
from inventory.sets.actions import save_position, save_set_model
from inventory.sets.models import Approval, Position
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.restoration.rows import PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def kind(name):
    return TubeType.objects.filter(name=name).first() or TubeTypeFactory(name=name)


def tube(name="6SN7GT", state="good", **more):
    return TubeFactory(type=kind(name), state=state, **more)


def plan_of(*wanted, **more):
    """A plan for one set that wants these types in V1, V2 and so on, each on 6.3 V."""
    model = SetModelFactory(neutralizing="none", kind="receiver")
    for number, name in enumerate(wanted, 1):
        PositionFactory(set_model=model, mark=f"V{number}", type=kind(name) if name else None, heater_v=6.3)
    return PlanFactory(sets=[ChassisFactory(model=model)], **more)


def put(plan, one, mark="V1"):
    chassis = plan.sets.get()
    return FittingFactory(tube=one, chassis=chassis, position=chassis.model.positions.get(mark=mark))


def keep(plan, one, on, mark="V1"):
    chassis = plan.sets.get()
    position = chassis.model.positions.get(mark=mark)
    return Reservation.objects.create(plan=plan, item=one.item, chassis=chassis, position=position, on=on)


def only(plan, today):
    cover = cover_of(plan, today)
    (line,) = cover.lines
    return line, cover.count


def test_a_wrong_tube_in_a_socket_wants_the_right_one(today):
    plan, wrong = plan_of("6SN7GT"), tube("12SN7GT")
    put(plan, wrong)
    line, count = only(plan, today)
    assert (line.status, count.can_start) == ("short", False)
    assert f"{wrong.tag}, a 12SN7GT where a 6SN7GT is wanted" in line.reasons[0]
    right = tube()
    line, count = only(plan, today)
    assert (line.status, line.thing, count.can_start) == ("covered", right.item, True)


def test_another_type_in_place_is_told_counted_and_says_what_it_entails(today, as_visitor):
    plan, glass = plan_of("6K7"), tube("6K7G")
    put(plan, glass)
    line, count = only(plan, today)
    assert (line.status, line.substitute, count.instead) == (DOUBTFUL, "6K7G", 1)
    assert count.answer == "can start with substitutes" and line.entails
    told = answer_of(plan, today).as_dict()["lines"][0]
    assert (told["substitute"], told["entails"]) == ("6K7G", list(line.entails))
    assert "Another type in place" in page_text(as_visitor.get(plan.get_absolute_url()))


@pytest.mark.parametrize("weak", ["V1", "V2"])
@pytest.mark.parametrize("state", ["good", "untested"])
def test_an_empty_position_goes_before_a_weak_tube_that_may_stay(today, weak, state):
    """Whatever the order of the circuit: the spare is what the plan lacks in the empty one."""
    plan, spare = plan_of("6SN7GT", "6SN7GT"), tube(state=state)
    put(plan, tube(state="weak"), weak)
    cover = cover_of(plan, today)
    lines = {line.position: line for line in cover.lines}
    empty = lines.pop("V1" if weak == "V2" else "V2")
    assert (empty.thing, lines[weak].status) == (spare.item, DOUBTFUL)
    assert cover.count.can_start is (state == "good")


def test_a_weak_tube_of_an_urgent_plan_goes_before_an_empty_position_of_another(today):
    urgent, other = plan_of("6SN7GT", priority=1), plan_of("6SN7GT", priority=2)
    put(urgent, tube(state="weak"))
    spare = tube()
    assert only(urgent, today)[0].thing == spare.item
    assert only(other, today)[0].status == "reserved elsewhere"


def test_an_unsettled_tube_in_place_is_to_be_looked_at(today):
    plan, one = plan_of("6SN7GT"), tube()
    one.type = None
    one.save()
    put(plan, one)
    line, _ = only(plan, today)
    assert line.status == DOUBTFUL and "has not been settled" in line.reasons[0]


def test_the_same_tube_under_another_number_is_in_place(today):
    plan = plan_of("6SN7GT")
    put(plan, tube("VT-231" if TubeType.objects.filter(name="VT-231").exists() else "6SN7WGT"))
    line, count = only(plan, today)
    assert (line.status, line.substitute, count.answer) == ("in place", "", "can start")


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"type": "12SN7GT"}, "may not stand there"),
        ({"type": None}, "has not been settled"),
        ({"reading": 900.0}, "rejected by its last test"),
        ({"state": "weak"}, "is weak"),
    ],
)
def test_what_is_reserved_and_may_not_serve_leaves_the_line_short(today, change, word):
    plan, one = plan_of("6SN7GT"), tube(change.get("type", "6SN7GT") or "6SN7GT", change.get("state", "good"))
    if change.get("type", "") is None:
        one.type = None
        one.save()
    if reading := change.get("reading"):
        TubeTestFactory(tube=one, reading=reading, minimum=1800.0)
    keep(plan, one, today)
    line, count = only(plan, today)
    assert (line.status, count.can_start) == ("short", False)
    assert any(word in text and "release it" in text for text in line.reasons)


def test_what_may_not_serve_is_not_reserved(today, keeper):
    plan = plan_of("6SN7GT", None)
    chassis = plan.sets.get()
    v1, v2 = chassis.model.positions.order_by("id")
    rejected = tube()
    TubeTestFactory(tube=rejected, reading=900.0, minimum=1800.0)
    for one, position, word in (
        (tube("12SN7GT"), v1, "may not stand in V1"),
        (tube(state="weak"), v1, "is weak"),
        (rejected, v1, "rejected by its last test"),
        (tube(), v2, "which type V2 wants is not recorded"),
    ):
        with pytest.raises(ValidationError, match=word):
            reserve_tube(plan, chassis, position, one, on=today, by=keeper)
    assert not Reservation.objects.exists()


def test_what_is_reserved_tells_reading_and_loan(today, days_ago):
    plan, one = plan_of("6SN7GT"), tube()
    TubeTestFactory(tube=one, reading=2500.0, minimum=1800.0)
    Loan.objects.create(item=one.item, way=Loan.IN, who="R. Oddsworth", since=days_ago(9))
    keep(plan, one, today)
    line, _ = only(plan, today)
    assert line.status == COVERED and "2500" in line.by
    assert any(text.startswith("Last reading 2500") for text in line.reasons)
    assert "ask R. Oddsworth first" in line.entails[0]


def test_a_set_that_is_said_to_have_no_tubes_can_start(today, as_visitor, keeper):
    plan = plan_of()
    model = plan.sets.get().model
    model.no_tubes = True
    save_set_model(model, by=keeper)
    line, count = only(plan, today)
    assert (line.status, count.can_start) == (IN_PLACE, True)
    assert line.reasons == (f"{model} has none: complete as listed.",)
    assert answer_of(plan, today).as_dict()["can_start"] is True
    assert "It has no tubes: complete as listed." in page_text(as_visitor.get(model.get_absolute_url()))
    with pytest.raises(ValidationError, match="take that tick away first"):
        save_position(Position(set_model=model, mark="V1"), by=keeper)
    other = plan_of("6SN7GT").sets.get().model
    other.no_tubes = True
    with pytest.raises(ValidationError, match="It has a position, V1"):
        save_set_model(other, by=keeper)


def test_what_nobody_recorded_never_can_start(today, as_visitor):
    empty, unknown, held = plan_of(), plan_of(None), plan_of(None)
    put(held, tube())
    line, count = only(empty, today)
    assert (line.need, count.can_start) == ("no position of this model is recorded", False)
    line, count = only(unknown, today)
    assert (line.need, line.status, count.can_start) == ("what stands in V1 is not known", "not recorded", False)
    assert "1 not recorded" in count.text
    line, _ = only(held, today)
    assert line.status == DOUBTFUL and "is not recorded" in line.reasons[-1]
    assert answer_of(empty, today).as_dict()["can_start"] is False
    assert "What nobody has recorded" in page_text(as_visitor.get(unknown.get_absolute_url()))
    assert not count_of([]).can_start


def test_a_weak_tube_is_never_worse_off_with_a_spare(today):
    plan, weak = plan_of("6SN7GT", priority=5), tube(state="weak")
    put(plan, weak)
    assert only(plan, today)[0].status == DOUBTFUL
    spare = tube(state="untested")
    line, count = only(plan, today)
    assert (line.status, count.can_start, line.to_test) == (DOUBTFUL, True, (spare,))
    assert any(spare.tag in text for text in line.reasons)
    spare.state = "good"
    spare.save()
    plan_of("6SN7GT", priority=1, name="Pier set")
    line, count = only(plan, today)
    assert (line.status, line.by, count.can_start) == (DOUBTFUL, weak.tag, True)
    assert any("Pier set" in text for text in line.reasons)


def test_what_reads_good_waits_for_a_word_and_for_no_test(today, as_keeper):
    plan, one = plan_of("6SN7GT"), tube(state="untested")
    TubeTestFactory(tube=one, reading=2500.0, minimum=1800.0)
    line, count = only(plan, today)
    assert (line.status, line.to_test, line.thing) == ("covered after your word", (), one.item)
    assert (count.on_word, count.after_test, count.can_start) == (1, 0, False)
    told = " ".join(line.reasons)
    assert "read good" in told and "2500" in told and "chance" not in told and "untested" not in told
    assert answer_of(plan, today).as_dict()["to_confirm"] == 1
    address = f"/tubes/{one.tag}/state/"
    assert f'action="{address}"' in as_keeper.get(plan.get_absolute_url()).content.decode()
    as_keeper.post(address, {"state": "good", "was": "untested"})
    assert only(plan, today)[0].status == COVERED


def test_what_reads_good_and_is_in_place_was_tested(today):
    plan, one = plan_of("6SN7GT"), tube(state="untested")
    put(plan, one)
    TubeTestFactory(tube=one, reading=2500.0, minimum=1800.0)
    line, _ = only(plan, today)
    assert line.status == DOUBTFUL and "your word on it is wanted" in line.reasons[0]
    assert "never tested" not in line.reasons[0]


def test_others_like_it_are_free_or_go_to_other_lines(today):
    plan = plan_of("6SN7GT", "6SN7GT")
    tube(), tube()
    assert all("go" in line.reasons[-1] and "other line" in line.reasons[-1] for line in cover_of(plan, today).lines)
    tube()
    assert all(
        line.reasons[-1] == "1 more that no other line gets would do as well." for line in cover_of(plan, today).lines
    )


def test_a_short_line_names_the_weak_and_the_dud(today):
    plan = plan_of("6SN7GT")
    weak, dud, rejected = tube(state="weak"), tube(state="dud"), tube()
    TubeTestFactory(tube=rejected, reading=900.0, minimum=1300.0)
    line, _ = only(plan, today)
    told = line.reasons[-1]
    assert told.startswith("Not counted: ")
    assert f"{weak.tag}, weak" in told and f"{dud.tag}, a dud" in told
    assert f"{rejected.tag}, rejected by its last test (900 / min 1300" in told


def test_a_short_line_tells_what_is_reserved_beside_it(today, keeper):
    plan = plan_of("6SN7GT", "6SN7GT")
    tube()
    reserve_all(plan, on=today, by=keeper)
    short = next(line for line in cover_of(plan, today).lines if line.status == "short")
    assert "is left: 1 is reserved for other positions of this plan." in short.reasons[-1]


def test_another_type_is_reserved_on_its_own_line_alone(today, keeper, as_keeper):
    plan = plan_of("6SN7GT", "6K7")
    good, glass = tube(), tube("6K7G")
    kept = reserve_all(plan, on=today, by=keeper)
    assert [row.item for row in kept] == [good.item]
    chassis = plan.sets.get()
    reserve_tube(plan, chassis, chassis.model.positions.get(mark="V2"), glass, on=today, by=keeper)
    line = next(line for line in cover_of(plan, today).lines if line.position == "V2")
    assert (line.status, line.substitute, line.reserved) == ("covered by a relative", "6K7G", True)


def test_nothing_is_certain_and_nothing_is_none(today, days_ago):
    """18 of 20 proved good: with Jeffreys' prior one of five is good but for about 2 in 10,000 (Beta-binomial)."""
    for number in range(20):
        gone = tube(state="untested", gone_on=days_ago(1))
        TubeTestFactory(tube=gone, reading=2500.0 if number < 18 else 900.0, minimum=1800.0)
    plan = plan_of("6SN7GT")
    for _ in range(5):
        tube(state="untested")
    line, _ = only(plan, today)
    (told,) = (text for text in line.reasons if "chance" in text)
    assert "99.98 %" in told and " 100 %" not in told
    assert [few(one) for one in (0.0, 0.00125, 0.01, 2.333)] == ["0", "under 0.01", "0.01", "2.33"]
    assert (percent(0.7, 0), percent(0.9998, 0)) == ("70", "99.98")


def test_unused_and_used_ones_are_reckoned_by_their_own_share(today, days_ago):
    """9 of 10 unused and 2 of 10 used ones proved good: Jeffreys' prior, 9.5/11 and 2.5/11 for one of each."""
    for number in range(20):
        gone = tube(state="untested", gone_on=days_ago(1), condition="unused" if number < 10 else "used")
        good = number < 9 or number in (10, 11)
        TubeTestFactory(tube=gone, reading=2500.0 if good else 900.0, minimum=1800.0)
    plan = plan_of("6SN7GT")
    used, unused = tube(state="untested", condition="used"), tube(state="untested", condition="unused, boxed")
    line, _ = only(plan, today)
    assert line.to_test == (unused, used)
    (told,) = (text for text in line.reasons if "chance" in text)
    assert "Of unused ones 9 of 10 proved good" in told and "of used ones 2 of 10 proved good" in told
    assert f"a chance of {100 * (1 - (1 - 9.5 / 11) * (1 - 2.5 / 11)):.0f} %" in told


def test_an_untested_tube_that_goes_to_a_more_urgent_plan_is_told(today):
    late = plan_of("6SN7GT", priority=3)
    one = tube(state="untested")
    assert only(late, today)[0].to_test == (one,)
    urgent = plan_of("6SN7GT", priority=1, name="Urgent")
    line, count = only(late, today)
    assert (line.status, count.short) == ("reserved elsewhere", 1)
    assert "1 untested that could serve: it goes to V1 of Urgent." in line.reasons
    assert only(urgent, today)[0].to_test == (one,)


def test_many_lines_of_others_are_told_plan_by_plan(today, keeper):
    """The marks of each plan together, and how many more there are."""
    late, urgent = plan_of("6SN7GT", priority=3), plan_of(*["6SN7GT"] * 5, priority=1, name="Urgent")
    for _ in range(5):
        tube()
    assert "5 that could serve: they go to V1, V2, V3 and 2 more of Urgent." in only(late, today)[0].reasons
    kept = reserve_all(urgent, on=today, by=keeper)
    tags = [row.item.tag for row in kept]
    assert f"None is free: {', '.join(tags[:3])} and 2 more are reserved for Urgent." in only(late, today)[0].reasons


def test_a_nearer_one_in_the_same_set_is_told_without_its_name(today):
    plan = plan_of("6K7", "6K7")
    tube("6K7"), tube("6K7G")
    told = " ".join(text for line in cover_of(plan, today).lines for text in line.reasons)
    assert "of the same set" in told and f"({plan})" not in told


@pytest.mark.parametrize("name", ["807", "12SN7GT"])
def test_an_approval_against_the_judge_is_told_and_reserves_nothing_unasked(today, keeper, name):
    """807 has another base, 12SN7GT another heater voltage (RCA Receiving Tube Manual): the judge calls both so."""
    plan = plan_of("6SN7GT")
    one = tube(name)
    position = plan.sets.get().model.positions.get()
    Approval.objects.create(position=position, type=one.type, verdict=Approval.APPROVED, on=today, source="bench")
    line, count = only(plan, today)
    assert (line.status, count.answer) == ("covered by a substitute", "can start with substitutes")
    assert f"approved here on {today}, bench, against the judge, who calls it unsuitable" in line.entails[0]
    assert reserve_all(plan, on=today, by=keeper) == []
    assert reserve_tube(plan, plan.sets.get(), position, one, on=today, by=keeper)  # on its own line it may be


def test_an_approval_that_the_judge_lets_pass_is_told_as_it_is(today, keeper):
    plan = plan_of("6K7")
    one = tube("6K7G")
    position = plan.sets.get().model.positions.get()
    Approval.objects.create(position=position, type=one.type, verdict=Approval.APPROVED, on=today, source="bench")
    line, _ = only(plan, today)
    assert line.entails[0] == f"approved here on {today}, bench"
    assert [row.item for row in reserve_all(plan, on=today, by=keeper)] == [one.item]


def test_a_reading_that_nothing_judges_is_told_with_what_ends_that(as_keeper, today):
    """It was tested: to be told to test it again would lead nowhere."""
    plan = plan_of("6SA7")
    read = tube("6SA7GT", "untested")
    bench = InstrumentFactory(name="Bench tester", scale="micromho")
    TypeMinimum.objects.create(instrument=bench, type=kind("6SA7"), minimum=320, source="roll chart")
    TubeTestFactory(tube=read, instrument=bench, reading=290.0, on=today)
    line = cover_of(plan, today).lines[0]
    assert (line.status, line.by, line.to_test) == (AFTER_TEST, read.tag, ())
    assert line.reasons[1] == (
        f"{read.tag} was read 290 micromho on {today}; Bench tester has no minimum for 6SA7GT, so it is neither good "
        "nor bad yet. For the 6SA7 that is wanted it has one: 320."
    )
    assert not any("test first" in text or "chance" in text for text in line.reasons)
    text = page_text(as_keeper.get(plan.get_absolute_url()))
    assert f"/instruments/{bench.pk}/minimum/?type=6SA7GT" in text and f"{read.tag} is weak" in text
    new = tube("6SA7GT", "untested")
    line = cover_of(plan, today).lines[0]
    assert line.to_test == (new,) and f"1 untested 6SA7GT: test first {new.tag}" in line.reasons[1]
    sent = {"state": "good", "was": "untested", "next": plan.get_absolute_url()}
    assert as_keeper.post(f"/tubes/{read.tag}/state/", sent).url == plan.get_absolute_url()
    assert cover_of(plan, today).lines[0].thing == read.item


def test_what_was_tested_and_rejected_is_named_and_can_be_called_so(today, as_keeper):
    """Also where another covers the line: the register calls it untested still."""
    plan, good = plan_of("6SN7GT", "6SN7GT"), tube()
    bad = tube(state="untested")
    TubeTestFactory(tube=bad, reading=900.0, minimum=1800.0)
    tube()
    first, second = cover_of(plan, today).lines
    assert first.status == COVERED and first.rejected == (bad,) and second.rejected == ()
    assert any(f"Not counted: {bad.tag}, rejected by its last test" in text for text in first.reasons)
    page = page_text(as_keeper.get(plan.get_absolute_url()))
    assert f"{bad.tag} is weak" in page and f"{good.tag} is weak" not in page
    as_keeper.post(f"/tubes/{bad.tag}/state/", {"was": "untested", "state": "dud", "next": plan.get_absolute_url()})
    bad.refresh_from_db()
    assert bad.state == "dud" and not any(line.rejected for line in cover_of(plan, today).lines)
