"""Rows of lists that came in before a remark that says a want had a code: they are wants all the same."""

import pytest

from inventory.lists.actions.wants import name_wants
from inventory.lists.models import ImportRow
from tests.lists.importing_lists import take

pytestmark = pytest.mark.django_db


def test_wants_of_before_are_known_by_their_code(reference):
    take("Tube,Qty\nVT-231,2!\n807,3\n6V6GT,5!\n")
    now = list(ImportRow.objects.order_by("row").values_list("remarks", flat=True))
    assert [row.thing_wanted for row in ImportRow.objects.order_by("row")] == ["VT-231", "", "6V6GT"]
    for row in ImportRow.objects.all():  # as lists were kept then
        row.remarks = [{key: text for key, text in one.items() if key != "code"} for one in row.remarks]
        row.save()
    assert [row.thing_wanted for row in ImportRow.objects.order_by("row")] == ["", "", ""]
    assert name_wants() == 2
    assert list(ImportRow.objects.order_by("row").values_list("remarks", flat=True)) == now
    assert [row.thing_wanted for row in ImportRow.objects.order_by("row")] == ["VT-231", "", "6V6GT"]
    assert name_wants() == 0
