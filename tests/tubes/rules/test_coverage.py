"""Coverage counts what is there and nothing else: a made table of four types, counted by hand."""

import pytest

from tests.tubes.rules.bench import bench
from tubes.rules.coverage import cover
from tubes.rules.figures import Figure, Word, known_type
from tubes.rules.judge import judge
from tubes.rules.judge_parts import Conditions
from tubes.rules.relations import kinship
from tubes.rules.stamp import DesignationRow

TRIODE = {"kind": "triode", "cathode": "oxide-indirect", "base": "octal", "basing": "6Q", "cap": "none"}
VALUES = {"heater_v": 6.3, "heater_a": 0.3, "plate_v_max": 300.0, "plate_w_max": 2.5, "mu": 20.0}


def made(name, values=VALUES, words=TRIODE):
    numbers = {key: Figure(value) for key, value in values.items()}
    return known_type(name, numbers, {key: Word(value) for key, value in words.items()})


@pytest.fixture(scope="module")
def found():
    types = {
        "ZA1": made("ZA1", VALUES | {"gm_umho": 2600.0}),
        "ZA2": made("ZA2"),
        "ZA3": made("ZA3", {}, {}),  # named, without a figure, near ZA1
        "ZA4": made("ZA4", VALUES, TRIODE | {"basing": ""}),  # nobody's kin, pins not known
    }
    kin = kinship([DesignationRow("ZA1", "maker", "ZA3", "near", "written so for this test")], types)
    return cover(types, kin, lambda a, b: judge(types[a], types[b], Conditions(), bench()), {"text": 3}).as_dict()


def test_types_are_counted_by_what_they_have(found):
    assert found["types"] == 4
    assert found["with"] == {"any_figure": 3, "heater_v": 3, "base_and_pins": 2, "gm_umho": 1}
    assert found["grades"] == {"text": 3}


def test_a_pair_is_counted_both_ways_and_open_where_the_judge_does_not_know(found):
    pairs = found["kin_pairs"]
    assert (pairs["related"]["pairs"], pairs["related"]["answered"]) == (2, 0)  # ZA1 and ZA3: no figure, no word
    # ZA1 in the place of ZA2 fits; ZA2 in that of ZA1, whose transconductance it lacks, is not known.
    assert (pairs["same_pins"]["pairs"], pairs["same_pins"]["answered"]) == (2, 1)
    assert pairs["same_pins"]["left_open_by"] == {"transconductance": 1}
    assert (pairs["pairs"], pairs["answered"], pairs["share"]) == (4, 1, 0.25)


def test_no_type_is_unknown_in_its_own_place(found):
    assert found["self_not_known"] == []


def test_without_a_pair_there_is_no_share():
    alone = cover({}, kinship([], []), lambda a, b: None, {}).as_dict()
    assert alone["kin_pairs"]["share"] is None and alone["types"] == 0
