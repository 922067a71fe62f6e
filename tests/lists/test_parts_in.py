"""Lists of parts: what the columns of kinds and of values become. Expected: common practice, no source."""

import pytest

from inventory.holdings.models import HazardMark, PartLot
from inventory.lists.actions.read import Options
from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose
from tests.lists.importing_lists import take

OF_PARTS = """Kind;Description;Qty;Location
paper capacitor;.01 mfd 600 V;4;Drawer A
oil capacitor;4 mfd 2000 V;2;Drawer A
relay;28 V DC DPDT;3;Drawer B
meter;0-1 mA;1;Drawer B
dynamotor;28 V in 250 V out;1;Floor
knob;bar, black;5;Drawer C
RF choke;2.5 mH 100 mA;2;Drawer C
oddments;ferrules;9;Drawer C
capacitor;paper capacitor .05 mfd 400 V;9;Drawer C
"""
UNDER_VALUE = """Qty;Item;Value;Condition;Location
4;paper capacitor;.01 mfd 600 V;new;Drawer A
9;resistor;10 K 1/2 W;new;Drawer A
2;choke;2.5 mH;used;Drawer A
"""


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
def test_the_column_of_kinds_says_what_a_part_is(keeper):
    take(OF_PARTS, by=keeper, options=Options(kind="parts"))
    lots = {lot.name: lot for lot in PartLot.objects.select_related("type")}
    assert {(name, lot.value, lot.type and lot.type.kind) for name, lot in lots.items()} == {
        ("paper capacitor", ".01 mfd 600 V", "capacitor"), ("oil capacitor", "4 mfd 2000 V", "capacitor"),
        ("relay", "28 V DC DPDT", "relay"), ("meter", "0-1 mA", "meter"),
        ("dynamotor", "28 V in 250 V out", "dynamotor"), ("knob", "bar, black", "knob"),
        ("RF choke", "2.5 mH 100 mA", "choke"), ("ferrules", "", None),
        ("paper capacitor .05 mfd 400 V", "", "capacitor"),
    }  # fmt: skip
    assert lots["paper capacitor"].type.construction == "paper" and lots["oil capacitor"].type.volts == 2000
    assert (lots["relay"].type.volts, lots["relay"].type.words) == (28, "DPDT")
    assert "kind: oddments" in lots["ferrules"].note
    assert HazardMark.objects.get(item=lots["oil capacitor"].item).hazard == "PCB oil"  # L9.7: unknown date


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
def test_a_count_before_a_value_may_be_of_sections(keeper):
    """A can of three sections is written 3 x .1 mfd as three pieces are (common practice, no source)."""
    _, (row,) = take("Description;Qty\n3 x .1 mfd 600 V;4\n", by=keeper, options=Options(kind="parts"))
    lot = PartLot.objects.get()
    assert (lot.name, lot.least, lot.type) == ("3 x .1 mfd 600 V", 4, None)
    assert "sections in one can" in str(row["remarks"])


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
def test_values_under_value_are_values_and_no_insurance(keeper):
    take(UNDER_VALUE, by=keeper, options=Options(kind="parts"))
    found = {(lot.name, lot.value, lot.type and lot.type.kind) for lot in PartLot.objects.select_related("type")}
    assert found == {
        ("paper capacitor", ".01 mfd 600 V", "capacitor"), ("resistor", "10 K 1/2 W", "resistor"),
        ("choke", "2.5 mH", "choke"),
    }  # fmt: skip


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
def test_a_kind_and_a_value_say_what_a_part_is(keeper):
    rows = "Qty;Kind;Value\n4;paper capacitor;.01 mfd 600 V\n1;relay;28 V DPDT\n1;;28 V\n2;oddments;5 A\n"
    _, report = take(rows, by=keeper, options=Options(kind="parts"))
    found = {(lot.name, lot.value, lot.type and lot.type.kind) for lot in PartLot.objects.select_related("type")}
    assert found == {("paper capacitor", ".01 mfd 600 V", "capacitor"), ("relay", "28 V DPDT", "relay")}
    assert [row["outcome"] for row in report[2:]] == ["refused", "refused"]


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
@pytest.mark.parametrize("kind", ["parts", ""])
def test_a_value_says_that_a_can_is_a_capacitor(keeper, kind):
    rows = "Qty;Kind;Value\n2;oil can;10 mfd 1500 V\n1;Ölkondensator;4 mfd 600 V\n1;oil can;\n1;parts;10 mfd\n"
    _, report = take(rows, by=keeper, options=Options(kind=kind))
    found = {(lot.name, lot.type.kind, lot.type.construction) for lot in PartLot.objects.select_related("type")}
    assert found == {("oil can", "capacitor", "paper in oil"), ("Ölkondensator", "capacitor", "paper in oil")}
    assert [row["outcome"] for row in report[2:]] == ["refused", "refused"]


@pytest.mark.parametrize(
    ("heading", "cells", "field"),
    [
        ("Value", ["0.01 mfd", "10 K", "2.5 mH"], f.VALUE),
        ("Rating", ["600 V", "2 W", "5 A"], f.VALUE),
        ("Value / Rating", [".01 mfd 600 V", "10 K 1/2 W"], f.VALUE),
        ("Wert", ["100 pF", "10 kohm"], f.VALUE),
        ("Wert", ["5,2 mA/V", "80 %", "10 mA"], f.READING),
        ("Value", ["12.50", "$5", "£3"], f.INSURED),
        ("Value", ["100", "20", ""], f.INSURED),
        ("Value ($)", ["100", "20", "5"], f.INSURED),
    ],
)
def test_a_column_of_values_is_known_by_its_cells(heading, cells, field):
    assert propose([heading], [[cell] for cell in cells])[0].field == field


def test_ratings_beside_a_column_of_values_are_of_it():
    rows = [["capacitor", "0.01 mfd", "600 V", "10 %"], ["capacitor", "8 mfd", "450 V", ""]]
    found = propose(["Item", "Value", "Voltage", "Tolerance"], rows)
    assert [one.field for one in found[1:]] == [f.VALUE] * 3
    assert propose(["Tube", "Voltage"], [["6V6", "6.3 V"], ["807", "6.3 V"]])[1].field == f.OTHER
