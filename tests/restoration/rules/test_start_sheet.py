"""Which checks a set gets. Common practice, no source, unless a text is named; sets are invented.

Published: bleeder, then proving and shorting by hand: DOE-HDBK-1092, 10.10.1. X-rays count from about 10 kV: R. Lyles,
Amps list, March 2001. Heaters in series are measured at each service: hb9aik.ch/technotes.htm.
"""

from datetime import date, time
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.restoration.rules.findings import read_finding, standing_of
from inventory.restoration.rules.printed_limit import NO_LIMIT, Limit
from inventory.restoration.rules.set_facts import HazardFacts, LineFacts, SetFacts, SocketFacts, WeakFacts
from inventory.restoration.rules.start_cases import always, plate_supply, with_heaters
from inventory.restoration.rules.start_rows import COMMON, PARTS, ROWS
from inventory.restoration.rules.start_sheet import sources_of, start_checks
from tubes.rules.units import UnitFault

PENTODE, RECTIFIER = frozenset({"pentode"}), frozenset({"rectifier"})
V1 = SocketFacts("V1", "6K7", kinds=PENTODE, heater_v=6.3, plate_v=250)
V7 = SocketFacts("V7", "80", kinds=RECTIFIER, heater_v=5.0)
V8 = SocketFacts("V8", "866A", kinds=frozenset({"gas-rectifier"}), mercury=True, heater_v=2.5)
V9 = SocketFacts("V9", "0D3", kinds=frozenset({"gas-regulator"}))
UNKNOWN = SocketFacts("V4")
SUPPLY = {"transformer", "filter", "bleeder", "decay"}
FOR_ALL = {row.key for row in ROWS if row.asked_of in (always, plate_supply, with_heaters)}


def facts(kind="receiver", *sockets, **more):
    return SetFacts(kind, sockets, **more)


def series(volts, *, letter="A"):
    return [SocketFacts(f"V{at}", "X", kinds=PENTODE, heater_v=one, branch=letter) for at, one in enumerate(volts, 1)]


def keys(given_facts):
    return {check.key for check in start_checks(given_facts)}


def named(given_facts, key):
    return next(check for check in start_checks(given_facts) if check.key == key)


@pytest.mark.parametrize(
    ("of", "gets", "never"),
    [
        (facts("receiver", V1, V7), {"rectifier-out", "off-again", "rectifier-volts 5 V", *SUPPLY},
         {"supply-off", "load", "warm-up", "interlocks", "isolation", "regulator", "selenium"}),
        (facts("receiver", V1), {"supply-off", "heaters", "heater-volts 6.3 V"},
         {"rectifier-out", "off-again", *SUPPLY}),
        (facts("receiver"), {"supply-off", "heaters", "heater-volts", *SUPPLY}, {"rectifier-out"}),
        (facts("receiver", V1, UNKNOWN), {"supply-off", "heater-volts", *SUPPLY}, {"rectifier-out"}),
        (facts("power unit", V1), SUPPLY, {"load"}),
        (facts("transmitter", V1), {"load", "plate-current", "interlocks", "bleeder", "decay"}, {"filter"}),
        (facts("receiver", SocketFacts("V1", "X", kinds=PENTODE, plate_v=500)), {"interlocks", "bleeder"}, {"load"}),
        (facts("receiver", SocketFacts("V1", "X", kinds=PENTODE, plate_v=499)), set(), {"interlocks", "bleeder"}),
        (facts("transmitter", V8), {"mercury", "warm-up", "rectifier-volts 2.5 V", "rectifier-out"}, {"isolation"}),
        (facts("receiver", V1, V9), {"regulator"}, {"heater-volts"}),
        (facts("receiver", V1, hazards=(HazardFacts("selenium", "confirmed"),)),
         {"selenium", "hazard selenium", "filter"}, {"rectifier-out"}),
        (facts("receiver", V1, hazards=(HazardFacts("radium", "proposed"),)), {"hazard radium"}, {"selenium"}),
        (facts("receiver", V1, hazards=(HazardFacts("stored charge", "confirmed"),)), {"discharged"},
         {"hazard stored charge"}),
        (facts("transmitter", SocketFacts("V1", "X", kinds=PENTODE, plate_v=10_000)), {"x-rays"}, set()),
        (facts("transmitter", SocketFacts("V1", "X", kinds=PENTODE, plate_v=9_999)), set(), {"x-rays"}),
        (facts("receiver", V1, hazards=(HazardFacts("X-rays", "confirmed"),)), {"x-rays"}, set()),
        (facts("transmitter", SocketFacts("V3", "211", kinds=PENTODE, neutralized=True)), {"neutralization"}, set()),
        (facts("transmitter", V1), set(), {"neutralization"}),
        (facts("receiver", *series([12.6, 12.6])), {"string A", "string-volts A"}, {"heaters", "isolation"}),
        (facts("receiver", V1, *series([12.6])), {"heaters"}, {"string A"}),
        (facts("receiver", *series([35, 35, 12.6, 12.6])), {"isolation"}, {"heater-volts 35 V"}),
        (facts("receiver", *series([35, 35])), {"string A"}, {"isolation"}),
        (facts("receiver", *series([12.6, 12.6, 50, 35], letter="")), {"isolation", "heaters"}, {"string "}),
        (facts("receiver", *series([12.6, 12.6, 28, 28], letter=""), supply_v=28.0), {"heaters"}, {"isolation"}),
        (facts("receiver", SocketFacts("V1", "117Z3", kinds=RECTIFIER, heater_v=117)), {"isolation"}, set()),
        (facts("receiver", V1, weak=(WeakFacts("C12 filter", "leaks", "bench book"),), lines=(LineFacts("new cord"),)),
         {"part C12 filter", "line new cord"}, set()),
    ],
)  # fmt: skip
def test_what_a_set_gets_and_what_it_does_not(of, gets, never):
    found = keys(of)
    assert gets <= found and not never & found and found >= FOR_ALL


def test_the_voltage_of_a_regulator_is_that_of_the_type_it_wants():
    """0D3: 150 V (from memory; VR150-30 is its other name)."""
    regulator = frozenset({"gas-regulator"})
    told = named(facts("receiver", SocketFacts("V13", "0D3", kinds=regulator, regulation_v=150.0)), "regulator")
    assert told.expected == "V13 150 V, by the type that it wants"
    assert not named(facts("receiver", SocketFacts("V13", "X", kinds=regulator)), "regulator").expected


def test_nothing_unknown_is_dropped_in_silence():
    assert "whether it has a supply of its own is not known" in named(facts("receiver"), "filter").because
    assert "what stands in V4 is not known" in named(facts("receiver", V1, UNKNOWN), "supply-off").because
    assert named(facts("receiver", V1, UNKNOWN), "heater-volts").expected == "not known"
    string = [*series([12.6]), SocketFacts("V2", branch="A")]
    assert named(facts("receiver", *string), "string-volts A").expected == "not known: a heater voltage is missing"
    assert named(facts("receiver"), "b-plus").expected == "no plate voltage is recorded of this model"


@pytest.mark.parametrize(
    ("of", "check", "because"),
    [
        (facts("receiver", *series([25, None, None])), "isolation",
         "heater voltages of V2, V3 in branch A not known: it may come to mains voltage"),
        (facts("receiver", *series([25, None])), "isolation", "heater voltage of V2 in branch A not known"),
        (facts("receiver", *series([50, 50, None])), "isolation", "the heaters of branch A come to 100 V"),
        (facts("receiver", *series([12.6, 50, 35], letter="")), "isolation",
         "the heaters of V2 (50 V), V3 (35 V) are on no branch that is recorded: how they are fed is not known"),
        (facts("receiver", *series([12.6, 50, 35], letter="")), "heaters",
         "heaters side by side, or in series: no branch is recorded"),
        (facts("receiver"), "isolation", "no position of this model is recorded: whether heaters hang on the mains"),
        (facts("receiver", V7), "interlocks", "no plate voltage is recorded of this model: whether it comes to 500 V"),
        (facts("receiver", *series([12.6])), "bleeder", "no plate voltage is recorded of this model"),
        (facts("receiver", V1, UNKNOWN), "interlocks", "neither type nor plate voltage of V4 is known"),
        (facts("transmitter", V8), "x-rays", "no plate voltage is recorded of this model: whether it comes to 10,000"),
        (facts("transmitter", V1, UNKNOWN), "x-rays", "neither type nor plate voltage of V4 is known"),
        (facts("receiver", V1, UNKNOWN), "mercury", "what stands in V4 is not known: it may be mercury"),
        (facts("transmitter", V8, UNKNOWN), "warm-up", "mercury in V8; what stands in V4 is not known"),
        (facts("transmitter"), "warm-up", "no position of this model is recorded: it may be mercury"),
    ],
)  # fmt: skip
def test_what_may_hurt_is_asked_for_where_it_is_not_known(of, check, because):
    assert named(of, check).because.startswith(because)


def test_a_set_in_which_no_tube_belongs_is_asked_for_none():
    """Charge and high voltage are asked for all the same: it may have a supply without a tube."""
    lone = facts("receiver", no_tubes=True)
    asked = {check.key.split(" ")[0] for check in start_checks(lone)}
    without = {check.key.split(" ")[0] for check in start_checks(facts("receiver"))} - asked
    assert {"filaments", "mains-filaments", "heater-volts", "isolation", "warm-up"} <= without
    assert {"bleeder", "interlocks", "b-plus"} <= asked
    assert named(lone, "supply-off").because == "no tube belongs in it"
    assert named(facts("receiver", V1, no_tubes=True), "filaments")


def test_two_strings_are_both_told():
    second = [SocketFacts(mark, branch="B", heater_v=50) for mark in ("V8", "V9")]
    told = named(facts("receiver", *series([25, None]), *second), "isolation").because
    assert "in branch A not known" in told and "branch B come to 100 V" in told


def test_a_mercury_rectifier_that_may_be_there_is_not_called_one():
    assert "V8, V4 if there is one" in named(facts("transmitter", V8, UNKNOWN), "mercury").words
    assert "any position if there is one" in named(facts("transmitter"), "warm-up").words


def test_what_is_expected_comes_from_the_positions():
    """Voltages in series add up (Kirchhoff); 10 V is the filament of the 211 by the RCA tables."""
    assert named(facts("transmitter", *series([10, 10])), "string-volts A").expected == "10 + 10 = 20 V"
    assert named(facts("receiver", V1, V7), "heater-volts 6.3 V").expected == "6.3 V"
    assert "the 250 V recorded on the plate of V1" in named(facts("receiver", V1, V7), "b-plus").expected


def test_no_figure_behind_a_rectifier_of_which_nobody_says_what_it_is():
    """Mean and peak of a full-wave rectified sine: 2 sqrt(2)/pi = 0.9003 and sqrt(2) = 1.4142 of its rms volts."""
    v13 = SocketFacts("V13", "5U4G", kinds=RECTIFIER, heater_v=5.0, plate_v=300)
    alone = named(facts("receiver", v13), "b-plus")
    assert "if rms on each plate: about 270 V behind a choke, up to 424 V behind a capacitor" in alone.expected
    assert alone.expected.endswith("if dc: about 300 V") and alone.limit == NO_LIMIT
    both = named(facts("receiver", V1, v13), "b-plus")
    assert both.expected == "above the 250 V recorded on the plate of V1" and both.limit == Limit(least=250)


@pytest.mark.parametrize(
    ("limit", "keeps", "breaks"),
    [
        (Limit(most=1), [0, 0.9, -0.9], [1, -300]), (Limit(least=1), [1.1, 500], [1, 0.02, -5]),
        (Limit(5.67, 6.93), [5.67, 6.3, 6.93], [5.6, 7, -6.3]), (NO_LIMIT, [0, 1e9], []),
    ],
)  # fmt: skip
def test_what_a_limit_lets_pass(limit, keeps, breaks):
    assert all(map(limit.keeps, keeps)) and not any(map(limit.keeps, breaks))


def test_every_printed_limit_stands_in_what_the_sheet_expects():
    checks = start_checks(
        facts("receiver", V1, V7, SocketFacts("V2", "6K7", kinds=PENTODE, heater_v=6.3, heater_pct=10))
    )
    limited = [check for check in checks if check.limit != NO_LIMIT]
    assert {"earth", "insulation", "discharged", "b-plus", "heater-volts 6.3 V"} == {check.key for check in limited}
    for check in limited:
        figures = [one for one in (check.limit.least, check.limit.most) if one is not None]
        assert all(f"{one:.4g} " in check.expected and check.unit in check.expected for one in figures)


def test_mercury_is_told_as_the_tables_tell_it():
    mercury = facts("transmitter", V8, mercury_care="filament alone for 30 min", mercury_source="a data sheet")
    check = named(mercury, "warm-up")
    assert (check.how, check.source, check.unit) == ("filament alone for 30 min", "a data sheet", "min")
    bulb = named(
        facts("transmitter", V8, hazards=(HazardFacts("mercury", "tube in V8", "Upright."),)), "hazard mercury"
    )
    assert bulb.source.startswith("EPA") and (bulb.how, bulb.because) == ("Upright.", "tube in V8")
    assert named(facts("receiver", V1, weak=(WeakFacts("C1"),)), "part C1").source == "the keeper's word, no source"


def test_in_which_order():
    """Dead and shorted before a hand goes in; filaments before plate supply, the rectifier out meanwhile."""
    order = [check.key for check in start_checks(facts("transmitter", V1, V7, V8))]
    steps = [
        "unplugged", "discharged", "list", "filter", "second-person", "method", "load", "rectifier-out", "cleared",
        "filaments", "heater-volts 6.3 V", "rectifier-volts 2.5 V", "off-again", "warm-up", "plate-on", "b-plus",
        "decay",
    ]  # fmt: skip
    assert [order.index(step) for step in steps] == sorted(order.index(step) for step in steps)


MARKS = st.sampled_from(["V1", "V2", "V3", "V4"])
SOCKETS = st.lists(
    st.builds(
        SocketFacts, MARKS, st.just("X"), kinds=st.sampled_from([frozenset(), PENTODE, RECTIFIER]),
        mercury=st.booleans(), heater_v=st.none() | st.floats(1, 117), plate_v=st.none() | st.floats(0, 20_000),
        branch=st.sampled_from(["", "A", "{B}"]), neutralized=st.booleans(),
    ), max_size=4, unique_by=lambda socket: socket.mark,
)  # fmt: skip
ANY = st.builds(
    SetFacts, st.sampled_from(["transmitter", "receiver", "power unit"]), SOCKETS.map(tuple),
    weak=st.lists(st.builds(WeakFacts, st.text(max_size=300))).map(tuple),
    lines=st.lists(st.builds(LineFacts, st.text(max_size=300))).map(tuple),
)  # fmt: skip


@given(ANY)
def test_any_set_gets_every_check_once_with_its_reason_and_source(any_set):
    checks = start_checks(any_set)
    assert len({check.key for check in checks}) == len(checks) and {check.key for check in checks} >= FOR_ALL
    assert [PARTS.index(check.part) for check in checks] == sorted(PARTS.index(check.part) for check in checks)
    assert all(check.because and check.source and len(check.key) <= 220 for check in checks)
    assert ("rectifier-out" in keys(any_set)) != ("supply-off" in keys(any_set))
    letters = sources_of(checks)
    assert len(set(letters.values())) == len(letters) and letters[COMMON] == "a"


# --- what was found ---------------------------------------------------------------------------------------------------


def found(pk, day, all_well, at=None, *, within=False, outside=""):
    judged = True if all_well is None and within else all_well
    at = time(*at) if at else None
    return SimpleNamespace(pk=pk, on=date(2026, 11, day), at=at, all_well=all_well, judged=judged, outside=outside)


@pytest.mark.parametrize(
    ("rows", "latest", "settled"),
    [
        ([found(1, 2, False)], 1, False),
        ([found(1, 2, False), found(2, 3, True)], 2, True),
        ([found(2, 2, False), found(1, 3, True)], 1, True),  # typed in late: the day counts, not the entry
        ([found(1, 2, False), found(2, 2, True)], 2, True),  # of one day: the later entry
        ([found(1, 2, False, (15, 0)), found(2, 2, True, (9, 0))], 1, False),  # of one day, both with a time
        ([found(1, 2, False, (15, 0)), found(2, 2, True)], 2, True),  # one without: as entered
        ([found(1, 2, False), found(2, 3, None)], 2, False),  # a reading that nobody judged settles nothing
        ([found(1, 2, None)], 1, None),
        ([found(1, 2, None, within=True)], 1, True),  # the limit of the sheet says it
        ([found(1, 2, False, outside="below 1 ohm"), found(2, 3, None, within=True)], 2, True),
        ([found(1, 2, False), found(2, 3, None, within=True)], 2, False),  # wrong for another reason than its reading
    ],
)
def test_the_later_finding_counts_and_the_earlier_stays(rows, latest, settled):
    standing = standing_of(rows)
    assert (standing.latest.pk, standing.settled) == (latest, settled)
    assert {one.pk for one in standing.earlier} == {row.pk for row in rows} - {latest}
    assert standing_of([]) is None


def test_the_finding_that_decides_is_named_beside_the_latest():
    failed, word = found(1, 2, False), found(2, 3, None)
    standing = standing_of([word, failed])
    assert (standing.latest, standing.decides, standing.settled) == (word, failed, False)
    assert standing_of([word]).decides is word


@pytest.mark.parametrize(
    ("text", "unit", "figure"),
    [  # prefixes: SI Brochure, 9th edition, table 7
        ("6.3 V", "V", 6.3), ("6.3", "V", 6.3), ("-.5", "V", -0.5),
        ("250 mA", "A", 0.25), ("0.5 kohm", "ohm", 500.0), ("2 Mohm", "kohm", 2000.0),
        ("1.5 min", "s", 90.0), ("-4 V", "V", -4.0), ("", "V", None), ("all of them", "", None),
        ("0,4 ohm", "ohm", 0.4), ("-6,30", "V", -6.3), ("0,400 V", "V", 0.4), ("250,5 mA", "A", 0.2505),
    ],
)  # fmt: skip
def test_readings_are_read_in_the_unit_of_the_check(text, unit, figure):
    assert read_finding(text, unit) == (pytest.approx(figure) if figure is not None else None)


@pytest.mark.parametrize("text", ["6.3 A", "above 500 V", "1,500 V", "6.3.1", "6,3,1", "x"])
def test_what_is_no_figure_of_that_kind_is_refused_and_told_where_it_goes(text):
    with pytest.raises(UnitFault, match="what is no single figure goes into words"):
        read_finding(text, "V")
