"""Bars: their scale, their words. Steps of 1, 2 or 5: common practice, no source."""

import io
import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.house.bars import EDGE, MONEY, THINGS, WIDTH, Item, bars
from inventory.house.chart_labels import extent

VALUES = st.lists(st.decimals(0, 10**7, places=2).map(float), min_size=1, max_size=12)


def drawn(*values, of=THINGS):
    items = [Item(f"part {n}", f"{value:g}", value) for n, value in enumerate(values)]
    return bars(items, "Parts: each.", "Parts.", key="parts", title="Parts", scale_of=of)


@pytest.mark.parametrize(
    ("most", "ticks"),
    [
        (1, ["0", "1"]), (3, ["0", "1", "2", "3"]), (7, ["0", "2", "4", "6"]), (112, ["0", "50", "100"]),
        (2345, ["0", "500", "1,000", "1,500", "2,000"]),
    ],
)  # fmt: skip
def test_a_scale_of_things_has_round_whole_numbers(most, ticks):
    assert [words for _, words, _ in drawn(most).ticks] == ticks


@given(VALUES)
def test_ticks_lie_over_no_other_and_stay_in_the_drawing(values):
    found = drawn(*values, of=MONEY)
    ends = [extent(label, 14) for label in found.ticks]
    assert all(before[1] < after[0] for before, after in itertools.pairwise(ends))
    assert all(low >= -0.5 and high <= WIDTH + 0.5 for low, high in ends)
    assert all(one.x + one.width <= WIDTH - EDGE + 1.5 for one in found.rows)


def test_a_hollow_part_goes_on_where_the_full_one_ends():
    found = bars([Item("2024", "10", 4.0, then=10.0)], "", "", scale_of=THINGS)
    full = found.rows[0]
    assert full.then == (full.x + full.width, pytest.approx(1.5 * full.width, abs=0.2))


def test_bars_of_nothing_but_noughts_have_a_scale_of_nought():
    assert [words for _, words, _ in drawn(0, 0).ticks] == ["0"]


def test_names_are_cut_and_their_words_say_all():
    name = "Завод с очень длинным названием имени Примера, второй цех"
    found = bars([Item(name, "3", 3.0)], "", "")
    assert found.rows[0].name.endswith("…") and found.rows[0].words == f"{name}: 3"


def test_bars_are_drawn_on_paper():
    from reportlab.pdfgen.canvas import Canvas

    from inventory.house.bars_pdf import DrawnBars

    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=0)
    items = [Item("full", "4", 4.0, then=6.0), Item("not known", "2", 2.0, kind="unknown", low=1.0, high=3.0, mark=2.5)]
    DrawnBars(bars(items, "", "", scale_of=THINGS)).drawOn(canvas, 20, 20)
    canvas.save()
    assert len(re.findall(rb"[0-9] re [fB]", out.getvalue())) == 3  # two bars and a hollow part
