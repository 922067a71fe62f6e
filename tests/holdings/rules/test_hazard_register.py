"""Why a thing is taken to bear a hazard, and the lines that a thing has in the register.

Check values: L9 of the sources named beside each; lines: "none found" is recorded too (Science Museum Group, "May
contain hazards"), the rest our own rule.
"""

from datetime import date
from urllib.parse import parse_qsl

import pytest

from inventory.holdings.forms.hazard_figures import BankForm
from inventory.holdings.rules.hazard_grounds import (
    Capacitor,
    Ground,
    is_bleeder,
    of_bank,
    of_caution,
    of_lot,
    of_rating,
    of_supply,
    of_voltages,
    of_weight,
    of_words,
    weight_in,
)
from inventory.holdings.rules.hazard_kinds import HAZARDS
from inventory.holdings.rules.hazard_register import Look, Mark, lines_of, unsettled
from inventory.holdings.rules.hazard_words import kinds_named

DAY, LATER = date(2026, 3, 1), date(2026, 5, 1)
PCB = Ground("PCB oil", "an oil capacitor of unknown date may hold PCB", "40 CFR 761.2(a)(4)")


@pytest.mark.parametrize(
    ("text", "made", "named"),
    [
        # L9.7: 40 CFR 761.2(a)(4), made before 2 July 1979, or undated and not marked "No PCBs"
        ("oil capacitor 4 mfd", date(1978, 11, 1), {"PCB oil"}),
        ("oil capacitor 4 mfd", date(1980, 1, 1), set()),
        ("oil capacitor 4 mfd", date(1979, 7, 2), set()),
        ("oil capacitor 4 mfd", None, {"PCB oil"}),
        ("oil capacitor 4 mfd, marked No PCBs", None, set()),
        ('oil capacitor 4 mfd, not marked "No PCBs"', None, {"PCB oil"}),
        ("oil capacitor 4 mfd, no PCB mark on it", None, {"PCB oil"}),
        ("oil capacitor 4 mfd, not PCB free", None, {"PCB oil"}),
        ("oil capacitor 4 mfd; PCB-free? nobody knows", None, {"PCB oil"}),
        ("relay for PCB mounting; PCB edge connector, beryllium copper springs", None, set()),
        # TR and gap tubes may hold H-3, Ni-63, Co-60 and others: carlwillis.wordpress.com/tag/radioactive
        ("TR tube, cap dull", None, {"radioactive"}),
        ("gap tube in its carton", None, {"radioactive"}),
        ("TR switch, coil open", None, set()),
        # radium instruments: R-390 list, June 2018; asbestos cords: bvws.org.uk/405alive/tech/safety.html
        ("dial with tritium", None, {"radioactive"}),
        ("Kr 85 tube", None, {"radioactive"}),
        ("krypton-85", None, {"radioactive"}),
        ("cobalt 60 primer", None, {"radioactive"}),
        ("T/R tube", None, {"radioactive"}),
        ("H-3", None, {"radioactive"}),
        ("from drawer H-3", None, set()),
        ("meter, radium dial", None, {"radium"}),
        ("meter, lumed hands", None, {"radium"}),
        ("radiolite dial", None, {"radium"}),
        ("dial glows green in dark", None, {"radium"}),
        ("contacts in Hg", None, {"mercury"}),
        ("vacuum 29 inches Hg", None, set()),
        ("can with PCB terminals that weep", None, {"PCB oil"}),
        # denied, and a denial that is taken back or asked about; common practice, no source
        ("relay free of mercury", None, set()),
        ("relay, not free of mercury", None, {"mercury"}),
        ("Quecksilberfrei", None, set()),
        ("asbestfrei", None, set()),
        ("mercury-free? nobody knows", None, {"mercury"}),
        ("radium removed by a hand unknown", None, {"radium"}),
        ("does not contain mercury", None, set()),
        ("no mercury seen; mercury in the other bulb", None, {"mercury"}),
        ("blower, 29 in Hg", None, set()),
        # oil of unknown date: 40 CFR 761.2(a)(4)
        ("oil impregnated paper capacitor", None, {"PCB oil"}),
        ("PIO 0.1 mfd", None, {"PCB oil"}),
        ("oil-filled transformer", None, {"PCB oil"}),
        ("transformer in oil", None, {"PCB oil"}),
        ("line cord with asbestos", None, {"asbestos"}),
        ("selenium rectifier, 5 plates", None, {"selenium"}),
        ("knob, bakelite", None, set()),
    ],
)
def test_what_its_own_words_name(text, made, named):
    assert {one.hazard for one in of_words(text, made)} == named


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("oil-filled transformer", "an oil-filled transformer of unknown date"),
        ("choke, oil filled", "an oil-filled choke of unknown date"),
        ("oil-filled dummy load", "an oil-filled part of unknown date"),
        ("oil filled, 4 mfd", "an oil capacitor of unknown date"),
    ],
)
def test_what_holds_the_oil_is_called_what_it_is(text, what):
    """40 CFR 761.2(a)(4) speaks of transformers as of capacitors."""
    (one,) = of_words(text)
    assert one.text.startswith(what)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("Quecksilber", ["mercury"]), ("luminous paint", ["radium"]), ("Askarel oil", ["PCB oil"]),
        ("tritium", ["radioactive"]), ("mercury-free relay", []), ("space charge grid, free of charge", []),
        ("heavy filament current, heavy-duty", []), ("the filter stays charged; heavy", ["stored charge", "weight"]),
        ("unless the maker states it is free of beryllia", ["beryllia"]), ("no mercury, no radium", []),
    ],
)  # fmt: skip
def test_cautions_name_hazards_by_the_words_of_lists_and_deny_them_alike(text, named):
    """Common practice, no source."""
    assert [kind.words for kind in kinds_named(text)] == named


def test_a_caution_is_quoted_by_the_clause_that_names_the_hazard():
    text = "High voltage (about 1100 V); the filter stays charged. RF burns at the post. Two people to lift it."
    found = {one.hazard: one.text for one in of_caution(text, "Skerry 40")}
    assert found["RF burns"] == "caution of Skerry 40: RF burns at the post"
    assert found["weight"] == "caution of Skerry 40: Two people to lift it"
    assert found["stored charge"] == "caution of Skerry 40: the filter stays charged"


def test_stored_energy_of_lots_and_of_a_bank():
    # L9.1: 8 uF at 1050 V hold 4.41 J, 4 uF at 2000 V 8 J (C V^2 / 2)
    assert "4.41 J in each at its rated 1050 V" in of_lot(Capacitor(8, 1050))[0].text
    assert of_lot(Capacitor(0.1, 600)) == () == of_lot(Capacitor(10_000, 50))
    (bank,) = of_bank([Capacitor(8, 1050, 1, "C1"), Capacitor(4, 2000, 2, "C2")], [], "Skerry 40")
    assert bank.text.startswith("C1, C2 of Skerry 40: at most 20.4 J")
    assert "no bleeder is on record" in bank.text
    # L9.2: 8 uF, 100 kohm, 1050 to 50 V: 2.43561795018 s (t = R C ln(V0/V))
    (bled,) = of_bank([Capacitor(8, 1050)], [100_000], "Skerry 40")
    assert "down to 50 V in 2.44 s where it is whole" in bled.text and "bleeder=100000+ohm" in bled.figures
    assert "which of them stand across it is on the drawing" in bled.text
    assert of_bank([Capacitor(8, 25)], [], "Skerry 40") == () == of_bank([Capacitor(0.01, 600)] * 9, [], "Skerry 40")


@pytest.mark.parametrize("bank", [[Capacitor(8, 450), Capacitor(4, 600, 2)], [Capacitor(8, 450)] * 30])
def test_what_the_page_of_figures_is_asked_comes_to_the_same_energy(bank):
    """C V^2 / 2 of each at its own rating, however many; none is left out."""
    (ground,) = of_bank(bank, [], "Skerry 40")
    asked = dict(parse_qsl(ground.figures))
    form = BankForm(asked)
    assert form.is_valid() and form.answer
    energy = sum(one.uf * 1e-6 * one.volts**2 / 2 * one.pieces for one in bank)
    assert form.answer["energy_j"] == pytest.approx(energy) and f"{energy:.3g} J" in ground.text


@pytest.mark.parametrize(
    ("words", "there"),
    [
        ("bleeder", True), ("bleeder resistors of the supply, often open", True), ("no bleeder fitted", False),
        ("bleeder missing", False), ("resistor instead of the bleeder", False), ("no fuse, bleeder of 50 k", True),
        ("resistor", False), ("bleeder not fitted here", False), ("bleeder is gone", False),
        ("bleeder disconnected", False),
        ("bleeder open", False), ("where a bleeder should be", False), ("bleeder? none seen", False),
    ],
)  # fmt: skip
def test_a_bleeder_that_is_denied_is_none(words, there):
    assert is_bleeder(words) is there


def test_x_rays_from_above_10_kv():
    # Amps list, March 2001: negligible below about 10 kV
    found = list(of_voltages([("V1", 400.0), ("V2", 12_500.0)], "Skerry 40"))
    assert [one.hazard for one in found] == ["high voltage", "X-rays"]
    assert "12500 V on the plate of V2" in found[1].text
    assert [one.hazard for one in of_voltages([("V1", 10_000.0)], "Skerry 40")] == ["high voltage"]
    assert list(of_voltages([("V1", 28.0)], "Skerry 40")) == []
    assert of_rating("575A", 15_000)[0].hazard == "X-rays" and of_rating("866A", 10_000) == () == of_rating("x", None)


def test_weight_by_the_lifting_index():
    # L9.6: H 40, V 30, D 75 cm: 10.94225 kg, a set of 30 kg has the index 2.7417 (NIOSH 94-110); at the best 23 kg
    (found,) = of_weight(30, "it weighs")
    assert "lifting index 1.30 at the best, 2.74 from the floor" in found.text
    assert of_weight(10.9, "it weighs") == () and "a high risk" in of_weight(40, "it weighs")[0].text


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("weighs 34 kg", 34),
        ("12,5 kg", 12.5),
        ("1,200 kg", 1200),
        ("45 kilograms", 45),
        ("0.5 kg", 0.5),
        ("100 lb with its case", 45.359237),
        ("3 kg or 30 kg", 30),
        ("kg", None),
    ],
)
def test_a_weight_in_words(text, kg):
    assert weight_in(text) == (pytest.approx(kg) if kg else None)  # 0.45359237 kg: the pound since 1959


def test_every_hazard_names_care_whom_to_ask_its_source_and_a_mark_of_its_own():
    assert all(kind.to_do and kind.ask and kind.source and kind.letters for kind in HAZARDS)
    assert len({kind.letters for kind in HAZARDS}) == len(HAZARDS)


def test_a_rule_that_nobody_checked():
    (line,) = lines_of([PCB], [], [])
    assert (line.hazard, line.standing, line.on, line.by) == ("PCB oil", "by rule", None, "")
    assert "environment authority" in line.to_do and line.texts == ("40 CFR 761.2(a)(4)",)


def test_a_disproved_rule_stays_with_its_reason():
    mark = Mark("PCB oil", "none found", "marked No PCBs on its base", DAY, "I. Crane")
    (line,) = lines_of([PCB], [mark], [])
    assert (line.standing, line.on, line.by) == ("disproved", DAY, "I. Crane")
    assert line.reasons == ("own record: marked No PCBs on its base", PCB.text)


def test_a_check_of_every_kind_disproves_no_rule():
    lines = lines_of([PCB], [], [Look(DAY, "I. Crane", "lids off")])
    assert [(one.hazard, one.standing) for one in lines] == [("PCB oil", "by rule"), ("none found", "none found")]
    assert "a rule says otherwise" in lines[0].against and "all the same: PCB oil" in lines[1].against


def test_what_is_found_after_a_check_contradicts_it():
    mark = Mark("radium", "confirmed", "dial glows", LATER)
    lines = lines_of([], [mark], [Look(DAY, "", "looked along the shelf")])
    assert (
        lines[0].against.endswith("found since.") and lines[1].against == "On record or by rule all the same: radium."
    )
    before = lines_of([], [Mark("radium", "confirmed", "dial glows", DAY)], [Look(LATER, "", "looked")])
    assert before[0].against.endswith("on record all the same.")


def test_a_check_for_one_hazard_says_nothing_of_others():
    look = Look(DAY, "", "counter at background", "radium")
    lines = lines_of([PCB], [], [look])
    assert [(one.hazard, one.standing, one.against) for one in lines] == [
        ("PCB oil", "by rule", ""), ("radium", "none found", ""),
    ]  # fmt: skip


def test_the_last_check_of_each_sort_is_told():
    looks = [Look(DAY, "", "first"), Look(LATER, "", "second"), Look(DAY, "", "counter", "radium")]
    assert [(one.hazard, one.note) for one in lines_of([], [], looks)] == [
        ("none found", "second"),
        ("radium", "counter"),
    ]


def test_a_thing_that_nobody_looked_at():
    (line,) = lines_of([], [], [])
    assert (line.hazard, line.standing) == ("none found", "not looked at") and "Look before" in line.to_do


def test_another_hazard_is_what_its_reason_names():
    (line,) = lines_of([], [Mark("other", "proposed", "radioactive: the list says 'Co-60'", DAY)], [])
    assert (line.hazard, line.standing, line.on) == ("radioactive", "proposed", None)
    assert lines_of([], [Mark("other", "confirmed", "sharp tin edges", DAY)], [])[0].hazard == "other"


def test_what_was_found_is_not_lost_behind_what_was_not():
    """Two words on one hazard: what was found stands. How another hazard was looked for says nothing of a rule."""
    marks = [
        Mark("other", "confirmed", "radium on the dial lacquer", DAY, "I. Crane"),
        Mark("radium", "none found", "counter on the knobs", LATER, "I. Crane"),
    ]
    assert [(one.hazard, one.standing) for one in lines_of([], marks, [])] == [("radium", "confirmed")]
    ground = Ground("high voltage", "1000 V on the plate of V1", "rule")
    sought = Mark("other", "none found", "lids off, high voltage discharged first", DAY, "I. Crane")
    standing = {one.hazard: one.standing for one in lines_of([ground], [sought], [])}
    assert standing["high voltage"] == "by rule"


def test_a_mark_of_another_hazard_tells_each_kind_that_its_reason_names():
    mark = Mark("other", "confirmed", "mercury switch and asbestos cord", DAY)
    assert [(one.hazard, one.standing) for one in lines_of([], [mark], [])] == [
        ("mercury", "confirmed"),
        ("asbestos", "confirmed"),
    ]
    grounds = [Ground("asbestos", "a rule", "source"), PCB]
    assert unsettled(grounds, [mark]) == [PCB]
    assert unsettled(grounds, [Mark("other", "none found", "looked at the asbestos cord", DAY)]) == grounds


@pytest.mark.parametrize(
    ("text", "volts", "told"),
    [
        ("dynamotor 28 V in, 1000 V out", None, "dynamotor: its words say 1000 V"),
        ("transformer 700 V 90 mA", None, "transformer: its words say 700 V"),
        ("power transformer", 350, "its words say 350 V"),
        ("transformer 350-0-350", None, "transformer: its words say 350 V"),
        ("transformer 1,5 kV", None, "its words say 1500 V"),
        ("transformer 1,200 V", None, "its words say 1200 V"),
        ("motor generator 600 V", None, "its words say 600 V"),
        ("vibrator supply", None, "it mostly"),
        ("dynamotor", 28, "it mostly makes plate voltage while it runs"),
        ("filament transformer, 6.3 V", None, ""),
        ("transformer", None, ""),
        ("relay 110 V", None, ""),
    ],
)
def test_what_gives_high_voltage_while_it_runs(text, volts, told):
    """Above 50 V as for all else here; that dynamotors make plate voltage: common practice, no source."""
    found = of_supply(text, volts)
    assert [told in one.text and one.hazard == "high voltage" for one in found] == ([True] if told else [])


def test_words_of_two_hands_on_one_hazard_are_both_told():
    """Nothing is dropped, and what is only proposed was found by nobody."""
    marks = [
        Mark("other", "confirmed", "mercury switch and asbestos cord", DAY, "A. Crane"),
        Mark("mercury", "none found", "lid off", LATER, "B. Finch"),
    ]
    (line,) = [one for one in lines_of([], marks, []) if one.hazard == "mercury"]
    assert line.standing == "confirmed" and "none found on 2026-05-01 by B. Finch (lid off)" in line.against
    twice = [Mark("radium", "confirmed", "dial glows", DAY), Mark("radium", "confirmed", "counter", LATER)]
    (line,) = lines_of([], twice, [])
    assert "dial glows" in line.reasons[1] and line.against == ""
    proposed = Mark("PCB oil", "proposed", "the list says so", LATER)
    (line, _) = lines_of([], [proposed], [Look(DAY, "", "plate read", "PCB oil")])
    assert "found since" not in line.against and "nobody has settled it" in line.against
