"""A name in the address of a list that the list does not know leaves nothing out: its page says so, in words."""

import pytest
from django.urls import reverse

from tests import factories as make
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
LISTS = [
    "holdings:tube-list", "holdings:part-list", "holdings:want-list", "holdings:hazard-list", "holdings:part-types",
    "sets:chassis-list", "sets:unit-list", "running:test-list", "running:instrument-list", "running:hours-list",
    "running:chassis-list", "tubes:type-list", "tubes:gap-list", "valuation:prices",
]  # fmt: skip


@pytest.mark.parametrize("name", LISTS)
def test_a_slip_of_the_pen_is_told(as_keeper, name):
    make.TubeFactory(state="good")
    page = page_text(as_keeper.get(reverse(name), {"statee": "good", "page": "1", "empty": ""}))
    assert "<span>statee: this list knows no such thing, so nothing is left out by it." in page


def test_what_a_list_knows_is_not_told(as_keeper):
    make.TubeFactory(state="good")
    asked = {"state": "good", "order": "-tag", "columns": "tag", "group": "type", "show": "rows", "page": "1"}
    assert "Not used" not in page_text(as_keeper.get(reverse("holdings:tube-list"), asked))
    assert "Not used" not in page_text(as_keeper.get(reverse("valuation:prices"), {"own": "1"}))
