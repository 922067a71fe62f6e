"""The command that shows a list asks what the page and the file ask."""

import pytest

from inventory.holdings.models import Fact, KeptView
from tests import factories as make
from tests.commands import answer_of, refused, told
from tests.counting import cost

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(db):
    kind = make.TubeTypeFactory(name="6SN7GT")
    for number, (maker, state) in enumerate((("Abd", "good"), ("", "dud"), ("abc", "good"))):
        tube = make.TubeFactory(item__tag=f"T-000{number}", maker=maker, state=state, type=kind)
        said = {"about": "paid", "text": f"{number}", "value": number, "currency": "USD", "per": "each"}
        Fact.objects.create(item=tube.item, **said)


def test_rows_in_order_with_chosen_columns(three):
    answer, _ = answer_of("show_list", "tubes", "--where", "state=good", "--order=-maker", "--columns", "maker,state")
    assert answer == {
        "list": "tubes", "title": "Tubes", "count": 2, "headings": ["Tag", "Maker", "State"],
        "rows": [["T-0000", "Abd", "good"], ["T-0002", "abc", "good"]],
    }  # fmt: skip


def test_counted_by_a_column(three):
    answer, _ = answer_of("show_list", "tubes", "--group", "state")
    assert [(group["value"], group["count"]) for group in answer["groups"]] == [("good", 2), ("dud", 1)]
    assert answer["groups"][1]["sums"] == {"Good": 0, "Untested": 0, "Weak": 0, "Dud": 1}


def test_a_shared_view_and_what_is_said_on_top(three):
    KeptView.objects.create(of_list="tubes", name="good ones", query="state=good&columns=maker", shared=True)
    answer, _ = answer_of("show_list", "tubes", "--view", "Good ones", "--order", "maker", "--most", "1")
    assert answer["count"] == 2 and answer["rows"] == [["T-0002", "abc"]]
    assert "and 1 more" in told("show_list", "tubes", "--view", "good ones", "--most", "1")
    assert told("show_list", "tubes", "--group", "state").splitlines()[1] == "  good: 2, good 2, paid 2.00 USD"


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (["weights"], "There is no list"),
        (["tubes", "--order", "weight"], "Order"),
        (["tubes", "--columns", "weight"], "is no column of this list"),
        (["tubes", "--group", "weight"], "is nothing that this list is counted by"),
        (["tubes", "--view", "mine"], "There is no view"),
        (["tubes", "--where", "place=999"], "Place"),
    ],
)
def test_what_cannot_be_asked_is_refused(three, asked, says):
    assert says in refused("show_list", *asked)


def test_more_rows_take_no_more_questions(three):
    def run():
        return answer_of("show_list", "tubes", "--order=-price-paid", "--columns", "price-paid,reserved,in-doubt")

    before = cost(run)
    for _ in range(10):
        make.FittingFactory()
    assert cost(run) == before
