"""How pins stand, and that every base and basing code of the tables can be drawn.

Angles are held against the published outlines as recalled (JEDEC E7-1 and E9-1, BS 448 B7G, B9A and B8A, the octal
and UX bases of the RETMA): from memory, as the table says itself.
"""

from itertools import pairwise

import pytest

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.base_diagram import DRAWN, NUMBERED, TESTED, diagram_of, marked_against
from tubes.rules.bases import BASES, KEY, TURN, Spot, base_named
from tubes.rules.figures import TypeFigures, Word
from tubes.rules.handbook import Handbook
from tubes.rules.rows_of_tables import book_rows_of

BASINGS = bench().basings
BOOK = Handbook(book_rows_of(tables()))


def drawn(name):
    figures = rated()[name]
    basing = BASINGS.get(figures.word("basing"))
    return diagram_of(figures, basing, () if basing else BOOK.told(figures, basing).rows)


def typed(**words):
    return TypeFigures("ZZ1", words={key: Word(value) for key, value in words.items()})


@pytest.mark.parametrize(
    ("base", "pins", "step", "over_the_end"),
    [
        ("octal", 8, 45, 45),
        ("loctal", 8, 45, 45),
        ("rimlock", 8, 45, 45),
        ("7-pin-miniature", 7, 45, 90),
        ("septar", 7, 45, 90),
        ("noval", 9, 36, 72),
        ("magnoval", 9, 36, 72),
        ("UX4", 4, 90, 90),
        ("UX6", 6, 60, 60),
        ("UX7-medium", 7, 360 / 7, 360 / 7),
        ("duodecal", 12, 30, 30),
        ("magnal-11", 11, 360 / 11, 360 / 11),
        ("diheptal", 14, 360 / 14, 360 / 14),
    ],
)
def test_steps_from_pin_to_pin(base, pins, step, over_the_end):
    """The step between neighbours, and that from the last pin over key or gap to the first."""
    spots = BASES[base].spots
    assert list(spots) == list(range(1, pins + 1)) and BASES[base].true
    angles = [spot.angle for spot in spots.values()]
    assert [b - a for a, b in pairwise(angles)] == pytest.approx([step] * (pins - 1))
    assert angles[0] + TURN - angles[-1] == pytest.approx(over_the_end)
    assert angles[0] == pytest.approx(over_the_end / 2)  # key or gap lies midway, at the bottom


def test_thick_pins_of_the_ux_bases():
    """Filament pins of UX4, UX6 and UX7 are the thick ones; the five of UX5 are alike (from memory)."""
    thick = {name: sorted(BASES[name].large) for name in ("UX4", "UX5", "UX6", "UX7-small")}
    assert thick == {"UX4": [1, 4], "UX5": [], "UX6": [1, 6], "UX7-small": [1, 7]}


@pytest.mark.parametrize("base", BASES.values(), ids=lambda base: base.name)
def test_a_row_of_the_table_can_be_drawn(base):
    places = {(round(spot.angle % TURN, 3), spot.out) for spot in base.spots.values()}
    assert len(places) == base.pins and base.large <= base.spots.keys() and base.source
    if base.clockwise:
        angles = [spot.angle for spot in base.spots.values()]
        assert angles == sorted(angles) and angles[-1] < TURN
    assert BASES["british-5"].spots[5] == Spot(0.0, 0.0)


def test_every_base_and_basing_code_of_the_tables_has_a_diagram():
    ratings = [row.cells for row in tables().rows["ratings.csv"]]
    wanted = {(one["base"], one["basing"]) for one in ratings if one["basing"]}
    assert len({code for _, code in wanted}) > 150
    missing = [pair for pair in wanted if not diagram_of(typed(base=pair[0], basing=pair[1]), BASINGS.get(pair[1]))]
    missing += [basing.code for basing in BASINGS.values() if not base_named(basing.socket)]
    named = {one["base"] for one in ratings} - {"", "special", "coaxial", "wire-in", "bayonet-candelabra"}
    assert missing == [] and named <= {*BASES, "UX7"}


def test_every_pin_that_is_known_has_its_place():
    """No electrode is dropped: of the diagrams, and of the handbook's rows about a type."""
    lost = []
    for name in rated():
        diagram = drawn(name)
        if diagram and diagram.told == DRAWN:
            known = {pin for pin, _ in BASINGS[diagram.code].pins}
            lost += [(name, known)] if known - {one.name for one in diagram.in_use} else []
    for name in BOOK.names:
        rows = BOOK.rows_of(name)[0]
        diagram = diagram_of(TypeFigures(name), None, rows)
        known = {pin for row in rows if row.usable for pin, _ in row.pins}
        wirings = {(row.base, row.electrodes, row.pins, row.cap) for row in rows if row.usable and row.pins}
        if len(wirings) > 1 and (len({one[:2] for one in wirings}) > 1 or rows[0].electrodes in {"T", "P", "DDT"}):
            assert diagram is None or not diagram.in_use, name  # more than one tube
        elif known and (diagram is None or known - {one.name for one in diagram.pins if one.codes}):
            lost.append((name, known))
    assert lost == []


def test_a_basing_is_drawn_with_what_is_on_its_pins():
    """8BD: heater 7 and 8, plates 5 and 2 (RCA Receiving Tube Manual, from memory)."""
    diagram = drawn("6SN7GT")
    on = {one.name: one.short for one in diagram.in_use}
    assert (diagram.told, diagram.base.mark, on["7"], on["8"], on["5"], on["2"]) == (
        DRAWN,
        KEY,
        "H",
        "H",
        "P",
        "P\u2032",
    )
    words = diagram.described("6SN7GT")
    assert "Seen from below, the key at the bottom, pins count clockwise" in words
    assert "pin 2 plate of section 2" in words and "not drawn true" not in words


def test_pins_as_tested_tell_less_and_say_so():
    """SP61 on a Mazda octal base: heater 1 and 8, grid on the cap (AVO Valve Data Manual, 23rd edition)."""
    diagram = drawn("SP61")
    on = {one.name: one.short for one in diagram.in_use}
    assert (diagram.told, diagram.source) == (TESTED, "avo-vdm23")
    assert (on["1"], on["8"], on["cap"], diagram.caps[0].words) == ("h", "h", "g1", "grid 1")
    words = diagram.described("SP61")
    assert "as wired for a test" in words and "not drawn true" in words and "top cap grid 1" in words


def test_what_is_not_known_is_said():
    bare = diagram_of(typed(base="noval", basing="9ZZ"), None)
    assert (bare.told, bare.in_use) == (NUMBERED, ()) and "not known here" in bare.described("ZZ1")
    ring = diagram_of(typed(base="special", basing="14A", cap="plate"), None)
    assert (ring.base.pins, ring.base.true) == (14, False) and "drawn as a ring of 14" in ring.base.title
    assert [one.short for one in ring.caps] == ["P"]
    # the acorn has five lugs and terminals at its ends, which a code of seven counts too (from memory)
    assert diagram_of(typed(base="acorn", basing="7BR"), None).base.name == "acorn"
    assert diagram_of(typed(base="special"), None) is None and base_named("", "99ZZ") is None


@pytest.mark.parametrize("code", ["807", "6146", "own 10BM8", "9"])
def test_a_code_of_no_such_form_counts_no_pins(code):
    """A number of pins stands before letters (8BD, 9A, 12BJ: RETMA basing codes, common practice, no source)."""
    assert base_named("octal", code).name == "octal" and base_named("", code) is None
    assert base_named("", "9Q").pins == 9 and base_named("octal", "9Q").name == "octal"


def test_a_basing_of_another_base_lends_no_pins():
    """41M, octal in the handbook, beside the basing of the 41 (6B, on six pins; avo-vdm23, RCA manual from memory)."""
    figures = typed(base="octal", basing="6B")
    apart = diagram_of(figures, BASINGS["6B"])
    assert (apart.told, apart.base.name, apart.in_use) == (NUMBERED, "octal", ())
    assert (
        "Basing 6B is drawn on another base (UX6)" in apart.described("ZZ1")
        and "not known here" in apart.electrodes_told
    )
    tested = diagram_of(figures, BASINGS["6B"], BOOK.rows_of("41M")[0])
    on = {one.name: one.short for one in tested.in_use}
    assert (tested.told, on["2"], on["3"], on["5"]) == (
        TESTED,
        "h",
        "a",
        "g1",
    ) and "another base" in tested.electrodes_told
    assert diagram_of(typed(basing="6B"), BASINGS["6B"]).told == DRAWN
    assert diagram_of(typed(base="UX7", basing="7D"), BASINGS["7D"]).told == DRAWN  # another word for the same base


def test_rows_of_two_wirings_are_drawn_as_neither():
    """HP210: a British base of four pins or of seven; A430 on one base with the plate on pin 1 or on the cap."""
    assert diagram_of(TypeFigures("HP210"), None, BOOK.rows_of("HP210")[0]) is None
    seven = diagram_of(typed(base="british-7"), None, BOOK.rows_of("HP210")[0])
    assert (seven.told, [one.short for one in seven.caps]) == (TESTED, ["a"])
    assert {one.name for one in seven.in_use} == {"2", "3", "4", "5", "7", "cap"}
    two = diagram_of(typed(base=BOOK.rows_of("A430")[0][0].base), None, BOOK.rows_of("A430")[0])
    assert (two.told, two.in_use) == (NUMBERED, ()) and "more than one wiring" in two.electrodes_told
    other = diagram_of(typed(base="noval"), None, BOOK.rows_of("SP61")[0])
    assert other.in_use == () and "on another base alone (mazda-octal)" in other.electrodes_told


def test_every_cap_has_its_place():
    """QQZ06-40: two plates on top; 6J8: the second system's grid once, though both of its rows name it."""
    both = diagram_of(typed(base="septar"), None, BOOK.rows_of("QQZ06-40")[0])
    assert [(one.name, one.short) for one in both.caps] == [("cap", "a"), ("cap2", "a")]
    one = diagram_of(typed(base="octal"), None, BOOK.rows_of("6J8")[0])
    assert [(one.name, one.short) for one in one.caps] == [("cap", "g1b")]


def test_terminals_that_differ_are_marked():
    """EL34 (8ET) beside 6L6 (7AC): its suppressor is on pin 1, where the 6L6 has its shell."""
    wanted, other = (diagram_of(typed(base="octal", basing=code), BASINGS[code]) for code in ("7AC", "8ET"))
    assert [one.name for one in marked_against(other, wanted).terminals if one.differs] == ["1"]
    moved = diagram_of(typed(base="octal", basing="7S"), BASINGS["7S"])
    assert not any(one.differs for one in marked_against(moved, wanted).terminals)
    for unlike in (drawn("SP61"), diagram_of(typed(base="noval", basing="9A"), BASINGS["9A"])):
        assert not any(one.differs for one in marked_against(unlike, wanted).terminals)
