"""Taken out, a random part of the cells edited, brought back: exactly those changes; not edited: none."""

import csv
import io
import unicodedata
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from inventory.holdings.actions import add_parts
from inventory.holdings.actions.facts import add_facts
from inventory.holdings.models import Item, PartLot, Tube
from inventory.lists.rules.rewriting import plain, rewrites
from tests import factories as make
from tests.counting import cost
from tests.lists.test_coming_back import brought_back, cells_told, taken_out

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Co", "Cn")), max_size=20).map(str.strip)
DAY = st.integers(0, 20_000).map(lambda days: (date(1960, 1, 1) + timedelta(days)).isoformat())
PRICE = st.builds(
    "{}.{:02d} {}".format, st.integers(1, 9_999), st.integers(1, 99), st.sampled_from(["EUR", "USD", "NOK"])
)
SAID = {"Price paid": PRICE | st.just(""), "Own number": st.integers(1, 9_999_999).map("W-{}".format) | st.just("")}
TUBE_CELLS = SAID | {
    "Marked": TEXT.filter(bool), "Maker": TEXT, "Date code": TEXT, "Note": TEXT, "Condition": TEXT,
    "Acquired how": TEXT, "Acquired from": TEXT, "Acquired on": DAY | st.just(""),
    "State": st.sampled_from(["good", "untested", "weak", "dud"]),
    "Type": st.sampled_from(["6SN7GT", "807", "6V6GT", ""]),
    "Place": st.sampled_from(["Hall", "Hall / Bin 3", "Hall / Bin 4", ""]),
}  # fmt: skip
PART_CELLS = SAID | {
    "What": TEXT.filter(bool), "Value or type": TEXT, "Maker": TEXT, "Condition": TEXT, "Note": TEXT,
    "At most": st.integers(10, 999).map(str), "At least": st.integers(0, 9).map(str),
    "Duds": st.integers(0, 50).map(str), "To count": st.sampled_from(["yes", "no"]),
    "Place": TUBE_CELLS["Place"],
}  # fmt: skip
READ = st.text("ABCDEFGHKLMNPRSTUVWXYZ-/ ", min_size=3, max_size=12).map(str.strip).filter(lambda text: len(text) > 2)
SERIAL_CELLS = SAID | {"Serial": READ.map(lambda text: f"No {text}"), "Note": TEXT, "Place": TUBE_CELLS["Place"]}
MODEL_CELLS = {
    "chassis": SERIAL_CELLS | {"Set model": st.sampled_from(["Skerry 40", "Skerry 60"])},
    "units": SERIAL_CELLS | {"Unit model": st.sampled_from(["Drawer A", "Drawer B"])},
}  # fmt: skip
TIMES = settings(  # each example goes through the database: a failing one is told as it is drawn
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)  # fmt: skip


@pytest.fixture
def house(keeper):
    hall = make.PlaceFactory(code="Hall")
    bins = [make.PlaceFactory(code=code, parent=hall) for code in ("Bin 3", "Bin 4")]
    make.TubeFactory(marked="VT-231", type__name="6SN7GT", state="good", place=bins[0], date_code="0143", note="=1+1")
    make.TubeFactory(marked="2E26", type__name="2E26", state="weak", acquired_on="2026-04-05", date_code="4-44")
    make.TubeFactory(marked="QX-99", type=None, state="untested", note="two\nlines", maker="Свет", place=hall)
    for name in ("807", "6V6GT"):
        make.TubeFactory(marked=name, type__name=name, state="dud", place=bins[1])
    for name, value in (("capacitor", "0.01 mfd 400 V"), ("knob", ""), ("cable", "01432")):
        lot = PartLot(name=name, value=value, least=3, most=12)
        add_parts(lot, by=keeper, on=make.days_ago(3), place=bins[0])
    for number, item in enumerate(Item.objects.order_by("pk")[:4], 1):
        say_of(item, number)


def say_of(item, number):
    for about, text in (("paid", f"{number}2.50 EUR"), ("number", f"K-{number}")):
        add_facts(item, about, text, by=None, today=make.days_ago(0))


@pytest.fixture
def sets(house):
    """Chassis and units with serials that a spreadsheet rewrites, two models of each."""
    models = [make.SetModelFactory(name=name) for name in ("Skerry 40", "Skerry 60")]
    drawers = [make.UnitModelFactory(name=name) for name in ("Drawer A", "Drawer B")]
    for at, serial in enumerate(("01432", "1E5", "4-44")):
        make.ChassisFactory(model=models[at % 2], serial=serial, note="#REF!")
        make.PlugInUnitFactory(model=drawers[at % 2], serial=serial)
    for number, item in enumerate(Item.objects.filter(kind__in=("chassis", "unit")).order_by("pk")[1:5], 11):
        say_of(item, number)


def may_be_rewritten(after, before):
    """Whether a spreadsheet can make one text out of another at all: common practice, no source.

    Blanks at the ends, figures, signs of composed letters, letters that a code page lacks, true and false. By this the
    property cannot pass for want of an edit: any other text that is taken for a rewriting is a change that was lost.
    """
    one, other = (unicodedata.normalize("NFC", plain(text)) for text in (after, before))
    figures = all(any(sign.isdigit() for sign in text) for text in (one, other))
    logical = one.casefold() == other.casefold() in ("true", "false")
    return one == other or figures or logical or ("?" in one and len(one) == len(other))


def each_number_once(rows):
    """A number that two things are to bear is held for one of them."""
    numbers = [row[rows[0].index("Own number")] for row in rows[1:]]
    assume(len(set(filter(None, numbers))) == len(list(filter(None, numbers))))


def edited(data, rows, choices):
    """(rows with some cells edited, what those edits are)."""
    head, *things = [list(row) for row in rows]
    edits = []
    for thing in things:
        for heading in data.draw(st.lists(st.sampled_from(sorted(choices)), unique=True, max_size=4)):
            at = head.index(heading)
            before, after = str(thing[at]), data.draw(choices[heading])
            assert may_be_rewritten(after, before) or not rewrites(after, before)
            if not rewrites(after, before):
                edits.append((thing[0], heading, plain(before), plain(after)))
            thing[at] = after if not rewrites(after, before) else before
    each_number_once([head, *things])
    return [head, *things], sorted(edits)


@pytest.mark.parametrize("shape", ["csv", "xlsx"])
@TIMES
@given(data=st.data())
def test_exactly_the_edited_cells_of_tubes_change(house, as_keeper, shape, data):
    rows, edits = edited(data, taken_out(as_keeper, "tubes", shape), TUBE_CELLS)
    found = brought_back(rows, shape, trial=True)
    assert sorted(cells_told(found.changed)) == edits
    assert not found.conflicts and not found.held and not found.read_only and not found.new
    assert found.untouched == len(rows) - 1 - len({tag for tag, *_ in edits})


@TIMES
@given(data=st.data())
def test_exactly_the_edited_cells_of_parts_change(house, as_keeper, data):
    rows, edits = edited(data, taken_out(as_keeper, "parts"), PART_CELLS)
    found = brought_back(rows, trial=True)
    assert sorted(cells_told(found.changed)) == edits
    assert not found.conflicts and not found.held and not found.read_only and not found.new


@pytest.mark.parametrize("name", ["chassis", "units"])
@TIMES
@given(data=st.data())
def test_exactly_the_edited_cells_of_sets_change(sets, as_keeper, name, data):
    rows, edits = edited(data, taken_out(as_keeper, name), MODEL_CELLS[name])
    serials = [row[rows[0].index("Serial")].casefold() for row in rows]
    assume(len(set(serials)) == len(serials))  # the same serial on one model is asked about
    found = brought_back(rows, trial=True)
    assert sorted(cells_told(found.changed)) == edits
    assert not found.conflicts and not found.held and not found.read_only and not found.new
    assert found.untouched == len(rows) - 1 - len({tag for tag, *_ in edits})


@TIMES
@given(data=st.data())
def test_what_changed_here_meanwhile_is_a_conflict_and_nothing_else_is(house, as_keeper, data):
    """Cells of a list edited, and cells of the register changed while it was out, each at random."""
    choices = dict.fromkeys(("Maker", "Note", "Condition", "Acquired from"), READ)
    out = taken_out(as_keeper)
    theirs, edits = edited(data, out, choices)
    _, ours = edited(data, out, choices)
    fields = {"Acquired from": "acquired_from"}
    here = {(tag, heading): (old, new) for tag, heading, old, new in ours}
    for tag, heading, _, new in ours:
        Tube.objects.filter(item__tag=tag).update(**{fields.get(heading, heading.lower()): new})
    try:
        found = brought_back(theirs, trial=True)
    finally:
        for tag, heading, old, _ in ours:
            Tube.objects.filter(item__tag=tag).update(**{fields.get(heading, heading.lower()): old})
    expected = [one for one in edits if (one[0], one[1]) not in here]
    both = [(tag, heading, here[tag, heading][1], new) for tag, heading, _, new in edits if (tag, heading) in here]
    assert sorted(cells_told(found.changed)) == expected
    assert sorted(cells_told(found.conflicts)) == sorted(one for one in both if one[2] != one[3])


@pytest.mark.parametrize("name", ["tubes", "parts", "chassis", "units", "companions"])
@pytest.mark.parametrize("shape", ["csv", "xlsx"])
def test_what_was_not_edited_changes_nothing(house, as_keeper, name, shape):
    make.FittingFactory()
    make.ChassisFactory(serial="01432", note="#REF!")
    make.PlugInUnitFactory(serial="1E5")
    make.CompanionFactory()
    found = brought_back(taken_out(as_keeper, name, shape), shape, trial=True)
    told = found.as_dict()
    empty = ("changed", "conflicts", "held", "read_only", "rewritten", "besides")
    assert [told[one] for one in empty] == [[]] * 6 and found.untouched and not found.new


def as_a_spreadsheet_saves_it(rows):
    """A CSV file opened and saved by a spreadsheet: figures lose zeros, days are written otherwise, commas decide."""

    def again(text):
        if text.isdigit():
            return str(int(text))
        if len(text) == 10 and text[4] == text[7] == "-":
            year, month, day = text.split("-")
            return f"{day}.{month}.{year}"
        return {"2E26": "2,00E+26", "4-44": "Apr 44"}.get(text, text.replace(".", ",") if _is_figure(text) else text)

    text = io.StringIO(newline="")
    csv.writer(text, delimiter=";").writerows([[again(cell) for cell in row] for row in rows])
    return list(csv.reader(io.StringIO(text.getvalue(), newline=""), delimiter=";"))


def _is_figure(text):
    try:
        float(text)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("name", ["tubes", "parts"])
def test_what_a_spreadsheet_wrote_otherwise_changes_nothing(house, as_keeper, name):
    rows = as_a_spreadsheet_saves_it(taken_out(as_keeper, name))
    found = brought_back(rows)
    assert not found.changed and not found.held and not found.conflicts and found.run is None
    told = {"tubes": {"Marked", "Type", "Date code", "Acquired on"}, "parts": {"Value or type", "Last seen"}}
    assert {one.column for one in found.rewritten} == told[name]


def test_untouched_rows_cost_no_more_questions(db, as_keeper):
    def ten_more():
        for _ in range(10):
            make.TubeFactory(marked="6V6GT", state="good")
        return taken_out(as_keeper)

    rows = ten_more()
    few = cost(lambda: brought_back(rows, trial=True))
    rows = ten_more()
    assert cost(lambda: brought_back(rows, trial=True)) == few
