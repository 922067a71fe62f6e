"""Evidence in columns says what the same rows say as sales, and is read anew as soon as a row changes."""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest

from inventory.holdings.models import Fact
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.columns import columns, columns_of
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.pricing import priced
from inventory.valuation.queries.sales import sales
from inventory.valuation.rules.words import GRADES, VENUES
from tests.counting import cost
from tests.factories import (
    CompanionKindFactory,
    DesignationFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.valuation.rows import EvidenceFactory
from tubes.models import Rating

pytestmark = pytest.mark.django_db
DAY, ON = date(2025, 3, 14), date(2026, 11, 30)


@pytest.fixture
def rows():
    """Rows of every sort, a tube that was bought, and one that is struck out."""
    kind = TubeTypeFactory(name="ZZ7GT")
    for number in range(12):
        EvidenceFactory(
            type=kind, designation=("ZZ7GT", "a box")[number % 2], on=DAY + timedelta(number), quantity=1 + number % 3,
            grade=GRADES[number % 6], venue=(*VENUES, "")[number % 6], kind=("sold", "sold", "asking")[number % 3],
            currency=("EUR", "USD", "DEM", "RUB")[number % 4], amount=Decimal("12.35") + number,
            premium_pct=(None, Decimal(25), Decimal("18.5"))[number % 3], postage=(None, Decimal("4.90"))[number % 2],
            arms_length=("unknown", "no", "yes")[number % 3],
        )  # fmt: skip
    for name, row in (
        ("set_model", SetModelFactory()), ("unit_model", UnitModelFactory()), ("companion_kind", CompanionKindFactory())
    ):  # fmt: skip
        EvidenceFactory(**{"type": None, name: row, "designation": "as found"}, on=DAY)
    EvidenceFactory(type=None, designation="ZZ unheard of", on=DAY)
    EvidenceFactory(type=kind, struck="twice")
    tube = TubeFactory(type=kind, acquired_on=DAY)
    Fact.objects.create(item=tube.item, about="paid", text="30 EUR", value=30, currency="EUR")
    return kind


@pytest.mark.parametrize("sets", [False, True])
@pytest.mark.parametrize(
    ("code", "basis", "real"),
    [("EUR", "fair-market", False), ("USD", "replacement", False), ("EUR", "replacement", True)],
)
def test_columns_say_what_sales_say(rows, code, basis, real, sets):
    read = priced(code, ON, basis=basis, real=real, sets=sets)
    beside = priced(code, ON, basis=basis, real=real, sets=sets, found=columns_of(sales()))
    assert set(read.subjects) == set(beside.subjects) and len(read.evidence) == len(beside.evidence)
    for subject in read.subjects:
        here, there = read.rows_of(subject), beside.rows_of(subject)
        assert read.brought(here) == beside.brought(there)
        assert list(map(read.reason, here)) == list(map(beside.reason, there))
        for name in ("price", "day", "grade", "venue", "mark", "sold", "arms_length"):
            one, other = (getattr(told.evidence, name) for told in (read, beside))
            np.testing.assert_allclose(one[here], other[there], rtol=1e-13)
        for row, told in zip(here, read.brought(here), strict=True):
            whole = None if told.price is None else told.price + (told.postage or 0 if basis == "replacement" else 0)
            assert read.evidence.price[row] == pytest.approx(
                float("nan") if whole is None else float(whole), nan_ok=True
            )


def test_reasons_are_counted_as_they_are_told_row_by_row(rows):
    read = priced("EUR", ON, basis="fair-market")
    assert read.left_out() == Counter(filter(None, map(read.reason, range(len(read.evidence)))))
    assert any("no rate of RUB" in reason for reason in read.left_out())


def test_a_price_of_a_lot_is_the_very_one(rows):
    PriceEvidence.objects.all().delete()
    EvidenceFactory(type=rows, amount=Decimal(100), quantity=10, premium_pct=Decimal(18), on=DAY)
    EvidenceFactory(type=rows, amount=Decimal("25.01"), quantity=2, on=DAY)
    assert priced("EUR", ON, basis="fair-market").evidence.price[:2].tolist() == [11.8, 12.505]


def test_a_changed_row_is_read_anew(rows):
    before = columns()
    assert columns().each is not before.each and len(columns()) == len(before)
    row = PriceEvidence.objects.filter(struck="").first()
    row.struck = "of another tube"
    row.save()
    assert len(columns()) == len(before) - 1
    row.struck, row.quantity = "", 5
    row.save()
    assert len(columns()) == len(before) and not np.array_equal(columns().each, before.each)
    row.delete()
    assert len(columns()) == len(before) - 1
    rows.name = "ZZ7GT-renamed"
    rows.save()
    assert "ZZ7GT-renamed" in {what.type for what in columns().whats}


def test_more_rows_take_no_more_queries(rows):
    few = cost(columns)
    EvidenceFactory.create_batch(10)
    assert cost(columns) == few


def test_nothing_is_columns_too():
    assert len(columns()) == 0 and len(priced("EUR", ON, basis="fair-market").evidence) == 0


def test_the_order_in_which_rows_were_written_means_nothing():
    """A family of two kinds of tube goes by the kind of its first type by name, whichever was sold first."""
    one, other, third, last = (TubeTypeFactory(name=name) for name in ("ZZ1", "ZZ2", "ZZ3", "ZZ4"))
    DesignationFactory(type=one, scheme="type-name", designation="ZZ2", relation="ruggedized")
    for kind, word in ((one, "triode"), (other, "rectifier"), (third, "triode"), (last, "triode")):
        Rating.objects.create(type=kind, kind=word)
    told = [(one, 20), (one, 26), (other, 40), (third, 90), (third, 70), (last, 5)]
    found = []
    for order in (told, told[::-1]):
        PriceEvidence.objects.all().delete()
        for number, (kind, amount) in enumerate(order):
            EvidenceFactory(type=kind, amount=Decimal(amount), on=DAY, source=f"{number}")
        found.append([estimate(kind.name, on=ON).amount for kind in (one, other, third)])
    assert found[0] == found[1]
