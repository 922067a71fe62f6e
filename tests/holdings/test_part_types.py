"""Kinds of parts by their figures: read from words, narrowed by value and rating, pages, lists. Common practice."""

import csv
import io

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.actions import add_parts
from inventory.holdings.actions.parts import read_kinds, when_migrated
from inventory.holdings.filters import PartFilter, PartTypeFilter
from inventory.holdings.models import Item, PartLot, PartType
from inventory.holdings.queries.parts import part_lots, part_types
from inventory.holdings.rules.part_kinds import KINDS
from inventory.holdings.rules.part_text import read_part
from tests.factories import ItemFactory
from tests.holdings.parts import lot_of
from tests.pages import page_text

pytestmark = pytest.mark.django_db


def as_found(name, value):
    """A lot as they were written down before there were kinds of parts."""
    return PartLot.objects.create(item=ItemFactory(kind=Item.PARTS), name=name, value=value, least=3, most=3)


def test_what_states_value_and_unit_is_read_and_the_rest_stays(keeper):
    full = as_found("capacitor, paper", "0.01 mfd 600 V 20 %")
    alike = as_found("capacitors", "10000 mmf 600 V paper 20%")
    left = [as_found("capacitor", "0.01 mfd 600 V, Blue"), as_found("resistor", "470"), as_found("knob", "bar, black")]
    assert read_kinds(by=keeper) == 2
    kind = PartType.objects.get()
    assert str(kind) == "capacitor 0.01 mfd 20 % 600 V paper"
    full.refresh_from_db(), alike.refresh_from_db()
    assert full.type == alike.type == kind and full.value == "0.01 mfd 600 V 20 %"
    assert "read from its words" in full.history.first().history_change_reason
    assert set(PartFilter({"kind": "none"}, part_lots()).qs) == set(left)
    assert read_kinds(by=keeper) == 0


def test_a_holder_and_a_mounting_are_read_with_the_value(keeper):
    """FT-243 is a crystal's holder, axial how a capacitor is mounted (common practice, no source)."""
    lots = [as_found("crystal FT-243", "7010 kc"), as_found("capacitor", "100 mmf 500 V mica, axial")]
    assert read_kinds(by=keeper) == 2
    for lot, said in zip(lots, ((7010, "FT-243"), (100, "axial")), strict=True):
        lot.refresh_from_db()
        assert (lot.type.value, lot.type.mounting) == said


def test_what_is_said_twice_is_read_and_so_are_designations(keeper):
    """L7.4 for the designations; a place, a kind or a construction beside the value takes nothing from it."""
    read = {
        ("paper bypass", ".05 mfd 600 V paper"): ("capacitor", 50_000, None, None, 600),
        ("capacitor", "8 mfd 450 V capacitor"): ("capacitor", 8e6, None, None, 450),
        ("RF choke", "2.5 mH"): ("choke", 2500, None, None, None),
        ("resistor", "RC20BF103K"): ("resistor", 10_000, 10, 0.5, None),
        ("CM20B103K", ""): ("capacitor", 10_000, 10, None, None),
    }
    lots = [as_found(*words) for words in read]
    left = [
        as_found("capacitor", "RC20BF103K"), as_found("relay", "CM20B103K"),
        as_found("capacitor", "mica .01 mfd paper"),
        as_found("dial", "7000 kc"), as_found("resistor", "RC20BF103"),
    ]  # fmt: skip
    assert read_kinds(by=keeper) == len(read)
    for lot, said in zip(lots, read.values(), strict=True):
        lot.refresh_from_db()
        kind = lot.type
        assert (kind.kind, kind.value, kind.tolerance_pct, kind.watts, kind.volts) == said
        assert kind.construction == {"RC20BF103K": "carbon composition", "CM20B103K": "mica"}.get(
            kind.marking, kind.construction
        )
    assert set(PartFilter({"kind": "none"}, part_lots()).qs) == set(left)


def test_they_are_read_once_when_the_columns_come_in():
    lot = as_found("resistor", "270 K 1 W")
    step = ("holdings", "0015_part_characteristics")
    graph = MigrationExecutor(connection).loader.graph
    when_migrated(plan=[(graph.nodes[("holdings", "0014_largest_lots")], False)])
    when_migrated(plan=[(graph.nodes[step], True)])
    lot.refresh_from_db()
    assert lot.type is None
    when_migrated(plan=[(graph.nodes[step], False)])
    lot.refresh_from_db()
    waiting = MigrationExecutor(connection).migration_plan(graph.leaf_nodes())
    assert (lot.type is None) == bool(waiting)  # tables of tests are made without migrating on SQLite


def test_a_new_lot_gets_the_kind_that_its_words_state(keeper, today):
    lot = add_parts(PartLot(name="resistor", value="1 Meg 1/2 W", least=1, most=1), by=keeper, on=today)
    assert (lot.type.value, lot.type.watts) == (1e6, 0.5)
    assert add_parts(PartLot(name="resistor", value="brown"), by=keeper, on=today).type is None


def test_a_button_reads_those_that_came_later(as_keeper, as_helper):
    as_found("crystal", "3885 kc")
    page = page_text(as_keeper.get("/parts/", {"kind": "none"}))
    assert "Read kind and value" in page
    assert as_helper.post("/parts/read/").status_code == 403
    told = page_text(as_keeper.post("/parts/read/", follow=True))
    assert "1 lot read" in told and PartLot.objects.get().type.kind == "crystal"
    assert "None of them states" in page_text(as_keeper.post("/parts/read/", follow=True))


@pytest.mark.parametrize(
    ("asked", "values"),
    [
        ({"value_from": "0.01 mfd"}, [10_000, 50_000]),
        ({"value_from": "1000 mmf", "value_to": "10000 pF"}, [5_000, 10_000]),
        ({"value_to": "9 jar"}, [5_000, 10_000]),
        ({"kind": "resistor"}, [10_000]),
        ({"value_from": "10 K"}, [10_000]),
        ({"volts": "600 V"}, [10_000, 50_000]),
        ({"volts": "0.6 kV", "value_to": "0.02 mfd"}, [10_000]),
        ({"watts": "1"}, [10_000]),
        ({"construction": "MICA"}, [5_000]),
        ({"safety": "X"}, [5_000]),
        ({"kind": "none"}, []),
    ],
)
def test_narrowed_by_figures(asked, values):
    lot_of(value=5_000.0, volts=400.0, construction="mica", safety_class="X2")
    lot_of(), lot_of(value=50_000.0)
    lot_of(kind="resistor", value=10_000.0, volts=None, watts=1.0)
    assert sorted(lot.type.value for lot in PartFilter(asked, part_lots()).qs) == values
    if asked.get("kind") != "none":
        assert sorted(kind.value for kind in PartTypeFilter(asked, part_types()).qs) == values


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [("value_from", "0.01", "expected a value with its unit"), ("volts", "400 W", "cannot be read in V"),
     ("value_to", "1 M", "write K or Meg")],
)  # fmt: skip
def test_a_figure_that_cannot_be_read_is_told(as_visitor, name, text, said):
    assert said in str(PartFilter({name: text}, part_lots()).errors)
    assert said in page_text(as_visitor.get("/parts/", {name: text}))
    assert as_visitor.get("/api/parts", {name: text}).status_code == 400


def test_api_and_list_out(as_visitor):
    lot = lot_of(construction="paper", tolerance_pct=20.0)
    lot_of(kind="resistor", value=270_000.0, volts=None, watts=1.0)
    as_found("knob", "bar")
    told = as_visitor.get("/api/parts", {"value_from": "0.01 mfd"}).json()
    (row,) = told["parts"]
    assert (told["count"], row["tag"], row["value"], row["unit"], row["volts"]) == (1, lot.tag, 10_000, "pF", 600)
    assert as_visitor.get("/api/parts", {"kind": "none"}).json()["parts"][0]["what"] is None
    sent = b"".join(as_visitor.get("/lists/parts/out/", {"kind": "capacitor"}).streaming_content).decode("utf-8-sig")
    (line,) = csv.DictReader(io.StringIO(sent))
    assert [line[head] for head in ("Kind of part", "Rated, V", "Construction")] == ["capacitor", "600.0", "paper"]


def test_pages_of_kinds(as_keeper, as_visitor):
    sent = {"kind": "capacitor", "value_text": "250 mmf", "volts": "500", "construction": "mica", "safety_class": "y2",
            "mounting": "axial", "marking": "CM20B251K"}  # fmt: skip
    as_keeper.post("/kinds-of-parts/add/", sent)
    kind = PartType.objects.get()
    assert str(kind) == "capacitor 250 pF 500 V class Y2 mica axial" and kind.marking == "CM20B251K"
    assert as_keeper.post("/kinds-of-parts/add/", sent).status_code == 422
    wrong = as_keeper.post("/kinds-of-parts/add/", sent | {"safety_class": "Z9"})
    assert wrong.status_code == 422 and "Write X1, Y2" in page_text(wrong)
    text = page_text(as_visitor.get("/kinds-of-parts/", {"volts": "400 V"}))
    assert "CM20B251K" in text and "250 pF" in text
    assert "No kind of part fits" in page_text(as_visitor.get("/kinds-of-parts/", {"volts": "4 kV"}))


def test_a_piece_with_a_serial_is_one(keeper, today, refused, as_visitor):
    lot = add_parts(PartLot(name="dynamotor", value="28 V", serial="D-1187"), by=keeper, on=today)
    assert lot.quantity_text == "1" and lot.label_mark == "serial D-1187"
    with refused("serial", "of one piece"):
        add_parts(PartLot(name="meter", serial="7", least=3, most=3), by=keeper, on=today)
    assert "D-1187" in page_text(as_visitor.get(f"/parts/{lot.tag}/"))
    assert lot.tag in page_text(as_visitor.get("/look-up/", {"q": "D-1187"}))


def test_how_a_thing_came_is_kept_of_every_thing(as_keeper):
    lot = lot_of()
    for about, text in (("got_from", "Ebb Street radio club"), ("got_how", "swapped for a meter"), ("number", "K-17")):
        as_keeper.post(f"/things/{lot.tag}/facts/add/", {"about": about, "text": text})
    text = page_text(as_keeper.get(f"/parts/{lot.tag}/"))
    for word in ("acquired from", "Ebb Street radio club", "how acquired", "swapped for a meter", "K-17"):
        assert word in text


@given(
    st.sampled_from(["capacitor", "resistor", "inductor", "crystal", "choke", "fuse", "lamp"]), st.integers(1, 999_999),
    st.sampled_from([None, 5.0, 20.0]), st.sampled_from([None, 63.0, 600.0]),
)  # fmt: skip
def test_a_kind_of_part_is_read_as_it_is_told(kind, value, tolerance, rating):
    rated = next(iter(KINDS[kind].ratings), "")
    row = PartType(kind=kind, value=float(value), tolerance_pct=tolerance, **({rated: rating} if rated else {}))
    told = read_part(str(row)).figures
    assert told.value == pytest.approx(row.value, rel=1e-5)
    assert (told.kind, told.tolerance_pct) == (kind, tolerance) and (not rated or getattr(told, rated) == rating)
