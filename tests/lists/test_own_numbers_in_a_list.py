"""A number of one's own is given once, also by one list (Spectrum, Deaccessioning and disposal; laws.md L10.1)."""

import pytest

from inventory.holdings.models import Fact
from inventory.lists.actions.answers import answer_held
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def borne():
    return sorted(Fact.objects.filter(about="number", per="").values_list("text", flat=True))


def test_the_second_row_with_a_number_is_asked(keeper, today):
    found, rows = take("Type,My no.,Maker\n6V6GT,A71,RCA\n6L6G,a71,Sylvania\n807,72,RCA\n", by=keeper)
    assert [row["outcome"] for row in rows] == ["written", "held", "written"]
    assert "a71 is the own number of row 1 too" in str(rows[1]) and borne() == ["72", "A71"]
    answer_held(found.run.rows.get(row=2), "without", by=keeper, today=today)
    assert borne() == ["72", "A71"]


def test_the_number_of_a_whole_row_is_nobodys(keeper):
    _, rows = take("Type,My no.,Qty\n6V6GT,71,2\n6L6G,71,1\n", by=keeper)
    assert "held" not in [row["outcome"] for row in rows] and borne() == ["71"]
