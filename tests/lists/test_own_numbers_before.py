"""Numbers of things of lists that came in before such numbers were facts."""

import pytest

from inventory.holdings.models import Fact
from inventory.lists.actions.own_numbers import tell_own_numbers
from inventory.lists.models import ImportMade
from tests.lists.importing_lists import take

pytestmark = pytest.mark.django_db


def test_numbers_of_before_are_told_once_and_of_a_whole_row_as_such(reference):
    take("No.,Tube,Qty,Box\nH-17,807,2,Bin 1\nH-18,VT-231,1,Bin 1\n,6V6GT,1,Bin 2\n")
    now = list(Fact.objects.filter(about="number").order_by("pk").values_list("item__tag", "text", "per", "of_count"))
    for made in ImportMade.objects.filter(row__row__in=(1, 2)):  # as lists were kept then
        made.facts = {**made.facts, "number": "H-17" if made.row.row == 1 else "H-18"}
        made.save()
    Fact.objects.filter(about="number").delete()
    assert tell_own_numbers() == 3
    told = Fact.objects.filter(about="number").order_by("pk").values_list("item__tag", "text", "per", "of_count")
    assert list(told) == now and [(text, per, of) for _, text, per, of in now] == [
        ("H-17", "row", 2), ("H-17", "row", 2), ("H-18", "", None),
    ]  # fmt: skip
    assert tell_own_numbers() == 0
