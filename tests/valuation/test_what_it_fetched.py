"""What a thing fetched has one home: its proceeds (Spectrum, Deaccessioning and disposal). Words of how it left tell a
price only where no proceeds are on record. People and figures are invented.
"""

from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.holdings.actions import part_with
from inventory.holdings.actions.said import say_how_it_left
from inventory.holdings.models import Fact, Item
from inventory.house.money import Money
from inventory.house.records.actions import strike_out
from inventory.valuation.actions.lots import correct_sold, strike_lot
from inventory.valuation.queries.sales import own_sales
from tests.factories import TubeFactory, TubeTypeFactory
from tests.valuation.test_lots import keep, sold
from tests.valuation.test_schedule import sales

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate


def gone(how, proceeds="", **more):
    tube = TubeFactory(state="good")
    part_with(tube.item, how, on=TODAY(), by=None, record={"proceeds": proceeds} | more)
    return Item.objects.get(pk=tube.pk)


def fetched():
    return [str(sale.money) for sale in own_sales()]


def test_how_it_left_is_kept_as_it_was_said():
    item = gone("sold", "30 USD")
    assert item.gone_how == "sold" and fetched() == [str(Money(Decimal(30), "USD"))]


@pytest.mark.parametrize("how", ["sold at the 2026 fair", "auctioned", "verkauft"])
def test_proceeds_of_a_sale_are_evidence_however_it_is_worded(how):
    gone(how, "30 USD")
    assert len(fetched()) == 1


@pytest.mark.parametrize("how", ["scrapped", "given to the club", ""])
def test_what_came_in_as_it_was_scrapped_or_given_is_no_sale(how):
    gone(how or "lost", "5 USD")
    assert fetched() == []


def test_proceeds_that_are_corrected_or_struck_out_are_so_in_the_evidence():
    item = gone("sold for 30 USD", "30 USD")
    say_how_it_left(item, {"proceeds": "300 USD"}, by=None, today=TODAY())
    assert fetched() == [str(Money(Decimal(300), "USD"))]
    strike_out(Fact.objects.get(item=item, about="proceeds", struck=""), "a guess", by=None)
    assert fetched() == [str(Money(Decimal(30), "USD"))]  # the words alone, as of things that left long ago


def test_the_things_of_a_lot_have_their_share_as_proceeds():
    kind = TubeTypeFactory(name="ZZ-lot")
    sales(kind, 40, venue="private")
    for _ in range(2):
        TubeFactory(type=kind, state="good")
    lot = keep().lots.get(number=1)
    lot = sold(lot, 60)
    told = Fact.objects.filter(about="proceeds", struck="")
    assert list(told.values_list("value", "currency")) == [(Decimal(30), "EUR")] * 2
    assert all("lot 1 of Autumn sale" in text for text in told.values_list("text", flat=True))
    lot.sale.name = "Spring sale"  # a sale that was given another name is the same sale
    lot.sale.save()
    lot = correct_sold(lot, Money(Decimal(80), "EUR"), venue="the quay", by=None, reason="misread")
    assert list(told.values_list("value", flat=True)) == [Decimal(40)] * 2
    assert sum(sale.money.amount for sale in own_sales()) == 80  # the lot is one sale, its shares are none beside it
    strike_lot(lot, "not this one", by=None)
    assert not told.exists()
