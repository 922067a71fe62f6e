"""What counts as a denial of a hazard, and which words clear an oil capacitor of PCB.

Denials: common practice, no source, in doubt told. PCB: 40 CFR 761.2(a)(4); the mark "No PCBs" from 1 July 1978 on:
40 CFR 761.40(g), from memory.
"""

from datetime import date

import pytest

from inventory.holdings.rules.hazard_words import kinds_named
from inventory.holdings.rules.hazards import UNSURE, find_hazards


@pytest.mark.parametrize(
    "text",
    [
        "no mercury", "xenon, no mercury; runs cold", "relay free of mercury", "mercury-free relay", "Quecksilberfrei",
        "no mercury, no radium", "does not contain mercury", "it doesn't contain mercury", "(no asbestos)",
        "without asbestos", "no mercury vapour in it", "non-radioactive", "ohne Quecksilber", "no radium at all",
    ],
)  # fmt: skip
def test_a_substance_that_is_plainly_denied_is_not_told(text):
    assert not kinds_named(text) and not list(find_hazards(text))


@pytest.mark.parametrize(
    ("text", "named"),
    [
        # what is denied is something beside the hazard
        ("no radium test yet", "radium"),
        ("not radium tested", "radium"),
        ("no radium warning on the dial", "radium"),
        ("radium-free label missing", "radium"),
        ("no asbestos survey was made", "asbestos"),
        ("no asbestos check", "asbestos"),
        ("no radium, mercury or asbestos tests done", "radium"),
        ("no radioactive label", "radioactive"),
        ("delivered without mercury caution label", "mercury"),
        ("no PCB disposal here", "PCB oil"),
        ("asbestos free of charge", "asbestos"),
        # a find that is denied is no lack of the substance; asked, doubted, taken back, an opinion
        ("no asbestos found", "asbestos"),
        ("no mercury?", "mercury"),
        ("no mercury, I hope", "mercury"),
        ("seller says no radium", "radium"),
        ("probably no mercury", "mercury"),
        ("no mercury-free relay", "mercury"),
        ("not without mercury", "mercury"),
        ("dial not radium-free", "radium"),
        ("hardly radium free", "radium"),
        ("nicht quecksilberfrei", "mercury"),
        ("unless it is free of beryllia", "beryllia"),
    ],
)
def test_in_doubt_it_is_told_with_the_words_that_raise_the_doubt(text, named):
    assert named in [kind.words for kind in kinds_named(text)]
    (reason,) = (one.reason for one in find_hazards(text) if named in (one.mark, one.name))
    assert "doubtful" in reason


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("no X-ray shield fitted; 15 kV", "X-rays"), ("no X-rays", "X-rays"), ("CRT, no implosion guard", "implosion"),
        ("without high-voltage cage", "high voltage"), ("no high voltage interlock", "high voltage"),
        ("no RF burns so far", "RF burns"), ("no stored charge", "stored charge"), ("no weight given", "weight"),
    ],
)  # fmt: skip
def test_what_is_no_substance_is_never_denied_by_words(text, named):
    assert named in [kind.words for kind in kinds_named(text)]


@pytest.mark.parametrize(
    "text",
    [
        "no PCB", "no PCBs", '"No PCBs"', "PCB free I hope", "seller says no PCBs", "label 'No PCBs' is missing",
        "no pcbs visible", "no PCB sticker", "no PCB statement", "no longer PCB free", "hardly PCB free",
        "doubt: No PCBs", "nobody checked; no PCB known", "not marked No PCBs", "marked No PCBs?", "non-PCB",
        "marked no PCBs by a hand", "seller said it is marked No PCBs", "if marked No PCBs", "should be marked No PCBs",
        "unmarked, no PCBs", "marked No PCBs, label missing", "the other one is marked No PCBs", "no PCBs marked on it",
    ],
)  # fmt: skip
def test_only_the_mark_of_its_maker_clears_oil(text):
    assert [one.name for one in find_hazards(f"oil capacitor 4 mfd, {text}")] == ["PCB"]


@pytest.mark.parametrize(
    "text",
    [
        "marked No PCBs", 'marked "No PCBs"', "stamped NO PCBS on its base", "labelled 'No PCB'", "marking: No PCBs",
        "label says No PCBs", "marked No PCBs, made 1979", "marked No PCBs 8 mfd 1050 V",
    ],
)  # fmt: skip
def test_the_mark_clears_oil_of_unknown_date(text):
    assert find_hazards(f"oil capacitor 4 mfd, {text}") == ()  # L9.7


@pytest.mark.parametrize(
    ("text", "made", "taken"),
    [
        ("marked No PCBs", date(1978, 11, 1), False),
        ("marked No PCBs", date(1978, 7, 1), False),
        ("marked No PCBs", date(1978, 6, 30), True),
        ("1943, marked No PCBs", None, True),
        ("marked No PCBs", 1943, True),
        # of two dates the earlier counts; an estimate is no date, whatever else is written
        ("stamped 1975", date(1985, 1, 1), True),
        ("dated 1982", UNSURE, True),
        ("dated 1982", None, False),
        ("marked No PCBs", UNSURE, False),
    ],
)
def test_the_mark_and_the_date(text, made, taken):
    found = find_hazards(f"oil capacitor, {text}", made)
    assert bool(found) is taken
    if taken and "No PCBs" in text:
        assert "that mark is of 1 July 1978 and later" in found[0].reason


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ("oil can 2 mfd 2000 V", True), ("can, filled with oil, 8 mfd", True), ("Oelkondensator", True),
        ("Kondensator MP in Öl", True), ("oil can for the blower", False), ("oil gauge, 32 F", False),
    ],
)  # fmt: skip
def test_oil_beside_a_capacitance_is_an_oil_capacitor(text, taken):
    """40 CFR 761.2(a)(4): of unknown date."""
    assert bool(find_hazards(text)) is taken
