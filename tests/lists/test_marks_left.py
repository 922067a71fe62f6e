"""Marks of which something is left over, and family numbers: no type is written that the mark does not settle.

STV 280/80: glow-gap divider, no 80 (fixtures/reference/designations.csv names the 80). 6SN7 is the family number of
6SN7GT and its later issues (fixtures/reference). Common practice, no source, where nothing else is named.
"""

import pytest
from django.template.loader import render_to_string

from inventory.holdings.models import Tube
from inventory.holdings.queries import shelf_reading
from inventory.lists.actions.answers import answer_held
from inventory.lists.rules.rows import HELD, REMARKED, WRITTEN
from tests.lists.importing_lists import take
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def test_a_longer_number_holds_the_row(keeper, today):
    found, (row, plain) = take("Tube,Qty\nStabi STV 280/80,1\n80,1\n", by=keeper)
    assert (row["outcome"], plain["outcome"]) == (HELD, WRITTEN)
    assert "STV 280/80 is not in the tables, and 80 is only a part of it" in row["remarks"][0]["reason"]
    assert Tube.objects.get().type.name == "80"
    held = found.run.rows.get(row=1)
    keys = [choice["key"] for choice in held.question["choices"]]
    assert keys == ["reads:plain|80|80|80", "named", "as marked", "leave out"]
    assert held.question["choices"][0]["words"] == "all the same 80: nothing else of the mark is part of its number"
    (tag,) = answer_held(held, "as marked", by=keeper, today=today)
    assert Tube.objects.get(item__tag=tag).type is None


def test_the_keeper_may_say_that_it_is_the_known_one(keeper, today):
    found, _ = take("Tube,Qty\nT 80,1\n", by=keeper)
    held = found.run.rows.get()
    (tag,) = answer_held(held, held.question["choices"][0]["key"], by=keeper, today=today)
    assert Tube.objects.get(item__tag=tag).type.name == "80"


def test_other_words_left_over_are_remarked(keeper):
    _, rows = take("Tube,Qty\nStabi 80,1\nACT 97 tube 807,1\nEF 80 Telefunken NOS,1\n", by=keeper)
    assert [row["outcome"] for row in rows] == [REMARKED, REMARKED, WRITTEN]
    assert [row["remarks"][0]["reason"] for row in rows[:2]] == [
        "Stabi beside the number was not read", "ACT 97 beside the number was not read",
    ]  # fmt: skip


def test_the_shelf_reads_it_alike():
    found = shelf_reading("Stabi STV 280/80")
    assert found.type is None and "STV 280/80 is not in the tables" in found.says
    assert shelf_reading("80").type.name == "80"


@pytest.mark.parametrize(
    ("text", "head"), [("Stabi STV 280/80", "Only a part is known"), ("VT-60", "More than one meaning")]
)
def test_the_shelf_heads_a_part_of_a_mark_as_one(text, head):
    shown = render_to_string("holdings/shelf_reading.html", {"reading": shelf_reading(text)})
    assert head in shown and ("More than one" in shown) == (text == "VT-60")


def test_a_family_number_waits_with_its_forms(keeper, today):
    TubeType.objects.create(name="6SN7GTY", own_mark=True)
    found, (row,) = take("Tube,Qty\n6SN7,2\n", by=keeper)
    held = found.run.rows.get()
    offered = {choice["key"] for choice in held.question["choices"]}
    assert row["outcome"] == HELD and {"type:6SN7GT", "type:6SN7GTY", "type:6SN7WGT"} <= offered
    assert {name for name, _ in shelf_reading("6SN7").begun} >= {"6SN7GT", "6SN7GTY"}
    answer_held(held, "as marked", by=keeper, today=today)  # an unsettled tube that bears the very text changes nothing
    _, (again,) = take("Tube,Qty,Box\n6SN7,1,Bin 9\n", by=keeper)
    assert again["outcome"] == HELD and shelf_reading("6SN7").type is None and shelf_reading("6SN7").begun
