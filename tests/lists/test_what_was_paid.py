"""What was paid, in groups of lists: only what is known counts, and what is not in a sum is told with why."""

from decimal import Decimal

import pytest

from inventory.holdings.models import Fact
from inventory.holdings.queries.paid import moneys_paid
from inventory.lists.actions.read import Options
from inventory.lists.models import ImportRow
from tests import factories as make
from tests.commands import answer_of, told
from tests.lists.importing_lists import take

pytestmark = pytest.mark.django_db


def paid(maker, value, **said):
    tube = make.TubeFactory(maker=maker)
    row = {"about": "paid", "text": str(value), "value": value, "currency": "USD", "per": "each"} | said
    return Fact.objects.create(item=tube.item, **row)


def group_by_maker(client):
    return client.get("/api/tubes", {"group": "maker"}).json()["groups"]


# Shares of a lot: 40 for 3 and 3 for 4 are no whole numbers of anything, and their thirds and quarters add up again.
@pytest.mark.parametrize(("value", "count", "told"), [(40, 3, "40.00"), (3, 4, "3.00"), ("10.00", 3, "10.00")])
def test_shares_of_a_price_add_up_to_it(as_helper, value, count, told):
    for _ in range(count):
        paid("Tidewell", Decimal(value), per="lot", of_count=count)
    assert group_by_maker(as_helper)[0]["paid"] == {"sums": {"USD": told}, "not_counted": {}}


def test_the_sum_of_all_is_rounded_last(as_helper):
    for maker in ("A", "B", "C"):
        paid(maker, Decimal(10), per="row", of_count=3)
    listed = as_helper.get("/tubes/", {"group": "maker"}).context["listed"]
    assert [group.paid.words for group in listed.groups] == ["3.33 USD"] * 3
    assert listed.total.paid.words == "10.00 USD"


def test_what_is_not_known_is_left_out_and_told(as_helper, as_visitor):
    paid("Tidewell", 5)
    paid("Tidewell", 40, per="", from_list=True)  # of each, or of all of its row: nobody said
    paid("Tidewell", 40, per="", from_list=True, of_count=4)
    paid("Tidewell", 500, per="row")
    paid("Tidewell", None, text="a song")
    paid("Tidewell", 7, per="")  # somebody entered it on the page of the thing
    paid("Tidewell", 9, per="", from_list=True, of_count=1)  # a row of one thing: for it, either way
    (group,) = group_by_maker(as_helper)
    assert group["paid"] == {"sums": {"USD": "21.00"}, "not_counted": {"not read": 1, "not said for how many": 3}}
    page = as_helper.get("/tubes/", {"group": "maker"}).content.decode()
    assert page.count("not in it: 1 not read, 3 not said for how many") == 2
    assert answer_of("show_list", "tubes", "--group", "maker")[0]["groups"][0]["paid"] == group["paid"]
    assert "paid 21.00 USD (prices not in it: 1 not read, 3" in told("show_list", "tubes", "--group", "maker")
    assert group_by_maker(as_visitor)[0]["paid"] is None


@pytest.mark.usefixtures("reference")
@pytest.mark.parametrize(("bare", "sums"), [("", {}), ("row", {"EUR": "40.00"}), ("each", {"EUR": "160.00"})])
def test_a_row_of_several_says_of_how_many_its_price_is(as_helper, keeper, bare, sums):
    take("Tube,Qty,Price paid EUR\n807,4,40\n", by=keeper, options=Options(bare=bare))
    assert ImportRow.objects.count() and Fact.objects.filter(about="paid", of_count=4).count() in (0, 4)
    (group,) = as_helper.get("/api/tubes", {"group": "type"}).json()["groups"]
    assert group["paid"]["sums"] == sums


def test_a_price_is_narrowed_by_in_one_money_and_for_one_piece(as_helper):
    paid("lot", 40, per="lot", of_count=4)
    paid("alone", 30)
    found = as_helper.get("/api/tubes", {"paid_least": "20"}).json()
    assert found["count"] == 1
    ordered = as_helper.get("/api/tubes", {"order": "-price-paid", "columns": "maker"}).json()["tubes"]
    assert [row["columns"]["Maker"] for row in ordered] == ["alone", "lot"]
    paid("far", 50, currency="JPY")
    assert moneys_paid() == ["JPY", "USD"]
    refused = as_helper.get("/api/tubes", {"paid_least": "20"})
    assert refused.status_code == 400 and "JPY, USD: say in which money" in refused.json()["errors"]["currency"][0]
    assert as_helper.get("/api/tubes", {"paid_least": "20", "currency": "USD"}).json()["count"] == 1


def test_a_command_says_how_many_groups_are_left(db):
    for maker in "ABC":
        make.TubeFactory(maker=maker)
    answer, _ = answer_of("show_list", "tubes", "--group", "maker", "--most", "2")
    assert (answer["count"], answer["group_count"], len(answer["groups"])) == (3, 3, 2)
    assert "and 1 more" in told("show_list", "tubes", "--group", "maker", "--most", "2")


@pytest.mark.parametrize(
    ("value", "asked"),
    [("0.30", {"paid_least": "0.10"}), ("0.15", {"paid_least": "0.05"}), ("5.70", {"paid_most": "1.90"})],
)
def test_a_share_that_is_just_what_was_asked_fits(as_helper, value, asked):
    paid("Tidewell", Decimal(value), per="lot", of_count=3)
    assert as_helper.get("/api/tubes", asked).json()["count"] == 1
