"""Prices of which a list does not say for how many they are: said for the whole list at once, and taken back at once.
Amounts are invented.
"""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.models import Fact, Item, Tube
from inventory.holdings.queries.paid import paid_for
from inventory.lists.actions.bare_prices import settle_prices, settled_prices, unsaid_prices
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from tests.counting import statements
from tests.lists.importing_lists import take
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
LIST = "Tube,Qty,Paid\n6V6GT,2,8 USD\n807,3,$9 ea\n6SN7GT,1,5 USD\n6L6,4,20 USD for the lot\n"


@pytest.fixture
def run(keeper):
    return take(LIST, by=keeper)[0].run


def paid():
    """What was paid for all of it, and what is not in that."""
    (one,) = paid_for(Tube.objects.filter(type__name__in=["6V6GT", "6SN7GT"]), "item__kind").values()
    return one.sums.get("USD", Decimal(0)), one.left.get("not said for how many", 0)


@pytest.mark.parametrize(("per", "sums"), [("each", Decimal(21)), ("row", Decimal(13))])
def test_said_for_the_whole_list_and_taken_back(run, keeper, per, sums):
    assert unsaid_prices(run).count() == 2 and paid() == (Decimal(5), 2)
    assert settle_prices(run, per, by=keeper) == 2
    assert paid() == (sums, 0) and not unsaid_prices(run).exists()
    with pytest.raises(ValidationError, match="No price of this list waits"):
        settle_prices(run, per, by=keeper)
    assert settle_prices(run, "", by=keeper) == 2
    assert paid() == (Decimal(5), 2)


def test_what_was_corrected_by_itself_stays(run, keeper):
    settle_prices(run, "each", by=keeper)
    one = Fact.objects.filter(per="each", text="8 USD").first()
    one.per = "row"
    one._change_reason = "it was for both"
    one.save()
    assert len(settled_prices(run)) == 1 and settle_prices(run, "", by=keeper) == 1
    one.refresh_from_db()
    assert one.per == "row"


def test_the_list_can_be_undone_all_the_same(run, keeper):
    settle_prices(run, "each", by=keeper)
    assert undo(run, by=keeper).get("stays") is None
    assert not Item.objects.exists()
    with pytest.raises(ValidationError, match="undone"):
        settle_prices(ImportRun.objects.get(pk=run.pk), "each", by=keeper)


def test_on_the_page_of_the_list(run, as_keeper, as_helper, as_visitor):
    page, step = reverse("lists:list-in", args=[run.pk]), reverse("lists:list-prices", args=[run.pk])
    assert "2 prices stand in a row of several things" in page_text(as_keeper.get(page))
    assert "For all of the row</button>" not in page_text(as_helper.get(page))
    assert "prices stand in a row" not in page_text(as_visitor.get(page))
    assert as_helper.post(step, {"per": "row"}).status_code == 403
    assert "2 prices said to be for all of the row." in page_text(as_keeper.post(step, {"per": "row"}, follow=True))
    assert "Take that back</button>" in page_text(as_keeper.get(page))
    assert "not said for how many" in page_text(as_keeper.post(step, {"per": ""}, follow=True))
    assert "Say whether they are" in page_text(as_keeper.post(step, {"per": "lot"}, follow=True))


def test_a_longer_list_takes_no_more_questions(keeper):
    def of(rows):
        lines = "".join(f"6V6GT,2,8 USD,crate {rows}-{n}\n" for n in range(rows))
        run = take(f"Tube,Qty,Paid,Notes\n{lines}", by=keeper)[0].run
        return len(statements(lambda: settle_prices(run, "row", by=keeper)))

    assert of(3) == of(6)
