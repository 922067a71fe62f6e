"""Levels of all evidence are kept between questions of today, and never outlive a change of what they rest on."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone

from inventory.holdings.models import Fact
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries import keeping
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.keeping import levels
from tests.counting import cost
from tests.factories import CompanionKindFactory, TubeFactory, TubeTypeFactory, UnitModelFactory, days_ago
from tests.valuation.rows import EvidenceFactory
from tubes.queries import keeping as store

pytestmark = pytest.mark.django_db
#: Hodges and Lehmann of 20, 20, 80 on logarithms: of 20, 20, 20, 40, 40, 80 the middle, between 20 and 40.
DEARER = Decimal("28.28")


@pytest.fixture
def sold(monkeypatch):
    """A type with two sales at 20 EUR; ``made`` counts how often all evidence is read."""
    kind, made = TubeTypeFactory(), []
    EvidenceFactory.create_batch(2, type=kind, amount=Decimal(20), grade="used tested good")
    priced = keeping.priced
    monkeypatch.setattr(keeping, "priced", lambda *args, **said: (made.append(1), priced(*args, **said))[1])
    return kind, made


def worth(kind, on=None):
    found = estimate(kind.name, on=on or timezone.localdate(), grade="used tested good")
    return found.amount and found.amount.amount


def test_a_second_question_reads_not_all_evidence_anew(sold):
    kind, made = sold
    assert worth(kind) == worth(kind) == 20 and len(made) == 1
    few = cost(lambda: worth(kind))
    EvidenceFactory.create_batch(5)
    worth(kind)
    assert len(made) == 2
    assert cost(lambda: worth(kind)) == few


def test_questions_in_many_currencies_fill_no_memory(sold):
    kind, made = sold
    asked = ["USD", "GBP", "CHF", "JPY", "SEK", "NOK", "DKK", "CZK", "PLN", "HUF", "CAD", "AUD", "NZD", "EUR"]
    for currency in asked:
        estimate(kind.name, on=timezone.localdate(), currency=currency)
    assert len(made) == len(asked) > keeping.QUESTIONS == len(store._kept["levels"])
    estimate(kind.name, on=timezone.localdate(), currency=asked[-1])
    assert len(made) == len(asked)  # the last ones are at hand
    estimate(kind.name, on=timezone.localdate(), currency=asked[0])
    assert len(made) == len(asked) + 1


def test_whatever_it_rests_on_makes_it_anew(sold):
    kind, _ = sold
    row = EvidenceFactory(type=kind, amount=Decimal(80), grade="used tested good")
    tube = TubeFactory(type=kind, acquired_on=days_ago(5))
    assert worth(kind) == DEARER
    row.struck = "of another tube"
    row.save()
    assert worth(kind) == 20
    Fact.objects.create(item=tube.item, about="paid", text="80 EUR", value=80, currency="EUR")
    assert worth(kind) == DEARER
    tube.type = TubeTypeFactory(name="ZZ-other")
    tube.save()
    assert worth(kind) == 20


def test_what_was_rolled_back_stays_away(sold):
    kind, _ = sold
    assert worth(kind) == 20
    with transaction.atomic():
        EvidenceFactory(type=kind, amount=Decimal(80), grade="used tested good")
        assert worth(kind) == DEARER
        transaction.set_rollback(True)
    assert worth(kind) == 20
    EvidenceFactory(type=kind, amount=Decimal(5), grade="used tested good")
    assert worth(kind) == Decimal("14.14")


def test_another_day_is_read_for_itself_and_another_currency_is_kept_for_itself(sold):
    kind, made = sold
    yesterday = timezone.localdate() - timedelta(days=1)
    assert worth(kind, yesterday) == 20
    today = timezone.localdate()
    for _ in range(2):
        for code in ("EUR", "DEM"):
            levels(code, today, basis="fair-market")
    assert len(made) == 3  # yesterday's, and one a currency


def test_a_book_whose_kind_and_set_both_say_of_is_found():
    kind = CompanionKindFactory(name="book of coils", set_model__name="Gorse of Pellan")
    EvidenceFactory(type=None, companion_kind=kind, amount=Decimal(12), designation="book")
    EvidenceFactory(type=None, unit_model=UnitModelFactory(), amount=Decimal(90), designation="unit")
    assert estimate(str(kind), on=timezone.localdate()).amount.amount == 12


def test_rows_that_were_written_in_bulk_are_seen_too(sold):
    kind, _ = sold
    assert worth(kind) == 20
    PriceEvidence.objects.bulk_create([EvidenceFactory.build(type=kind, amount=Decimal(80), grade="used tested good")])
    assert worth(kind) == DEARER
