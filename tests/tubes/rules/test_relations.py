"""Which types are one tube and how the others are related: tiny tables, random tables, and the real ones."""

import csv
from functools import cache
from itertools import permutations, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tubes.rules.relations import (
    NEAR,
    PLAIN_FORM,
    RELATIONS,
    RUGGEDIZED,
    SAME,
    VARIANT,
    Kinship,
    Relative,
    is_unchecked,
    kinship,
    own_type_marks,
)
from tubes.rules.schemes import CIVIL_SCHEMES, TABLED
from tubes.rules.stamp import DesignationRow
from tubes.rules.tables import read_tables

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
CV, VT, SU, EIA, MAKER, OLD = "uk-cv", "us-signal-corps-vt", "soviet", "eia-industrial", "maker", "obsolete-civil"
LEAD = "unchecked: recalled, no second text"


def row(name: str, scheme: str, mark: str, relation: str = SAME, note: str = "") -> DesignationRow:
    return DesignationRow(name, scheme, mark, relation, note)


def related(kin: Kinship, name: str) -> list[tuple[str, str]]:
    return [(one.type, one.relation) for one in kin.relatives(name)]


# --- Classes


def test_a_type_alone_is_its_own_class_even_when_nobody_has_heard_of_it() -> None:
    kin = kinship([], ["9A9"])
    assert kin.same_as("9A9") == {"9A9"}
    assert kin.same_as("unheard") == {"unheard"}
    assert kin.relatives("9A9") == kin.relatives("unheard") == ()


def test_two_types_with_one_mark_are_one_tube() -> None:
    kin = kinship([row("9A9", CV, "CV901"), row("9A9X", CV, "CV901")], ["9A9", "9A9X"])
    assert kin.same_as("9A9") == kin.same_as("9A9X") == {"9A9", "9A9X"}
    assert related(kin, "9A9") == [("9A9X", SAME)]
    assert related(kin, "9A9X") == [("9A9", SAME)]


def test_sameness_goes_along_the_chain() -> None:
    rows = [
        row("A1", CV, "CV1"),
        row("B1", CV, "CV1"),
        row("B1", VT, "VT-1"),
        row("C1", VT, "VT-1"),
        row("C1", MAKER, "D1"),
    ]
    for order in permutations(rows):
        kin = kinship(order, ["A1", "B1", "C1", "D1"])
        assert kin.same_as("A1") == kin.same_as("D1") == {"A1", "B1", "C1", "D1"}


def test_one_mark_in_two_schemes_joins_nothing() -> None:
    """The U.S. and the British VT numbers collide."""
    kin = kinship([row("A1", VT, "VT-25"), row("B1", "uk-services", "VT-25")], ["A1", "B1"])
    assert kin.same_as("A1") == {"A1"}


def test_marks_that_differ_in_case_or_leading_zero_join_nothing() -> None:
    kin = kinship([row("A1", CV, "CV1"), row("B1", CV, "CV01"), row("C1", CV, "cv1")], ["A1", "B1", "C1"])
    assert kin.same_as("A1") == {"A1"}


def test_unchecked_rows_never_join_but_are_listed_as_leads() -> None:
    kin = kinship([row("A1", CV, "CV1"), row("B1", CV, "CV1", note=LEAD)], ["A1", "B1"])
    assert kin.same_as("A1") == {"A1"}
    assert kin.relatives("B1") == (Relative("A1", SAME, LEAD),)
    assert all(one.unchecked for name in ("A1", "B1") for one in kin.relatives(name))


def test_an_unchecked_row_to_a_type_name_never_joins() -> None:
    kin = kinship([row("A1", EIA, "B1", note=LEAD)], ["A1", "B1"])
    assert kin.same_as("A1") == {"A1"}
    assert [(one.type, one.relation, one.unchecked) for one in kin.relatives("A1")] == [("B1", SAME, True)]


@pytest.mark.parametrize("note", ["unchecked: so he says", "trap; unchecked: one text", LEAD])
def test_a_lead_is_known_by_its_note(note: str) -> None:
    assert is_unchecked(note)
    assert not is_unchecked("checked twice") and not is_unchecked("")


@pytest.mark.parametrize("scheme", sorted(CIVIL_SCHEMES))
def test_a_civil_mark_that_is_the_name_of_a_type_is_that_type(scheme: str) -> None:
    assert kinship([row("A1", scheme, "B1")], ["A1", "B1"]).same_as("A1") == {"A1", "B1"}


def test_a_soviet_mark_that_looks_like_a_type_is_another_tube() -> None:
    """The Soviet 6A7 is the 6SA7; the American 6A7 is another tube (from memory)."""
    assert kinship([row("6SA7", SU, "6A7")], ["6SA7", "6A7"]).same_as("6SA7") == {"6SA7"}


def test_801_and_801a_share_vt_62_and_are_told_apart() -> None:
    rows = [row("801", VT, "VT-62"), row("801A", VT, "VT-62"), row("801A", OLD, "801", NEAR, "earlier issue")]
    for order in permutations(rows):
        kin = kinship(order, ["801", "801A"])
        assert kin.same_as("801") == {"801"}
        assert related(kin, "801") == [("801A", NEAR)]
        assert related(kin, "801A") == [("801", NEAR)]


# --- Relations


def test_ruggedized_goes_one_way() -> None:
    kin = kinship([row("A1", MAKER, "A1W", RUGGEDIZED)], ["A1"])
    assert kin.same_as("A1") == {"A1"}
    assert related(kin, "A1") == [("A1W", RUGGEDIZED)]
    assert related(kin, "A1W") == [("A1", PLAIN_FORM)]


@pytest.mark.parametrize("relation", [VARIANT, NEAR])
def test_variant_and_near_are_seen_from_both_sides_with_their_note(relation: str) -> None:
    kin = kinship([row("A1", MAKER, "B1", relation, "other base")], ["A1", "B1"])
    assert kin.relatives("A1") == (Relative("B1", relation, "other base"),)
    assert kin.relatives("B1") == (Relative("A1", relation, "other base", told_of="B1"),)  # said of B1


def test_a_relation_to_a_mark_is_one_to_the_type_behind_it() -> None:
    kin = kinship([row("A1", CV, "CV1", NEAR, "more heater current"), row("B1", CV, "CV1")], ["A1", "B1"])
    assert related(kin, "A1") == [("B1", NEAR)]
    assert related(kin, "B1") == [("A1", NEAR)]
    assert kin.same_as("CV1") == {"CV1"}
    assert kin.relatives("CV1") == ()


def test_relatives_come_closest_first_and_leads_last() -> None:
    rows = [
        row("A1", MAKER, "N1", NEAR),
        row("A1", MAKER, "V1", VARIANT),
        row("A1", MAKER, "R1", RUGGEDIZED),
        row("A1", MAKER, "S1"),
        row("A1", MAKER, "L1", SAME, LEAD),
        row("P1", MAKER, "A1", RUGGEDIZED),
    ]
    kin = kinship(rows, ["A1", "S1", "P1"])
    assert related(kin, "A1") == [
        ("S1", SAME),
        ("R1", RUGGEDIZED),
        ("V1", VARIANT),
        ("N1", NEAR),
        ("P1", PLAIN_FORM),
        ("L1", SAME),
    ]


def test_a_checked_row_counts_before_a_lead_of_the_same_relation() -> None:
    rows = [row("A1", MAKER, "B1", NEAR, LEAD), row("B1", MAKER, "A1", NEAR, "told by the sheet")]
    for order in permutations(rows):
        assert kinship(order, ["A1", "B1"]).relatives("A1") == (
            Relative("B1", NEAR, "told by the sheet", told_of="A1"),
        )


def test_a_note_read_backwards_says_of_which_of_the_two_it_is_said() -> None:
    kin = kinship([row("A1", MAKER, "B1", NEAR, "other base"), row("A1", MAKER, "C1", NEAR)], ["A1", "B1", "C1"])
    told = {name: [one.said for one in kin.relatives(name)] for name in ("A1", "B1", "C1")}
    assert told == {"A1": ["other base", ""], "B1": ["of B1 itself is said: other base"], "C1": [""]}


def test_all_of_a_class_have_the_relatives_of_each() -> None:
    rows = [row("A1", CV, "CV1"), row("A2", CV, "CV1"), row("A1", MAKER, "B1", NEAR)]
    kin = kinship(rows, ["A1", "A2", "B1"])
    assert ("B1", NEAR) in related(kin, "A1")
    assert ("B1", NEAR) in related(kin, "A2")


# --- Marks of their own


def test_own_marks_are_those_that_nothing_settles() -> None:
    rows = [
        row("A1", MAKER, "A1W", RUGGEDIZED),  # a tube of its own
        row("A1", CV, "CV1"),  # settled: A1
        row("B1", CV, "CV1", NEAR),  # the same mark again, still settled
        row("A1", CV, "CV2", SAME, LEAD),  # only a lead: not yet anything else
        row("A1", MAKER, "B1", NEAR),  # in the tables already
    ]
    assert own_type_marks(rows, ["A1", "B1"]) == {"A1W", "CV2"}
    assert own_type_marks([], ["A1"]) == frozenset()


# --- Cases that should hold and do not


def test_types_told_apart_stay_apart_when_a_third_shares_their_mark() -> None:
    rows = [row(name, VT, "VT-1") for name in ("A1", "B1", "C1")] + [row("B1", MAKER, "C1", NEAR, "more dissipation")]
    kin = kinship(rows, ["A1", "B1", "C1"])
    assert "C1" not in kin.same_as("B1")


def test_types_told_apart_are_not_joined_along_the_chain() -> None:
    rows = [
        row("A1", VT, "VT-1"),
        row("B1", VT, "VT-1"),
        row("B1", CV, "CV1"),
        row("C1", CV, "CV1"),
        row("A1", MAKER, "C1", NEAR, "more dissipation"),
    ]
    assert "C1" not in kinship(rows, ["A1", "B1", "C1"]).same_as("A1")


def test_types_told_apart_through_a_mark_stay_apart() -> None:
    """As with CV181: the mark is the B1, and only near the A1; another number is shared by both."""
    rows = [
        row("B1", CV, "CV1"),
        row("A1", CV, "CV1", NEAR, "less heater current"),
        row("A1", VT, "VT-1"),
        row("B1", VT, "VT-1"),
    ]
    assert kinship(rows, ["A1", "B1"]).same_as("A1") == {"A1"}


def test_a_soviet_mark_is_not_related_as_the_american_type_of_that_name() -> None:
    kin = kinship([row("6SA7", SU, "6A7", NEAR, "other base")], ["6SA7", "6A7"])
    assert kin.relatives("6A7") == ()


def test_a_relative_sees_all_of_a_class() -> None:
    rows = [row("A1", CV, "CV1"), row("A2", CV, "CV1"), row("A1", MAKER, "B1", NEAR)]
    assert ("A2", NEAR) in related(kinship(rows, ["A1", "A2", "B1"]), "B1")


def test_the_order_of_rows_does_not_choose_the_note() -> None:
    rows = [row("A1", MAKER, "B1", NEAR, "other base"), row("B1", MAKER, "A1", NEAR, "more heater current")]
    assert kinship(rows, ["A1", "B1"]) == kinship(rows[::-1], ["A1", "B1"])


def test_an_unsettled_mark_of_one_scheme_joins_nothing_in_another() -> None:
    """VT-25 is settled in the American list; the British VT-25 is only near the B1 and so a tube of its own."""
    rows = [row("A1", VT, "VT-25"), row("B1", "uk-services", "VT-25", NEAR)]
    kin = kinship(rows, ["A1", "B1"])
    assert "B1" not in [one.type for one in kin.relatives("A1")]


# --- Random tables

NAMES = ["A1", "B1", "C1", "D1"]
MARKS = [*NAMES, "CV1", "CV2", "VT-1"]
ROWS = st.lists(
    st.tuples(  # two parts of every combination: drawing five of a row takes longer than what is tested
        st.sampled_from(list(product(NAMES, [CV, VT, MAKER], MARKS))),
        st.sampled_from(list(product(RELATIONS, ["", "", LEAD]))),
    ).map(lambda parts: row(*parts[0], *parts[1])),
    max_size=6,
    unique_by=lambda r: (r.type, r.scheme, r.designation),
)
often = settings(max_examples=400, deadline=None, database=None)


@often
@given(ROWS)
def test_classes_part_the_types(rows: list[DesignationRow]) -> None:
    """Reflexive, symmetric and transitive: each type lies in one class, and all of a class have the same one."""
    kin = kinship(rows, NAMES)
    for name, members in kin.classes.items():
        assert name in members
        assert all(kin.same_as(other) == members for other in members)


@often
@given(ROWS, st.data())
def test_the_order_of_rows_never_changes_the_relatives(rows: list[DesignationRow], data: st.DataObject) -> None:
    one, other = kinship(rows, NAMES), kinship(data.draw(st.permutations(rows)), NAMES[::-1])
    assert one.classes == other.classes
    for name in one.classes:
        assert set(related(one, name)) == set(related(other, name))


@often
@given(ROWS)
def test_leads_alone_join_nothing(rows: list[DesignationRow]) -> None:
    leads = [row(one.type, one.scheme, one.designation, one.relation, LEAD) for one in rows]
    kin = kinship(leads, NAMES)
    assert all(members == {name} for name, members in kin.classes.items())
    assert all(one.unchecked for name in NAMES for one in kin.relatives(name))


@often
@given(ROWS)
def test_no_type_is_its_own_relative(rows: list[DesignationRow]) -> None:
    kin = kinship(rows, NAMES)
    for name, members in kin.classes.items():
        assert name not in [one.type for one in kin.relatives(name)]
        assert {one.type for one in kin.relatives(name) if one.relation == SAME and not one.unchecked} == members - {
            name
        }


# --- The real tables


@cache
def real_rows() -> tuple[list[DesignationRow], list[str]]:
    # The types come from the file itself, so that a fault in its figures does not hide the relations.
    tables = read_tables({"designations.csv": (REFERENCE / "designations.csv").read_text(encoding="utf-8")})
    columns = ("type", "scheme", "designation", "relation", "note")
    rows = [DesignationRow(*(one.cells[c] for c in columns)) for one in tables.rows["designations.csv"]]
    with (REFERENCE / "ratings.csv").open(encoding="utf-8", newline="") as file:
        types = [line["type"] for line in csv.DictReader(file)]
    return rows, types


@cache
def real() -> Kinship:
    return kinship(*real_rows())


def test_the_real_table_is_there() -> None:
    rows, types = real_rows()
    assert len(rows) > 900 and len(types) > 200
    assert {one.scheme for one in rows} <= set(TABLED)


def test_the_plain_6sn7gt_is_no_later_and_no_military_form() -> None:
    """GTB and WGT differ from the plain GT: plate rating, warm-up, construction (from memory)."""
    assert not real().same_as("6SN7GT") & {"6SN7GTA", "6SN7GTB", "6SN7WGT", "6SN7W", "12SN7GT", "7N7", "5692", "ECC32"}
    assert ("6SN7WGT", RUGGEDIZED) in related(real(), "6SN7GT")
    assert ("6SN7GT", PLAIN_FORM) in related(real(), "6SN7WGT")


def test_24_and_24a_are_one_tube_801_and_801a_are_not() -> None:
    """VT-28 is stamped on 24 and 24-A alike; VT-62 on 801 and 801-A, which the table tells apart (from memory)."""
    assert real().same_as("24") == real().same_as("24A") == {"24", "24A"}
    assert real().same_as("801") == {"801"}
    assert real().same_as("801A") == {"801A"}
    assert ("801A", NEAR) in related(real(), "801")


def test_traps_of_the_vt_numbers() -> None:
    """VT-22 is the 204-A, not type 22; VT-24 is the 864, not type 24 (from memory)."""
    assert "22" not in real().same_as("204A")
    assert "24" not in real().same_as("864")
    assert "832A" not in real().same_as("832")


def test_classes_of_the_real_table_part_the_types_and_are_small() -> None:
    for name, members in real().classes.items():
        assert name in members
        assert all(real().same_as(other) == members for other in members)
        assert len(members) <= 4, sorted(members)


def test_no_class_of_the_real_table_holds_two_types_that_a_checked_row_tells_apart() -> None:
    rows, _ = real_rows()
    for one in rows:
        if one.relation != SAME and not is_unchecked(one.note):
            assert one.designation not in real().same_as(one.type), one


def test_every_relative_of_the_real_table_is_one_in_turn() -> None:
    for name in real().classes:
        for one in real().relatives(name):
            if one.relation in (SAME, VARIANT, NEAR):
                assert (name, one.relation) in related(real(), one.type), (name, one)


def test_every_ruggedized_form_of_the_real_table_has_its_plain_form_in_turn() -> None:
    for name in real().classes:
        for one in real().relatives(name):
            if one.relation == RUGGEDIZED:
                assert (name, PLAIN_FORM) in related(real(), one.type), (name, one)


def test_near_and_variant_of_the_real_table_say_what_differs() -> None:
    """`variant` and `near` say what differs: the rule of the house for these two relations."""
    rows, _ = real_rows()
    silent = [one for one in rows if one.relation in (VARIANT, NEAR) and not one.note]
    assert silent == []


def test_marks_of_the_real_table_that_are_tubes_of_their_own() -> None:
    own = own_type_marks(*real_rows())
    assert {"6SN7WGT", "5692"} <= own | set(real_rows()[1])
    assert not own & {"VT-231", "CV1988", "6N8S", "6SN7GT"}
    assert not own & set(real_rows()[1])


def test_a_soviet_mark_with_a_letter_of_build_is_kin_and_one_that_looks_american_is_none() -> None:
    """6N3P near the 5670 and the 2C51 (from memory); a Soviet 6N7 near another tube is no American 6N7."""
    rows = [
        row("5670", SU, "6N3P", "near", "pins to be compared"), row("2C51", SU, "6N3P", "near", "heater 0.35 A"),
        row("12AX7", SU, "6N7", "near"), row("6N7", MAKER, "ZZ1"),
    ]  # fmt: skip
    kin = kinship(rows, {"5670", "2C51", "12AX7", "6N7"})
    assert [one.type for one in kin.relatives("5670")] == ["6N3P"] == [one.type for one in kin.relatives("2C51")]
    assert {one.type for one in kin.relatives("6N3P")} == {"5670", "2C51"}
    assert kin.relatives("12AX7") == ()
