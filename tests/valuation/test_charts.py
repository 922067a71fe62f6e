"""The method page and the charts of what the collection is worth: what they show is what the tables say."""

import json
import re
from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.house.bars import EDGE, LESS, WIDTH, Item, bars
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.models import Appraisal
from inventory.valuation.queries.appraisals import since
from inventory.valuation.queries.collection import collection
from inventory.valuation.rules.judged import Judged
from inventory.valuation.wording.method import backtest_chart
from inventory.valuation.wording.worth_charts import bridge, building_bars, dearest_bars, over_time
from tests.counting import cost
from tests.factories import PlaceFactory, TubeFactory, TubeTypeFactory, days_ago
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
ON = date(2026, 10, 1)


def sold(kind, *amounts, **said):
    for number, amount in enumerate(amounts):
        said_all = {"type": kind, "on": date(2026, 1, 1 + number), "grade": "used tested good"} | said
        EvidenceFactory(amount=Decimal(amount), **said_all)


def worth(on=ON):
    return collection("EUR", on, basis="fair-market")


def test_bars_stand_in_proportion_within_the_drawing():
    found = bars([Item("one", "30", 30.0, low=10.0, high=60.0), Item("two", "-15", 15.0, 30.0, kind=LESS)], "", "")
    first, second = found.rows
    room = WIDTH - 2 * EDGE
    assert (first.x, first.width) == (EDGE, room / 2)
    assert first.line == (pytest.approx(EDGE + room / 6, abs=0.1), EDGE + room)
    assert (second.x, second.width) == (pytest.approx(EDGE + room / 4, abs=0.1), pytest.approx(room / 4, abs=0.1))
    assert bars([], "", "") is None


def test_a_long_name_is_cut_and_told_in_full():
    (one,) = bars([Item("a name that is far too long to stand above a bar", "1234.50", 1.0)], "", "").rows
    assert one.name.endswith("…") and one.words.startswith("a name that is far too long to stand above a bar:")


def test_the_numbers_of_other_sales_are_never_cut():
    groups = tuple(
        Judged(least, most, 48, 48, 0.8, 9.99, 9.99) for least, most in ((1, 1), (2, 4), (5, 9), (10, 29), (30, None))
    )
    found = SimpleNamespace(tested=SimpleNamespace(groups=groups))
    assert [one.name for one in backtest_chart(found).rows] == [one.words for one in groups]


def test_a_bridge_leads_from_the_last_appraisal_to_now():
    """20 stays and is dearer by 10, 20 leaves, 30 comes: 40 - 20 + 10 + 30 = 60."""
    kind = TubeTypeFactory()
    sold(kind, 20)
    leaves = [TubeFactory(type=kind, state="good") for _ in range(2)][1]
    then = keep_appraisal(worth(), by=None)
    for row in kind.price_evidence.all():
        row.amount = Decimal(30)
        row.save()
    leaves.item.gone_on = days_ago(1)
    leaves.item.save()
    TubeFactory(type=kind, state="good")
    found = since(Appraisal.objects.defer("inputs").get(pk=then.pk), worth())
    chart = bridge(found, then.on, None, "EUR")
    assert [(one.name, one.told) for one in chart.rows] == [
        ("On 2026-10-01", "40.00"), ("Bought", "+30.00"), ("Gone", "-20.00"), ("Price", "+10.00"), ("Now", "60.00"),
    ]  # fmt: skip
    assert chart.rows[2].kind == LESS and "Gone -20.00" in chart.label
    assert bridge(since(then, worth()), then.on, None, "EUR") is not None


def test_buildings_and_the_dearest_stand_with_their_ends():
    dear, cheap = TubeTypeFactory(name="ZZ-dear"), TubeTypeFactory(name="ZZ-cheap")
    sold(dear, 90, 110)
    sold(cheap, 5)
    hall = PlaceFactory(code="Hall")
    first = TubeFactory(type=dear, state="good", item__place=hall)
    second = TubeFactory(type=cheap, state="good")
    found = worth()
    assert [one.name for one in dearest_bars(found).rows] == [f"{first.tag} ZZ-dear", f"{second.tag} ZZ-cheap"]
    assert [one.name for one in building_bars(found).rows] == ["Hall", "no place"]
    assert dearest_bars(found).rows[0].line is not None


def test_over_time_needs_two_points():
    one = Appraisal(pk=1, on=date(2025, 1, 1), total=Decimal(10))
    assert over_time([one], None, "EUR") is None
    assert "2026-10-01: 12.00" in over_time([one], (ON, Decimal(12)), "EUR").label


def test_the_pages_show_them_with_words(as_keeper):
    kind = TubeTypeFactory()
    sold(kind, 20, 22, 24, 26, 30, 35)
    sold(kind, 9, 11, grade="weak")
    TubeFactory(type=kind, state="good")
    kept = [keep_appraisal(worth(on), by=None) for on in (date(2026, 1, 2), ON)]
    page = page_text(as_keeper.get(reverse("valuation:collection"), {"on": str(ON), "currency": "EUR"}))
    assert "In pictures" in page and "Worth by building: no place" in page and "Since the appraisal of" in page
    page = page_text(as_keeper.get(reverse("valuation:appraisal", args=[kept[1].pk])))
    assert "How estimates are made" in page
    assert "What became of it: On 2026-01-02" in page and "Worth over time in EUR" in page
    asked = {"then": kept[0].pk, "now": kept[1].pk}
    assert "What became of it" in page_text(as_keeper.get(reverse("valuation:appraisals-beside"), asked))
    method = page_text(as_keeper.get(reverse("valuation:method")))
    assert "8 sales of 1 type or model," in method and "grade: weak" in method and "26 CFR 20.2031-1(b)" in method
    assert "dealt into 50 piles" in method and "what no sale tells of has no amount" in method
    assert "Median error of the estimate by the number of other sales" in method
    assert re.search(r"5 to 9 others</th>\s*<td[^>]*>6<", method)


def test_the_method_page_without_evidence_says_so(as_keeper):
    page = page_text(as_keeper.get(reverse("valuation:method")))
    assert "No sale counts yet" in page and "nothing can be tested" in page


def test_more_evidence_costs_the_method_page_no_more_queries(as_keeper):
    def ask():
        return as_keeper.get(reverse("valuation:method"))

    sold(TubeTypeFactory(), 20, 21)
    few = cost(ask)
    for number in range(4):
        sold(TubeTypeFactory(name=f"ZZ{number}"), 20, 21)
    assert cost(ask) == few


def test_the_command_tells_the_back_test_by_the_number_of_others(capsys):
    sold(TubeTypeFactory(), 20, 22, 24, 26, 30, 35, 40)
    call_command("value_backtest", "--on", str(ON), "--json")
    (group,) = json.loads(capsys.readouterr().out)["by_comparables"]
    assert (group["others_least"], group["others_most"], group["sales"]) == (5, 9, 7)
