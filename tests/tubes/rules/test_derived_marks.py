"""VRn is CV(1000 + n): the rule is of bvws-valvenos; numbers of single valves are from memory, as the tables say."""

from tubes.rules.derived_marks import joint_numbers
from tubes.rules.relations import own_type_marks
from tubes.rules.stamp_tables import DesignationRow


def vr(name, mark, note=""):
    return DesignationRow(name, "uk-services", mark, "same", note)


def cv(name, mark, relation="same"):
    return DesignationRow(name, "uk-cv", mark, relation)


KNOWN = [vr("EF39", "VR53"), cv("EF39", "CV1053"), vr("E1148", "VR135"), cv("E1148", "CV1135")]


def test_a_number_within_the_range_that_rows_bear_out():
    (found,) = joint_numbers([*KNOWN, vr("D1", "VR78")])
    assert (found.type, found.scheme, found.designation, found.relation) == ("D1", "uk-cv", "CV1078", "same")
    assert "derived by the rule" in found.note
    assert not own_type_marks([*KNOWN, found], ["D1", "EF39", "E1148"])


def test_nothing_is_derived_beyond_it_of_letters_of_leads_or_against_a_row():
    beyond = [vr("A", "VR52"), vr("B", "VR136"), vr("C", "VR65A"), vr("D", "VR60", "unchecked: one recall"), *KNOWN]
    assert joint_numbers(beyond) == []
    assert joint_numbers([*KNOWN, vr("D1", "VR78"), cv("EA50", "CV1078")]) == []
    assert joint_numbers([*KNOWN, vr("D1", "VR78"), cv("D1", "CV1078", "refuted")]) == []
    assert joint_numbers([vr("D1", "VR78")]) == joint_numbers([]) == []
