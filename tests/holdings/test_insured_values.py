"""Which insured value of a thing counts: one rule for figures, appraisals and the schedule (laws.md L10.4: a value says
its day and what it rests on). Values are invented.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.figures.queries.money import insured
from inventory.holdings.actions.facts import add_facts
from inventory.holdings.models import Fact
from inventory.holdings.queries.amounts import UNREAD, UNSAID, counted, not_counted
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.things import owned_things
from tests import factories as make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
TODAY = timezone.localdate()


@pytest.fixture
def item():
    return make.TubeFactory(state="good").item


def value(item, text, days_ago, **more):
    day = TODAY - timedelta(days=days_ago)
    return add_facts(item, "insured", text, by=None, today=TODAY, basis="agreed", dated=day, **more)


def sums():
    """What one thing is insured for, by the figures and by the valuation."""
    lines = [line.amount for line in insured().lines]
    things = [one.insured.amount for one in owned_things(TODAY) if one.insured]
    assert lines == things
    return things


def test_the_latest_day_counts_whatever_was_entered_last(item):
    value(item, "100 USD", 0)
    value(item, "50 USD", 400)  # the older one, for the record
    assert sums() == [100]


def test_one_without_a_day_is_older_than_one_that_has_one(item):
    value(item, "100 USD", 700)
    Fact.objects.create(item=item, about="insured", text="60 USD", value=60, currency="USD", from_list=False)
    assert sums() == [100]


def test_a_later_one_that_was_not_read_takes_it_out_and_says_so(item):
    value(item, "100 USD", 400)
    value(item, "about a hundred, see policy", 0, as_found=True)
    assert sums() == [] and [fact.item for fact in not_counted("insured", UNREAD)] == [item]
    assert any("not read as a figure" in told for told in collection("USD", TODAY, basis="replacement").not_converted)


def test_one_of_a_row_of_several_is_nobodys_till_it_is_said(item):
    Fact.objects.create(
        item=item, about="insured", text="100", value=100, currency="USD", of_count=3, from_list=True, per=""
    )
    assert sums() == [] and not_counted("insured", UNSAID).exists()
    Fact.objects.update(per="lot", of_count=4)
    assert sums() == [Decimal(25)] and counted("insured").count() == 1
