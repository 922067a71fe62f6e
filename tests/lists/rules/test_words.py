"""States and hazards in words: common practice, no source, unless a source stands beside the case."""

import pytest

from inventory.holdings.rules.hazards import find_hazards
from inventory.lists.rules.states import left_unread, read_state, read_states

# words, the state they state, are they doubted
STATES = [
    ("o.k.", "good", False),
    ("ok", "good", False),
    ("good", "good", False),
    ("tests good", "good", False),
    ("gut", "good", False),
    ("geprüft gut", "good", False),
    ("i. O.", "good", False),
    ("goed", "good", False),
    ("bon", "good", False),
    ("weak", "weak", False),
    ("schwach", "weak", False),
    ("tests low", "weak", False),
    ("taub", "dud", False),
    ("dud", "dud", False),
    ("no good", "dud", False),
    ("heater open", "dud", False),
    ("dead short", "dud", False),
    ("defekt", "dud", False),
    ("untested", "untested", False),
    ("not tested, good box", "untested", False),
    ("nicht geprüft", "untested", False),
    ("niet getest", "untested", False),
    ("neu", "", False),  # new is not tested: leedsradio.com, testslikenew
    ("new", "", False),
    ("NOS", "", False),
    ("NIB", "", False),
    ("gebr.", "", False),
    ("used", "", False),
    ("pull", "", False),
    ("as is", "", False),
    ("brushes gone", "", False),
    ("Glas lose", "", False),
    ("sealed case do not open", "", False),
    ("good box", "", False),
    ("broken base", "", False),
    ("low hours", "", False),
    ("", "", False),
    ("-", "", False),
    ("?", "", True),
    ("dud?", "", True),  # a tube with "dud?" scratched in its paint proved satisfactory
    ("neu / taub?", "", True),
    ("ok?", "", True),
    ("probably good", "", True),
    ("good / weak", "", True),
    ("filament good", "", False),
    ("good for parts", "", False),
    ("glass ok", "", False),
    ("heizt gut", "", False),
    ("no duds", "", False),
    ("1 good", "", True),
    ("mostly good", "", True),
    ("believed good", "", True),
    ("angeblich gut", "", True),
    ("not good", "", True),
    ("не исправна", "", True),
    ("не рабочая", "", True),
    ("nie sprawna", "", True),
    ("non buona", "", True),
    ("není dobrá", "", True),
    ("niet goede", "", True),
    ("non guasta", "", True),
    ("pas grillée", "", True),
    ("pas bonne", "", True),
    ("неисправна", "dud", False),
    ("sprawna", "good", False),
    ("nicht gut", "", True),
]
RATINGS = (
    "2000 V", "2000V", "2000 VDC", "2000 v.d.c.", "2000 volts", "2000 WVDC", "2000 DCWV", "2000-volt", "2,000 V",
    "600/2000 V", "2000 pF", "2000 mmf", "1985 V", "2000 working volts", "2000 kc",
)  # fmt: skip
HAZARDS = [
    ("mercury vapour rectifier", None, {"mercury"}),
    ("Quecksilber", None, {"mercury"}),
    ("mercury-free", None, set()),
    ("no mercury", None, set()),
    ("radium dial", None, {"radium"}),
    ("Leuchtfarbe an der Skala", None, {"radium"}),
    ("asbestos cord inside", None, {"asbestos"}),
    ("selenium stack", None, {"selenium"}),
    ("Selen-Gleichrichter", None, {"selenium"}),
    ("beryllia insulator", None, {"beryllia"}),
    ("radioactive keep-alive", None, {"radioactive"}),
    # L9.7: 40 CFR 761.2(a)(4), made before 2 July 1979, or undated and not marked "No PCBs"
    ("oil cap 4 mfd 600 V", None, {"PCB"}),
    ("oil-filled condenser", 1944, {"PCB"}),
    ("oil filled capacitor 1978", None, {"PCB"}),
    ("oil filled capacitor 1979", None, {"PCB"}),
    ("oil filled capacitor 1980", None, set()),
    ("oil filled capacitor, marked No PCBs", None, set()),
    ("oil filled capacitor", 1985, set()),
    ("oil filled capacitor 1944 or 1985", None, {"PCB"}),
    ("Pyranol can, 1985", None, {"PCB"}),
    ("non-PCB oil capacitor 1990", None, set()),
    ("Ölkondensator", None, {"PCB"}),
    # a figure that is a rating or a value is no year, and what was done in a year is no making (no source)
    *((f"4 mfd {rating} | oil capacitor", None, {"PCB"}) for rating in RATINGS),
    *((f"oil capacitor {rating} 4 mfd", None, {"PCB"}) for rating in RATINGS),
    ("oil capacitor 2000", None, {"PCB"}),
    ("oil capacitor, type 2010", None, {"PCB"}),
    ("oil capacitor, tested 1990", None, {"PCB"}),
    ("oil capacitor | bought 3/1990", None, {"PCB"}),
    ("oil capacitor made before 1985", None, {"PCB"}),
    ("oil capacitor | No 1985", None, {"PCB"}),
    ("oil capacitor 2000 V made 1978", None, {"PCB"}),
    ("oil capacitor 2000 V made 1980", None, set()),
    ("4 mfd 2000 V, dated March 1983 | oil capacitor", None, set()),
    ("4 mfd 2000 V oil capacitor (11/1983)", None, set()),
    ("oil capacitor 4 mfd 2000 V, 1983", None, set()),
    ("oil capacitor | date code 1983-05", None, set()),
    ("oil can for the blower", None, set()),
    ("boiled capacitor", None, set()),
    ("glow checked", None, set()),
    ("Hg rectifier with asbestos", None, {"mercury", "asbestos"}),
]


@pytest.mark.parametrize(("words", "state", "doubted"), STATES)
def test_a_word_states_a_state_or_none(words: str, state: str, doubted: bool) -> None:
    found = read_state(words)
    assert (found.state, found.doubted) == (state, doubted)
    assert (found.remark is not None) == doubted
    assert found.condition == ("" if words == "-" else words)


@pytest.mark.parametrize(
    ("words", "state"),
    [("gassy", "weak"), ("Gassy", "weak"), ("good, gassy", "weak"), ("weak, gassy", "weak"), ("has gas", "weak")],
)
def test_gas_in_words_makes_no_dud_and_is_said(words: str, state: str) -> None:
    """Gas alone is borderline and to be tested again, as after a test with gas (common practice, no source)."""
    found = read_state(words)
    assert (found.state, found.doubted) == (state, False)
    assert found.remark is not None and "gas is told" in found.remark.reason


@pytest.mark.parametrize("words", ["untested, gassy", "not tested, slight gas", "ungeprüft, gashaltig"])
def test_gas_of_an_untested_tube_is_said_too(words: str) -> None:
    """What was seen of it before is no test, but no reason to let it go unsaid (common practice, no source)."""
    found = read_state(words)
    assert (found.state, found.doubted, found.condition) == ("untested", False, words)
    assert found.remark is not None and "gas is told" in found.remark.reason and "test it" in found.remark.action


@pytest.mark.parametrize(("words", "state"), [("dud, gassy", "dud"), ("not gassy", ""), ("good, no gas", "good")])
def test_a_dud_with_gas_is_a_dud_and_no_gas_is_none(words: str, state: str) -> None:
    found = read_state(words)
    assert (found.state, found.remark) == (state, None)


@pytest.mark.parametrize(
    ("words", "state"),
    [
        ("reject", "dud"), ("rejects", "dud"), ("open filament", "dud"), ("bad heater", "dud"), ("cracked", "dud"),
        ("glass cracked", "dud"), ("broken glass", "dud"), ("Heizfaden defekt", "dud"), ("strong short", "dud"),
        ("no rejects", ""), ("reject limit 1800", ""), ("reject: 40", ""), ("cracked base", ""), ("no shorts", ""),
        ("good glass", ""), ("filament ok", ""),
    ],
)  # fmt: skip
def test_words_of_a_tube_that_is_done_for(words: str, state: str) -> None:
    assert (read_state(words).state, read_state(words).doubted) == (state, False)


@pytest.mark.parametrize(
    ("words", "unread"),
    [
        ("H-K leakage", True), ("leaky", True), ("noisy", True), ("passes", True), ("tests 80%", True), ("80%", True),
        ("cracked base", True), ("broken base", True), ("NOS", False), ("new in box", False), ("NOS 1944", False),
        ("good box", False), ("gebr.", False), ("like new", False), ("good", False), ("dud?", False), ("", False),
        ("untested", False), ("low hours", False), ("no duds", False), ("б/у", False), ("новая", False),
        ("nuova", False), ("usagée", False), ("używana", False), ("nová", False), ("gebruikt", False),
        ("свистит", True), ("ronza", True),
    ],
)  # fmt: skip
def test_what_is_no_state_and_more_than_age_and_box_is_left_unread(words: str, unread: bool) -> None:
    assert left_unread(read_state(words)) is unread


def test_each_group_of_a_count_has_its_own_word() -> None:
    assert [s.state for s in read_states("o.k. / taub", 2)] == ["good", "dud"]
    assert [s.state for s in read_states("o.k.", 2)] == ["good", "good"]
    assert [s.condition for s in read_states("neu / taub?", 2)] == ["neu", "taub?"]


@pytest.mark.parametrize(("words", "made", "names"), HAZARDS)
def test_hazards_in_words(words: str, made: int | None, names: set[str]) -> None:
    found = find_hazards(words, made)
    assert {hazard.name for hazard in found} == names
    assert all(hazard.reason and "local codes and licensed practice" in hazard.caution for hazard in found)


#: Of a look, of somebody else's word, of an old test, of a guess: no verdict of today.
GUESSES = (
    "looks good|visually good|cosmetically good|optisch gut|was good 1999|good for display|seller says good|"
    "good according to label|hopefully good|guess good|presumed good|soll gut sein|sans doute bon|censé bon|"
    "наверное хорошая|должна быть хорошая|powinna być dobra|chyba dobra|waarschijnlijk goed|asi dobrá|forse buona|"
    "nearly dead|fast taub|likely dead|presumably dead|good, hopefully"
)


@pytest.mark.parametrize("words", GUESSES.split("|"))
def test_a_verdict_beside_a_word_that_is_not_known_is_none(words: str) -> None:
    found = read_state(words)
    assert (found.state, found.doubted, found.condition) == ("", True, words)
    assert found.remark is not None and "untested" in found.remark.action


@pytest.mark.parametrize(
    ("words", "state"),
    [(words, "good") for words in ("good used", "bon état", "tests very good", "good, military stamp", "bueno",
                                   "good on QX-7", "dobry stan", "в хорошем состоянии", "goede staat", "both good")]
    + [(words, "dud") for words in ("dead short", "G-K short", "HS (hors service)", "не работает", "nie działa",
                                    "nefunkční", "non funziona", "Heizfaden durchgebrannt", "broken glass")],
)  # fmt: skip
def test_a_verdict_beside_known_words_stays_one(words: str, state: str) -> None:
    found = read_state(words)
    assert (found.state, found.remark) == (state, None)
