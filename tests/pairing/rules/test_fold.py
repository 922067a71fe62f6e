"""The state of a pair: the pairing rule case by case, its properties, and a naive second fold that must agree.

There is no published source for such a rule: which events spoil a neutralization is common practice, no source.
Words of the cases: chassis C and unit U are the pair asked about; D is another chassis, V another unit.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.house.records.moments import END_OF_DAY, Moment
from inventory.pairing.rules.events import (
    Null,
    Plate,
    Reason,
    TubeStay,
    Upset,
    Use,
    moment_of_null,
    moment_of_work,
)
from inventory.pairing.rules.fold import (
    DUE,
    GOOD,
    IN_CHASSIS,
    IN_UNIT,
    NOT_NEEDED,
    NOWHERE,
    PRESUMED,
    RESET_AND_VERIFY,
    PairAnswer,
    PairFacts,
    last_setting,
    state_of_pair,
)

C, D, U, V = 1, 2, 11, 12
CHASSIS_NAMES, UNIT_NAMES = {C: "1432", D: "2077"}, {U: "1432", V: "3050"}
FIRST = date(2024, 3, 1)
LATER = date(2025, 1, 1)
PLATE = Plate("1432")


def day(number: int) -> date:
    """Day 1 is 1 March 2024; all days up to 31 lie in that month."""
    return FIRST + timedelta(days=number - 1)


def null(
    number: int, at: time | None = None, *, unit: int = U, chassis: int = C, setting: str = "42", by: str = ""
) -> Null:
    return Null(unit, chassis, moment_of_null(day(number), at), setting, by)


def use(number: int, at: time | None = None, *, unit: int = U, chassis: int = C) -> Use:
    return Use(unit, chassis, moment_of_null(day(number), at))


def upset(
    number: int,
    at: time | None = None,
    *,
    unit: int | None = None,
    chassis: int | None = None,
    cause: str = "repair",
    note: str = "",
) -> Upset:
    return Upset(moment_of_work(day(number), at), cause, unit, chassis, note)


def work(number: int, at: time | None = None) -> Moment:
    return moment_of_work(day(number), at)


def stay(tube: str, start: int, end: int | None = None, position: str = "V101") -> TubeStay:
    return TubeStay(position, tube, work(start), None if end is None else work(end))


def facts(
    *,
    capacitor: str = IN_UNIT,
    chassis_plate: Plate = PLATE,
    unit_plate: Plate = PLATE,
    nulls: Iterable[Null] = (),
    upsets: Iterable[Upset] = (),
    stays: Iterable[TubeStay] = (),
    uses: Iterable[Use] = (),
) -> PairFacts:
    return PairFacts(
        C, U, capacitor, chassis_plate, unit_plate, list(nulls), list(upsets), list(stays), CHASSIS_NAMES, UNIT_NAMES,
        list(uses),
    )  # fmt: skip


def answer(on: date = LATER, **what: object) -> PairAnswer:
    return state_of_pair(facts(**what), on)  # type: ignore[arg-type]


def causes(given_answer: PairAnswer) -> list[str]:
    return [reason.cause for reason in given_answer.reasons]


def texts(given_answer: PairAnswer) -> list[str]:
    return [reason.text for reason in given_answer.reasons]


# --- Moments and plates


def test_work_without_a_time_comes_first_on_its_day_and_a_neutralization_last() -> None:
    midnight, last_second = time(0, 0, 0), time(23, 59, 59, 999_999)
    assert moment_of_work(day(3), None) < moment_of_work(day(3), midnight) < moment_of_work(day(3), last_second)
    assert moment_of_null(day(3), last_second) < moment_of_null(day(3), None) < moment_of_work(day(4), None)
    assert moment_of_null(day(3), time(9, 30)) == moment_of_work(day(3), time(9, 30)) == (day(3), 34_200)


@pytest.mark.parametrize(
    ("one", "other", "agree"),
    [
        (Plate("1432"), Plate("1432"), True),
        (Plate(" 1432 "), Plate("1432"), True),
        (Plate("01432"), Plate("1432"), False),
        (Plate("1432"), Plate("1432A"), False),
        (Plate("1432"), Plate("14 32"), False),
        (Plate("1432", "unreadable"), Plate("1432"), False),
        (Plate("", "unreadable"), Plate("", "unreadable"), False),
        (Plate("", "missing"), Plate("", "missing"), False),
        (Plate(""), Plate(""), False),
        (Plate("  "), Plate("  "), False),
    ],
)
def test_plates_agree_digit_for_digit_and_never_when_one_cannot_be_read(one: Plate, other: Plate, agree: bool) -> None:
    assert one.agrees_with(other) is agree
    assert other.agrees_with(one) is agree


def test_a_reason_as_plain_data() -> None:
    assert Reason(day(2), "disturbed", "x").as_dict() == {"date": "2024-03-02", "cause": "disturbed", "text": "x"}
    assert Reason(None, "no record", "x").as_dict()["date"] is None


# --- 1. No neutralized position


def test_not_needed_whatever_else_is_recorded() -> None:
    got = answer(
        capacitor=NOWHERE, unit_plate=Plate("9"), nulls=[null(1)], upsets=[upset(2, unit=U)], stays=[stay("T1", 1, 3)]
    )
    assert got == PairAnswer(
        NOT_NEEDED, None, (Reason(None, "no neutralized position", "The set model has no neutralized position."),)
    )


# --- 2. No neutralization of this pair on record


@pytest.mark.parametrize("capacitor", [IN_UNIT, IN_CHASSIS])
def test_matched_serials_and_nothing_against_them_are_presumed(capacitor: str) -> None:
    got = answer(capacitor=capacitor)
    assert got == PairAnswer(
        PRESUMED, None, (Reason(None, "serials match", "Unit and chassis both bear 1432; never checked here."),)
    )


@pytest.mark.parametrize(
    ("unit_plate", "chassis_plate", "text"),
    [
        (Plate("01432"), Plate("1432"), "No record; plate says 01432, chassis is 1432."),
        (Plate("3050"), Plate("1432"), "No record; plate says 3050, chassis is 1432."),
        (Plate("", "unreadable"), Plate("1432"), "No record; the unit's plate cannot be read, chassis is 1432."),
        (Plate("", "missing"), Plate("1432"), "No record; the unit's plate bears no number, chassis is 1432."),
        (Plate("1432"), Plate("", "unreadable"), "No record; plate says 1432, chassis plate cannot be read."),
        (Plate("1432"), Plate("", "missing"), "No record; plate says 1432, chassis plate bears no number."),
        (Plate(""), Plate(""), "No record; the unit's plate bears no number, chassis plate bears no number."),
    ],
)
def test_other_or_unknown_serials_without_record_are_due(unit_plate: Plate, chassis_plate: Plate, text: str) -> None:
    got = answer(unit_plate=unit_plate, chassis_plate=chassis_plate)
    assert (got.state, got.setting) == (DUE, None)
    assert got.reasons == (Reason(None, "no record", text),)


def test_equal_text_on_a_plate_that_cannot_be_read_presumes_nothing() -> None:
    assert answer(unit_plate=Plate("1432", "unreadable")).state == DUE


@pytest.mark.parametrize("where", [{"unit": U}, {"chassis": C}, {"unit": U, "chassis": C}])
def test_presumed_is_spoiled_by_a_recorded_disturbance(where: dict[str, int]) -> None:
    got = answer(upsets=[upset(5, cause="knock or fall", **where)])  # type: ignore[arg-type]
    assert got.state == DUE
    assert [(r.date, r.cause) for r in got.reasons] == [(None, "no record"), (day(5), "disturbed")]


@pytest.mark.parametrize(
    ("capacitor", "unit", "chassis", "state"),
    [
        (IN_UNIT, U, D, DUE),
        (IN_UNIT, V, C, PRESUMED),
        (IN_CHASSIS, V, C, DUE),
        (IN_CHASSIS, U, D, PRESUMED),
        (IN_UNIT, V, D, PRESUMED),
        (IN_CHASSIS, V, D, PRESUMED),
    ],
)
def test_presumed_is_spoiled_when_the_same_capacitor_was_set_for_another(
    capacitor: str, unit: int, chassis: int, state: str
) -> None:
    got = answer(capacitor=capacitor, nulls=[null(4, unit=unit, chassis=chassis)])
    assert got.state == state
    assert got.setting is None  # the setting of another pair is none of ours


def test_presumed_is_spoiled_by_a_tube_change() -> None:
    got = answer(stays=[stay("T1", 1, 6), stay("T2", 6)])
    assert got.state == DUE
    assert got.reasons[1] == Reason(day(6), "tube changed", "V101: tube T1 replaced by T2 on 2024-03-06.")


def test_presumed_stands_with_its_first_tube_still_in_place_or_back_again() -> None:
    assert answer(stays=[stay("T1", 1)]).state == PRESUMED
    assert answer(stays=[stay("T1", 1, 3), stay("T2", 3, 5), stay("T1", 5)]).state == PRESUMED


def test_presumed_is_spoiled_by_taking_the_tube_out() -> None:
    got = answer(stays=[stay("T1", 1, 6)])
    assert (got.state, causes(got)) == (DUE, ["no record", "tube changed"])


# --- 3. With a record


@pytest.mark.parametrize("capacitor", [IN_UNIT, IN_CHASSIS])
@pytest.mark.parametrize("plate", [Plate("1432"), Plate("9"), Plate("", "unreadable")])
def test_good_when_nothing_happened_since_whatever_the_plates_say(capacitor: str, plate: Plate) -> None:
    got = answer(capacitor=capacitor, unit_plate=plate, nulls=[null(2, by="R. Halden")], stays=[stay("T1", 1)])
    text = "Neutralized on 2024-03-02 by R. Halden, setting 42; nothing recorded against it since."
    assert got == PairAnswer(GOOD, "42", (Reason(day(2), "neutralized", text),))


def test_good_without_a_written_setting_says_so() -> None:
    got = answer(nulls=[null(2, setting="  ")])
    assert (got.state, got.setting) == (GOOD, None)
    assert texts(got) == ["Neutralized on 2024-03-02, no setting written down; nothing recorded against it since."]


def test_another_tube_is_due_with_position_tubes_and_date() -> None:
    got = answer(nulls=[null(3)], stays=[stay("T1", 1, 8), stay("T2", 8)])
    assert (got.state, got.setting) == (DUE, "42")
    assert got.reasons == (Reason(day(8), "tube changed", "V101: tube T1 replaced by T2 on 2024-03-08."),)


def test_the_same_tube_back_again_is_not_another_tube() -> None:
    assert answer(nulls=[null(3)], stays=[stay("T1", 1, 8), stay("T2", 8, 9), stay("T1", 9)]).state == GOOD
    assert answer(nulls=[null(3)], stays=[stay("T1", 1, 8), stay("T1", 11)]).state == GOOD


SAME_TUBE = "It is the same tube in the same position, so the setting stands (common practice, no source)."


def test_a_tube_that_was_out_and_is_back_is_told_and_spoils_nothing() -> None:
    """The same tube in the same position has the capacitances it had (common practice, no source)."""
    away = [stay("T1", 1, 8), stay("T1", 11)]
    told = Reason(
        day(11), "tube out and back", f"V101: tube T1 taken out on 2024-03-08 and put back on 2024-03-11. {SAME_TUBE}"
    )
    good = answer(nulls=[null(3)], stays=away)
    assert (good.state, good.reasons[1:]) == (GOOD, (told,))
    presumed = answer(stays=away)
    assert (presumed.state, presumed.reasons[1:]) == (PRESUMED, (told,))
    reset = answer(nulls=[null(3), null(9, chassis=D)], stays=away)
    assert (reset.state, reset.reasons[1:]) == (RESET_AND_VERIFY, (told,))


@pytest.mark.parametrize(
    ("stays", "words"),
    [
        ([stay("T1", 1, 8), stay("T1", 8)], "tube T1 taken out and put back on 2024-03-08."),
        (
            [stay("T1", 1, 5), stay("T1", 6, 8), stay("T1", 9)],
            "on 2024-03-08 and put back on 2024-03-09, the last of 2",
        ),
        ([stay("T1", 1, 8), stay("T2", 8, 9), stay("T1", 9)], "2024-03-09, with T2 in its place meanwhile."),
    ],
)
def test_when_and_how_often_a_tube_was_out_and_what_was_in_its_place(stays: list[TubeStay], words: str) -> None:
    got = answer(nulls=[null(3)], stays=stays)
    assert causes(got) == ["neutralized", "tube out and back"] and words in texts(got)[1]


def test_nothing_is_told_of_a_tube_that_was_out_before_the_neutralization_or_is_not_back() -> None:
    assert causes(answer(nulls=[null(9)], stays=[stay("T1", 1, 4), stay("T1", 6)])) == ["neutralized"]
    assert causes(answer(nulls=[null(3)], stays=[stay("T1", 1, 8)])) == ["tube changed"]
    assert causes(answer(nulls=[null(3)], stays=[stay("T1", 1, 5), stay("T1", 6, 8), stay("T2", 8)])) == [
        "tube changed"
    ]
    assert causes(answer(on=day(10), nulls=[null(3)], stays=[stay("T1", 1, 8), stay("T1", 11)])) == ["tube changed"]


def test_an_empty_position_is_due_with_the_day_it_was_emptied() -> None:
    got = answer(nulls=[null(3)], stays=[stay("T1", 1, 8)])
    assert got.state == DUE
    assert got.reasons == (Reason(day(8), "tube changed", "V101: tube T1 taken out on 2024-03-08, position empty."),)


@pytest.mark.parametrize(
    ("nulls", "stays", "words"),
    [
        ([null(2)], [stay("T1", 1, 3), stay("T1", 5, 8)], "tube T1 taken out on 2024-03-08, position empty."),
        ([], [stay("T1", 1, 3), stay("T1", 5, 8)], "tube T1 taken out on 2024-03-08, position empty."),
        (
            [null(2)],
            [stay("T1", 1, 3), stay("T2", 5, 8)],
            "tube T1 taken out on 2024-03-03; T2 stood there until 2024-03-08, position empty.",
        ),
        (
            [null(2)],
            [stay("T1", 1, 3), stay("T2", 3, 8), stay("T3", 8)],
            "tube T1 replaced by others, at last by T3 on 2024-03-08.",
        ),
        ([null(4)], [stay("T2", 1, 3), stay("T1", 3, 8), stay("T3", 8)], "tube T1 replaced by T3 on 2024-03-08."),
    ],
)
def test_what_stood_in_the_position_meanwhile_is_told(nulls: list[Null], stays: list[TubeStay], words: str) -> None:
    got = answer(nulls=nulls, stays=stays)
    assert got.state == DUE and texts(got)[-1] == f"V101: {words}"


def test_a_position_empty_then_and_now_says_nothing() -> None:
    assert answer(nulls=[null(5)], stays=[stay("T1", 1, 4), stay("T2", 6, 8)]).state == GOOD


def test_a_tube_where_none_was_on_record_is_due() -> None:
    got = answer(nulls=[null(3)], stays=[stay("T1", 7)])
    text = "V101: tube T1 fitted on 2024-03-07; no tube was on record there when the unit was neutralized."
    assert (got.state, got.reasons) == (DUE, (Reason(day(7), "tube changed", text),))


def test_two_tubes_that_changed_positions_are_two_reasons() -> None:
    stays = [stay("T1", 1, 8), stay("T2", 1, 8, "V102"), stay("T2", 8), stay("T1", 8, None, "V102")]
    got = answer(nulls=[null(3)], stays=stays)
    assert got.state == DUE
    assert texts(got) == ["V101: tube T1 replaced by T2 on 2024-03-08.", "V102: tube T2 replaced by T1 on 2024-03-08."]


@pytest.mark.parametrize(
    ("where", "word"),
    [({"unit": U}, "Unit"), ({"chassis": C}, "Chassis"), ({"unit": U, "chassis": C}, "Pair")],
)
def test_a_disturbance_since_is_due_with_cause_date_and_note(where: dict[str, int], word: str) -> None:
    got = answer(nulls=[null(3)], upsets=[upset(9, cause="lead or shield moved", note="grid lead. ", **where)])  # type: ignore[arg-type]
    assert (got.state, got.setting) == (DUE, "42")
    assert got.reasons == (Reason(day(9), "disturbed", f"{word}, lead or shield moved on 2024-03-09: grid lead."),)


@pytest.mark.parametrize("where", [{"unit": V}, {"chassis": D}, {"unit": U, "chassis": D}, {"unit": V, "chassis": C}])
def test_a_disturbance_of_others_is_none_of_ours(where: dict[str, int]) -> None:
    assert answer(nulls=[null(3)], upsets=[upset(9, **where)]).state == GOOD  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("where", "both", "state", "word"),
    [
        ((U, C), True, DUE, "Unit and chassis"),
        ((U, D), True, DUE, "Unit"),
        ((V, C), True, DUE, "Chassis"),
        ((V, D), True, GOOD, ""),
        ((U, C), False, DUE, "Pair"),
        ((U, D), False, GOOD, ""),
        ((V, C), False, GOOD, ""),
    ],
)
def test_what_upset_unit_and_chassis_concerns_every_partner_of_either(
    where: tuple[int, int], both: bool, state: str, word: str
) -> None:
    """A knock, a repair or a moved lead upsets the thing, whatever it was with (common practice, no source)."""
    got = answer(nulls=[null(3)], upsets=[Upset(work(9), "knock or fall", *where, both=both)])
    assert got.state == state and (not word or texts(got) == [f"{word}, knock or fall on 2024-03-09."])


def test_a_disturbance_before_the_neutralization_is_mended_by_it() -> None:
    assert (
        answer(
            nulls=[null(3)], upsets=[upset(2, unit=U), upset(1, chassis=C)], stays=[stay("T1", 1, 2), stay("T2", 2)]
        ).state
        == GOOD
    )


def test_unit_set_for_another_chassis_is_reset_and_verify() -> None:
    got = answer(nulls=[null(3), null(9, chassis=D, setting="57")])
    text = "Unit set for chassis 2077 on 2024-03-09; its setting for this chassis was 42 on 2024-03-03."
    assert got == PairAnswer(RESET_AND_VERIFY, "42", (Reason(day(9), "set for another chassis", text),))


def test_chassis_set_for_another_unit_is_reset_and_verify() -> None:
    got = answer(capacitor=IN_CHASSIS, nulls=[null(3), null(9, unit=V, setting="57")])
    text = "Chassis set for unit 3050 on 2024-03-09; its setting for this unit was 42 on 2024-03-03."
    assert got == PairAnswer(RESET_AND_VERIFY, "42", (Reason(day(9), "set for another unit", text),))


@pytest.mark.parametrize(
    ("capacitor", "unit", "chassis"), [(IN_UNIT, V, C), (IN_CHASSIS, U, D), (IN_UNIT, V, D), (IN_CHASSIS, V, D)]
)
def test_another_capacitor_set_for_another_partner_is_none_of_ours(capacitor: str, unit: int, chassis: int) -> None:
    assert answer(capacitor=capacitor, nulls=[null(3), null(9, unit=unit, chassis=chassis)]).state == GOOD


@pytest.mark.parametrize("blank", ["", "   "])
def test_reset_and_verify_needs_a_written_setting(blank: str) -> None:
    got = answer(nulls=[null(3, setting=blank), null(9, chassis=D)])
    assert (got.state, got.setting, causes(got)) == (DUE, None, ["set for another chassis"])
    assert texts(got) == ["Unit set for chassis 2077 on 2024-03-09; its setting for this chassis was not written down."]


def test_the_setting_of_an_older_neutralization_does_not_count() -> None:
    got = answer(nulls=[null(2, setting="41"), null(5, setting=""), null(9, chassis=D)])
    assert (got.state, got.setting) == (DUE, None)


def test_another_partner_and_anything_else_is_due_with_every_reason_in_order() -> None:
    got = answer(
        nulls=[null(3), null(9, chassis=D)],
        upsets=[upset(12, chassis=C), upset(5, unit=U)],
        stays=[stay("T1", 1, 8), stay("T2", 8)],
    )
    assert (got.state, got.setting) == (DUE, "42")
    assert [(r.date, r.cause) for r in got.reasons] == [
        (day(5), "disturbed"),
        (day(8), "tube changed"),
        (day(9), "set for another chassis"),
        (day(12), "disturbed"),
    ]


def test_neutralizing_again_after_another_partner_is_good_with_the_new_setting() -> None:
    got = answer(nulls=[null(3), null(9, chassis=D), null(10, setting="44")])
    assert (got.state, got.setting) == (GOOD, "44")


def test_names_may_be_lacking() -> None:
    bare = replace(facts(nulls=[null(3), null(9, chassis=D)]), chassis_names=None)
    assert "chassis another" in state_of_pair(bare, LATER).reasons[0].text


# --- On the air: whoever goes on the air has the dial set for the unit in use (common practice, no source)


@pytest.mark.parametrize(
    ("capacitor", "unit", "chassis", "setting", "state"),
    [
        (IN_CHASSIS, V, C, "42", RESET_AND_VERIFY),
        (IN_CHASSIS, V, C, "", DUE),
        (IN_CHASSIS, U, C, "42", GOOD),  # the pair itself on the air
        (IN_CHASSIS, U, D, "42", GOOD),  # another chassis, another capacitor
        (IN_CHASSIS, V, D, "42", GOOD),
        (IN_UNIT, U, D, "42", RESET_AND_VERIFY),
        (IN_UNIT, U, D, "", DUE),
        (IN_UNIT, V, C, "42", GOOD),
    ],
)
def test_on_the_air_with_another_the_capacitor_was_set_for_that(
    capacitor: str, unit: int, chassis: int, setting: str, state: str
) -> None:
    got = answer(capacitor=capacitor, nulls=[null(3, setting=setting)], uses=[use(9, unit=unit, chassis=chassis)])
    assert got.state == state
    before = answer(capacitor=capacitor, nulls=[null(9, setting=setting)], uses=[use(3, unit=unit, chassis=chassis)])
    assert before.state == GOOD


def test_an_on_air_record_is_named_as_what_it_is_known_from() -> None:
    got = answer(capacitor=IN_CHASSIS, nulls=[null(3)], uses=[use(9, unit=V), use(5, unit=V)])
    text = (
        "Chassis set for unit 3050 on 2024-03-09, by its on-air record; its setting for this unit was 42 on 2024-03-03."
    )
    assert got.reasons == (Reason(day(9), "set for another unit", text),)


def test_a_set_back_dial_is_no_neutralization() -> None:
    """On the air with V, then with U again: the dial was set back, its null was not verified."""
    got = answer(capacitor=IN_CHASSIS, nulls=[null(3)], uses=[use(9, unit=V), use(12)])
    assert (got.state, got.setting) == (RESET_AND_VERIFY, "42")


def test_presumed_is_spoiled_by_another_unit_on_the_air() -> None:
    assert answer(capacitor=IN_CHASSIS, uses=[use(4, unit=V)]).state == DUE
    assert answer(capacitor=IN_CHASSIS, uses=[use(4)]).state == PRESUMED
    assert answer(on=day(3), capacitor=IN_CHASSIS, uses=[use(4, unit=V)]).state == PRESUMED


@pytest.mark.parametrize(
    ("null_at", "use_at", "state"),
    [
        (None, None, RESET_AND_VERIFY),  # one day without times: neither is the last
        (time(10), None, RESET_AND_VERIFY),
        (None, time(10), RESET_AND_VERIFY),
        (time(10), time(9), GOOD),
        (time(10), time(10), RESET_AND_VERIFY),
        (time(10), time(11), RESET_AND_VERIFY),
    ],
)
def test_a_neutralization_and_another_unit_on_the_air_on_one_day(
    null_at: time | None, use_at: time | None, state: str
) -> None:
    got = answer(capacitor=IN_CHASSIS, nulls=[null(3, null_at)], uses=[use(3, use_at, unit=V)])
    assert got.state == state


# --- Dates: back-dated, future, same day


def test_a_neutralization_entered_late_counts_from_its_own_date() -> None:
    """Dated before the tube change it does not mend it; dated before a later one it is not the last."""
    swap = [stay("T1", 1, 8), stay("T2", 8)]
    assert answer(nulls=[null(5)], stays=swap).state == DUE
    late_entry = answer(nulls=[null(10, setting="44"), null(5)], stays=swap)
    assert (late_entry.state, late_entry.setting) == (GOOD, "44")


def test_nothing_after_the_day_asked_about_counts() -> None:
    future = facts(
        nulls=[null(3), null(20, chassis=D), null(25)],
        upsets=[upset(20, unit=U)],
        stays=[stay("T1", 1, 20), stay("T2", 20)],
    )
    assert state_of_pair(future, day(2)).state == PRESUMED
    assert state_of_pair(future, day(3)).state == GOOD
    assert state_of_pair(future, day(19)).state == GOOD
    assert state_of_pair(future, day(20)).state == DUE
    assert state_of_pair(future, day(25)).state == GOOD


def test_the_day_asked_about_is_taken_to_its_end() -> None:
    assert answer(on=day(3), nulls=[null(3)]).state == GOOD
    assert answer(on=day(3), nulls=[null(3, time(8))], upsets=[upset(3, time(23, 59, 59), unit=U)]).state == DUE


@pytest.mark.parametrize(
    ("null_at", "work_at", "state"),
    [
        (None, None, GOOD),
        (None, time(23, 0), GOOD),
        (time(10), None, GOOD),
        (time(10), time(9), GOOD),
        (time(10), time(11), DUE),
    ],
)
def test_work_and_neutralization_of_one_day(null_at: time | None, work_at: time | None, state: str) -> None:
    assert answer(nulls=[null(3, null_at)], upsets=[upset(3, work_at, unit=U)]).state == state
    swap = [TubeStay("V101", "T1", work(1), work(3, work_at)), TubeStay("V101", "T2", work(3, work_at))]
    assert answer(nulls=[null(3, null_at)], stays=swap).state == state


MINUTE, LATE_IN_IT = time(21, 50), time(21, 50, 40)


@pytest.mark.parametrize(("null_at", "work_at"), [(MINUTE, MINUTE), (LATE_IN_IT, MINUTE), (MINUTE, LATE_IN_IT)])
def test_work_of_the_minute_of_a_neutralization_counts_as_later_and_says_so(null_at: time, work_at: time) -> None:
    """Times are to the minute, so two events of one are in no order (common practice, no source)."""
    swap = [TubeStay("V101", "T1", work(1), work(3, work_at)), TubeStay("V101", "T2", work(3, work_at))]
    got = answer(nulls=[null(3, null_at)], stays=swap)
    assert got.state == DUE and texts(got) == [
        "V101: tube T1 replaced by T2 on 2024-03-03; of the same minute as the neutralization and taken as later; "
        "if it was before, mend the times."
    ]
    for cause in ("repair", "lead or shield moved"):
        moved = answer(nulls=[null(3, null_at)], upsets=[upset(3, work_at, unit=U, cause=cause)])
        assert moved.state == DUE and "of the same minute as the neutralization and taken as later" in texts(moved)[0]


@pytest.mark.parametrize(
    ("stays", "state"),
    [
        ([TubeStay("V101", "T1", work(1), work(3, MINUTE))], DUE),  # taken out
        ([TubeStay("V101", "T1", work(3, MINUTE))], DUE),  # the first on record there
        ([TubeStay("V101", "T1", work(1), work(3, MINUTE)), TubeStay("V101", "T1", work(3, MINUTE))], GOOD),
        ([TubeStay("V101", "T1", work(1), work(3, time(21, 49))), TubeStay("V101", "T2", work(3, time(21, 49)))], GOOD),
        ([TubeStay("V101", "T1", work(1), work(3)), TubeStay("V101", "T2", work(3))], GOOD),  # no time: done before
    ],
)
def test_tubes_around_the_minute_of_a_neutralization(stays: list[TubeStay], state: str) -> None:
    assert answer(nulls=[null(3, MINUTE)], stays=stays).state == state


def test_a_change_of_the_minute_that_was_undone_is_named_under_a_good_state() -> None:
    stays = [
        TubeStay("V101", "T1", work(1), work(3, MINUTE)),
        TubeStay("V101", "T2", work(3, MINUTE), work(5)),
        TubeStay("V101", "T1", work(5)),
    ]
    got = answer(nulls=[null(3, MINUTE)], stays=stays)
    assert (got.state, causes(got)) == (GOOD, ["neutralized", "tube out and back", "same day"])
    assert "taken as later" in texts(got)[2]


def test_two_partners_of_one_minute_leave_neither_as_the_last() -> None:
    got = answer(nulls=[null(3, MINUTE), null(3, LATE_IN_IT, chassis=D)])
    assert got.state == RESET_AND_VERIFY and texts(got)[0].endswith("; both in one minute, order not recorded.")


@pytest.mark.parametrize("at", [None, MINUTE])
def test_a_setting_written_down_for_only_one_of_two_without_an_order_is_no_setting_to_go_back_to(
    at: time | None,
) -> None:
    """Which of the two was the last is not known, so neither is the setting (common practice, no source)."""
    both = [null(3, at, setting="42"), null(3, at, setting="")]
    moved = answer(nulls=[*both, null(9, chassis=D)])
    assert (moved.state, moved.setting) == (DUE, "42 or not written down")
    assert "42 or not written down on 2024-03-03, several records without an order" in texts(moved)[0]
    assert answer(nulls=both).setting == "42 or not written down"
    assert answer(nulls=[*both, null(4, setting="43"), null(9, chassis=D)]).state == RESET_AND_VERIFY


def test_a_setting_that_has_the_word_or_in_it_is_one_setting() -> None:
    """The keeper wrote down what the dial showed; that it says "or" does not make two records of it."""
    got = answer(nulls=[null(3, setting="40 or 41")])
    assert (got.setting, texts(got)) == (
        "40 or 41", ["Neutralized on 2024-03-03, setting 40 or 41; nothing recorded against it since."],
    )  # fmt: skip
    moved = answer(nulls=[null(3, setting="40 or 41"), null(9, chassis=D)])
    assert moved.state == RESET_AND_VERIFY and "several records" not in texts(moved)[0]
    alone, two = last_setting([null(3, setting="40 or 41")]), last_setting([null(3), null(3, setting="43")])
    assert (alone.only, alone.unordered, two.only, two.unordered) == ("40 or 41", False, "", True)
    half = last_setting([null(3), null(3, setting="")])
    assert (half.words, half.only, half.known) == ("42 or not written down", "", False)
    none = last_setting([null(3, setting=" ")])
    assert (none.words, none.only, none.known, none.unordered) == (None, "", False, False)


def test_work_of_the_same_day_without_times_is_shown_as_taken_to_be_before() -> None:
    got = answer(nulls=[null(3)], upsets=[upset(3, unit=U)])
    assert causes(got) == ["neutralized", "same day"]
    told = "Work of 2024-03-03 is taken as done before the neutralizing of that day; if it was not, give the times."
    assert texts(got)[1] == told
    got = answer(nulls=[null(3)], upsets=[upset(3, unit=V)])
    assert causes(got) == ["neutralized"]


@pytest.mark.parametrize("capacitor", [IN_UNIT, IN_CHASSIS])
def test_two_partners_on_one_day_without_times_leave_neither_as_the_last(capacitor: str) -> None:
    other = null(3, unit=U, chassis=D) if capacitor == IN_UNIT else null(3, unit=V, chassis=C)
    got = answer(capacitor=capacitor, nulls=[null(3), other])
    assert (got.state, got.setting) == (RESET_AND_VERIFY, "42")
    assert texts(got)[0].endswith("; both on one day, order not recorded.")


def test_two_partners_on_one_day_with_times_are_in_order() -> None:
    assert answer(nulls=[null(3, time(9)), null(3, time(11), chassis=D)]).state == RESET_AND_VERIFY
    assert answer(nulls=[null(3, time(11)), null(3, time(9), chassis=D)]).state == GOOD


def test_of_two_neutralizations_of_one_day_the_timed_one_was_first() -> None:
    assert answer(nulls=[null(3, time(9), setting="41"), null(3, setting="44")]).setting == "44"


def test_every_order_of_entry_gives_the_same_answer() -> None:
    events = [null(3), null(3, setting="43"), null(9, chassis=D), null(9, chassis=7)]
    answers = {answer(nulls=order, upsets=[]) for order in permutations(events)}
    assert len(answers) == 1


# --- Cases where the rule is unsafe or says what is not so


def test_two_partners_on_one_day_one_of_them_without_a_time_leave_neither_as_the_last() -> None:
    got = answer(nulls=[null(3), null(3, time(15), chassis=D)])
    assert got.state == RESET_AND_VERIFY


def test_two_settings_of_one_day_without_times_are_not_chosen_between_in_silence() -> None:
    got = answer(nulls=[null(3, setting="9"), null(3, setting="42"), null(5, chassis=D)])
    assert "42" in " ".join(texts(got)) and "9" in " ".join(texts(got))


def test_work_known_to_be_after_the_neutralization_is_not_called_before() -> None:
    stays = [
        TubeStay("V101", "T1", work(1), work(3, time(11))),
        TubeStay("V101", "T1", work(3, time(12))),
    ]
    got = answer(nulls=[null(3, time(10))], stays=stays)
    assert got.state == GOOD  # same tube, back again
    assert causes(got) == ["neutralized", "tube out and back"]


def test_work_and_neutralization_both_timed_need_no_remark() -> None:
    got = answer(nulls=[null(3, time(10))], upsets=[upset(3, time(9), unit=U)])
    assert causes(got) == ["neutralized"]


def test_the_same_day_remark_stands_under_reset_and_verify_too() -> None:
    got = answer(nulls=[null(3), null(9, chassis=D)], upsets=[upset(3, unit=U)])
    assert got.state == RESET_AND_VERIFY
    assert "same day" in causes(got)


def test_overlapping_stays_of_one_day_do_not_hide_a_tube_change() -> None:
    """T1 came out at 14:00, T2 went in that day with no time given; neutralized at 10:00, so with T1."""
    stays = [TubeStay("V101", "T1", work(1), work(3, time(14))), TubeStay("V101", "T2", work(3))]
    assert answer(nulls=[null(3, time(10))], stays=stays).state == DUE


def test_presumed_is_spoiled_by_a_tube_change_on_the_first_day_on_record() -> None:
    """The set is registered with T1 and the same day T1 gives way to T2: a tube change is on record."""
    assert answer(stays=[stay("T1", 3, 3), stay("T2", 3)]).state == DUE


def test_a_tube_fitted_at_a_time_and_taken_out_that_day_was_there_in_between() -> None:
    """T1 in at 10:00, neutralized at 11:00, T1 out that day with no time given; the position has been empty since."""
    stays = [TubeStay("V101", "T1", work(3, time(10)), work(3))]
    assert answer(nulls=[null(3, time(11))], stays=stays).state == DUE


def test_an_unknown_home_of_the_capacitor_is_refused() -> None:
    with pytest.raises(ValueError, match="capacitor"):
        answer(capacitor="Unit", nulls=[null(3)])


def test_every_other_partner_is_named_when_due() -> None:
    got = answer(nulls=[null(3, setting=""), null(5, chassis=D), null(7, chassis=3)])
    assert got.state == DUE
    assert [reason.date for reason in got.reasons] == [day(5), day(7)]


# --- Histories for the property tests

# Strategies are made once, and moments are listed beforehand: making them while drawing takes longer than the folds.

DAYS = st.integers(1, 8)
TIMED = [None, None, time(9), time(9, 0, 30), time(15)]
TIMES = st.sampled_from(TIMED)
WHEN = list(product(range(1, 9), TIMED))
WORK = st.sampled_from([work(*when) for when in WHEN])
SETTINGS = st.sampled_from(["", " ", "41", "42"])
NULLS = st.lists(
    st.tuples(
        st.sampled_from([U, U, V]),
        st.sampled_from([C, C, D]),
        st.sampled_from([moment_of_null(day(number), at) for number, at in WHEN]),
        SETTINGS,
    ).map(lambda drawn: Null(*drawn, "")),
    max_size=5,
)
WHERE = st.sampled_from([(U, None), (None, C), (U, C), (V, None), (None, D), (U, D), (V, C)])
UPSETS = st.lists(
    st.tuples(WORK, WHERE, st.sampled_from(["repair", "knock or fall"]), st.booleans()).map(
        lambda drawn: Upset(drawn[0], drawn[2], *drawn[1], both=drawn[3] and None not in drawn[1])
    ),
    max_size=3,
)
USES = st.lists(
    st.sampled_from(
        [use(*when, unit=unit, chassis=chassis) for chassis, unit, when in product([C, D], [U, V], WHEN)],
    ),
    max_size=3,
)
CUTS = st.lists(WORK, unique=True, max_size=5).map(sorted)
TUBE = st.sampled_from([None, "T1", "T2", "T3"])
TUBES = [st.lists(TUBE, min_size=count, max_size=count) for count in range(6)]
PLATES = st.sampled_from([Plate("1432"), Plate("1432"), Plate("01432"), Plate("", "unreadable"), Plate("", "missing")])
CAPACITORS = st.sampled_from([IN_UNIT, IN_CHASSIS, NOWHERE])


@st.composite
def stays_at(draw: st.DrawFn, position: str) -> list[TubeStay]:
    """What stood in one position, one tube after another, gaps allowed, never two at once."""
    cuts = draw(CUTS)
    ends: list[Moment | None] = [*cuts[1:], None]
    tubes = draw(TUBES[len(cuts)])
    return [TubeStay(position, tube, a, b) for tube, a, b in zip(tubes, cuts, ends, strict=False) if tube]


FIRST_PLACE, SECOND_PLACE = stays_at("V101"), stays_at("V102")


@st.composite
def histories(draw: st.DrawFn) -> PairFacts:
    return facts(
        capacitor=draw(CAPACITORS),
        chassis_plate=draw(PLATES),
        unit_plate=draw(PLATES),
        nulls=draw(NULLS),
        upsets=draw(UPSETS),
        stays=draw(FIRST_PLACE) + draw(SECOND_PLACE),
        uses=draw(USES),
    )


DAYS_ASKED = st.integers(0, 9).map(day)
often = settings(max_examples=400, deadline=None, database=None)


@often
@given(histories(), DAYS_ASKED, st.data())
def test_the_order_of_entry_never_matters(history: PairFacts, on: date, data: st.DataObject) -> None:
    shuffled = replace(
        history,
        nulls=data.draw(st.permutations(history.nulls)),
        upsets=data.draw(st.permutations(history.upsets)),
        stays=data.draw(st.permutations(history.stays)),
        uses=data.draw(st.permutations(history.uses)),
    )
    assert state_of_pair(shuffled, on) == state_of_pair(history, on)


@often
@given(histories(), DAYS_ASKED, DAYS, TIMES)
def test_what_concerns_others_only_never_matters(history: PairFacts, on: date, number: int, at: time | None) -> None:
    before = state_of_pair(history, on)
    foreign = [null(number, at, unit=V, chassis=D)]
    if history.capacitor == IN_UNIT:
        foreign.append(null(number, at, unit=V, chassis=C))
    if history.capacitor == IN_CHASSIS:
        foreign.append(null(number, at, unit=U, chassis=D))
    wheres = [(V, None), (None, D), (V, D), (U, D), (V, C)]
    upsets = [Upset(work(number, at), "repair", *where) for where in wheres]
    more = replace(history, nulls=[*history.nulls, *foreign], upsets=[*history.upsets, *upsets])
    assert state_of_pair(more, on) == before
    # A tube that was in its position before all else and never left it says nothing either.
    lasting = TubeStay("V999", "T9", Moment(day(-30), 0))
    assert state_of_pair(replace(history, stays=[*history.stays, lasting]), on) == before


@often
@given(histories(), st.sampled_from([None, "T8"]), st.booleans())
def test_a_tube_taken_out_and_put_back_is_not_a_tube_change(
    history: PairFacts, between: str | None, good: bool
) -> None:
    """Whatever the state was, an excursion of a tube after all other events does not change it."""
    if good:
        history = replace(history, nulls=[*history.nulls, null(9, setting="40")])
    on = day(20)
    before = state_of_pair(history, on)
    stays: list[TubeStay] = []
    for one in history.stays:
        if one.end is not None:
            stays.append(one)
            continue
        stays.append(replace(one, end=work(12)))
        if between:
            stays.append(TubeStay(one.position, between, work(12), work(14)))
        stays.append(replace(one, start=work(14)))
    after = state_of_pair(replace(history, stays=stays), on)
    assert after.state == before.state
    assert sorted(set(causes(after)) - {"tube out and back"}) == sorted(set(causes(before)) - {"tube out and back"})
    told = [one for one in after.reasons if one.cause == "tube out and back" and one.date == day(14)]
    back = {one.position for one in history.stays if one.end is None} if after.state not in (DUE, NOT_NEEDED) else set()
    assert {one.text.partition(":")[0] for one in told} == back
    if good and history.capacitor != NOWHERE:
        assert after.state == GOOD


@often
@given(histories(), DAYS_ASKED)
def test_the_answer_for_a_day_needs_only_what_happened_up_to_it(history: PairFacts, on: date) -> None:
    now = Moment(on, END_OF_DAY)
    known = replace(
        history,
        nulls=[one for one in history.nulls if one.moment <= now],
        uses=[one for one in history.uses if one.moment <= now],
        upsets=[one for one in history.upsets if one.moment <= now],
        stays=[
            replace(one, end=one.end if one.end is not None and one.end <= now else None)
            for one in history.stays
            if one.start <= now
        ],
    )
    assert state_of_pair(known, on) == state_of_pair(history, on)


@often
@given(histories(), histories(), DAYS_ASKED)
def test_what_is_dated_later_never_matters(history: PairFacts, later: PairFacts, on: date) -> None:
    """Any second history moved behind the day asked about changes nothing."""
    before = state_of_pair(history, on)

    def moved(moment: Moment) -> Moment:
        return Moment(moment.day + timedelta(days=20), moment.second)

    more = replace(
        history,
        nulls=[*history.nulls, *(replace(one, moment=moved(one.moment)) for one in later.nulls)],
        uses=[*history.uses, *(replace(one, moment=moved(one.moment)) for one in later.uses)],
        upsets=[*history.upsets, *(replace(one, moment=moved(one.moment)) for one in later.upsets)],
        stays=[
            *history.stays,
            *(replace(one, start=moved(one.start), end=moved(one.end) if one.end else None) for one in later.stays),
        ],
    )
    assert state_of_pair(more, on) == before


@often
@given(histories(), st.sampled_from([None, time(9)]), SETTINGS)
def test_a_pair_neutralized_after_all_else_is_good(history: PairFacts, at: time | None, setting: str) -> None:
    just_now = replace(history, nulls=[*history.nulls, null(9, at, setting=setting)])
    got = state_of_pair(just_now, day(9))
    if history.capacitor == NOWHERE:
        assert got.state == NOT_NEEDED
    else:
        assert (got.state, got.setting) == (GOOD, setting.strip() or None)


@often
@given(histories(), DAYS_ASKED)
def test_every_answer_has_a_reason_and_no_date_to_come(history: PairFacts, on: date) -> None:
    got = state_of_pair(history, on)
    assert got.reasons
    assert all(reason.text.endswith(".") and (reason.date is None or reason.date <= on) for reason in got.reasons)
    if got.state == RESET_AND_VERIFY:
        assert got.setting and got.setting in got.reasons[0].text
    assert "None" not in " ".join(texts(got))


# --- A second fold, written from the rule alone: walk through the days, keep what is known, judge at the end


@dataclass(frozen=True)
class Verdict:
    state: str
    setting: str | None
    causes: tuple[str, ...]


def slow_state(history: PairFacts, on: date) -> Verdict:
    """One step per moment; order within a moment: own nulls, tubes out, tubes in, disturbances. Partners at the end."""
    if history.capacitor == NOWHERE:
        return Verdict(NOT_NEEDED, None, ("no neutralized position",))
    moments = {one.moment for one in history.nulls} | {one.moment for one in history.upsets}
    moments |= {one.start for one in history.stays}
    moments |= {one.end for one in history.stays if one.end}
    fitted: dict[str, str] = {}
    reference: dict[str, str] = {}  # the tubes that count as "there": first ever, or those at the last own null
    out: set[str] = set()  # positions whose tube of then was taken out since
    last, setting, disturbed = None, "", 0
    for moment in sorted(moments):
        if moment[0] > on:
            break
        here = [one for one in history.nulls if one.moment == moment]
        own = [one for one in here if (one.unit, one.chassis) == (U, C)]
        if own:
            last, disturbed = moment, 0
            said = {one.setting.strip() for one in own}
            unwritten = ["not written down"] if said - {""} and "" in said else []
            setting = " or ".join(sorted(said - {""}) + unwritten)
            reference, out = dict(fitted), set()
        for one in history.stays:
            if one.end == moment and fitted.pop(one.position, None) == reference.get(one.position) is not None:
                out.add(one.position)
        for one in history.stays:
            if one.start == moment:
                fitted[one.position] = one.tube
                if last is None:
                    reference.setdefault(one.position, one.tube)
        for trouble in history.upsets:
            ours = (trouble.unit, trouble.chassis) in [(U, None), (None, C), (U, C)]
            ours = ours or (trouble.both and (trouble.unit == U or trouble.chassis == C))
            disturbed += ours and trouble.moment == moment
    neutralized = last is not None
    partners = set()
    for one in [*history.nulls, *history.uses]:
        partner = one.chassis if history.capacitor == IN_UNIT else one.unit
        shared, ours = (one.unit, C) if history.capacitor == IN_UNIT else (one.chassis, U)
        if one.moment[0] > on or shared != (U if history.capacitor == IN_UNIT else C) or partner == ours:
            continue
        untimed = last is not None and END_OF_DAY in (one.moment[1], last[1])
        surely_before = last is not None and one.moment < last and not (one.moment[0] == last[0] and untimed)
        if not surely_before:
            partners.add(partner)
    changed = sum(reference.get(place) != fitted.get(place) for place in {*reference, *fitted})
    cause = "set for another chassis" if history.capacitor == IN_UNIT else "set for another unit"
    back = ["tube out and back" for place in out if reference[place] == fitted.get(place)]
    found = sorted(["disturbed"] * disturbed + ["tube changed"] * changed + [cause] * len(partners))
    if not neutralized:
        unit_says, chassis_says = history.unit_plate, history.chassis_plate
        alike = unit_says.reading == chassis_says.reading == "read" and unit_says.serial == chassis_says.serial != ""
        if not alike:
            return Verdict(DUE, None, ("no record",))
        return (
            Verdict(DUE, None, tuple(sorted(["no record", *found])))
            if found
            else Verdict(PRESUMED, None, ("serials match", *back))
        )
    if not found:
        return Verdict(GOOD, setting or None, ("neutralized", *back))
    if set(found) == {cause} and setting and not setting.endswith("not written down"):
        return Verdict(RESET_AND_VERIFY, setting, tuple(sorted([*found, *back])))
    return Verdict(DUE, setting or None, tuple(found))


@settings(max_examples=1500, deadline=None, database=None)
@given(histories(), DAYS_ASKED)
def test_the_slow_fold_agrees(history: PairFacts, on: date) -> None:
    got = state_of_pair(history, on)
    slim = tuple(sorted(cause for cause in causes(got) if cause != "same day"))
    assert Verdict(got.state, got.setting, slim) == slow_state(history, on)


def test_a_lock_that_was_left_open_is_a_task() -> None:
    """The capacitor's lock keeps the setting (common practice, no source)."""
    for locked, told in ((True, []), (None, []), (False, ["lock not tightened"])):
        open_lock = Null(U, C, moment_of_null(day(3), None), "42", "", locked)
        got = answer(nulls=[open_lock])
        assert got.state == GOOD and [cause for cause in causes(got) if cause != "neutralized"] == told
