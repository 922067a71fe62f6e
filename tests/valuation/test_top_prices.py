"""What a tube goes for on the pocket page, the want list, the buying order and the API, and what one may cost at most.

Six equal prices have themselves as every end; of two prices the ends are the two (fewer than five: their range).
"""

import json
from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from inventory.frontpage.queries import pocket_answer, saved_copy
from inventory.holdings.models import Fact, Want
from inventory.valuation.actions.wants import take_top_price
from inventory.valuation.queries.going import going, keepers_currency, top_prices
from tests.counting import cost
from tests.factories import ChassisFactory, FittingFactory, SetModelFactory, TubeFactory, TubeTypeFactory, days_ago
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    """A type of which two good used ones were sold, at 20 and at 45 EUR."""
    kind = TubeTypeFactory(name="ZZ7")
    for number, amount in enumerate((20, 45)):
        EvidenceFactory(type=kind, amount=Decimal(amount), grade="used tested good", on=date(2026, 1, 1 + number))
    return kind


def told(kind, **said):
    return going([kind.name], timezone.localdate(), **said)[kind.name]


def want(kind, **said):
    return Want.objects.create(thing=kind.name, type=kind, since=days_ago(3), **said)


def test_a_gap_goes_to_the_high_end_and_a_spare_too_many_to_the_low_one(kind):
    assert (told(kind).top.price.figure, told(kind).top.reason) == ("30.00", "no set here calls for it")
    fitting = FittingFactory(until=None, position__type=kind, tube__type=kind, tube__state="weak")
    assert told(kind).top.price.figure == "45.00" and "1 of 1 position wants one" in told(kind).top.reason
    fitting.tube.state = "good"
    fitting.tube.save()
    assert "no good spare is left" in told(kind).top.reason
    TubeFactory(type=kind, state="good")
    assert told(kind).top.price.figure == "20.00"
    assert told(kind).top.text == (
        "1 good spare for 1 position: one more is beyond what they need: the low end of 20.00 to 45.00, "
        "the range of its sales (2 sales), used tested good, delivered"
    )


def test_no_evidence_says_so_and_gives_no_figure(kind, capsys):
    other = TubeTypeFactory(name="ZZ8")
    EvidenceFactory(type=other, kind="asking", amount=Decimal(9))
    assert told(other).top is None and told(other).bands == ()
    call_command("top_price", "ZZ8", "--json")
    answer = json.loads(capsys.readouterr().out)
    assert (answer["top_price"], answer["text"]) == (None, "no evidence of a sale, so no figure")


def test_the_currency_is_that_of_most_of_ones_own_prices(kind):
    assert keepers_currency() == "EUR" == told(kind).currency
    tube = TubeFactory()
    for code in ("USD", "USD", "GBP"):
        Fact.objects.create(item=tube.item, about="paid", text="1", value=1, currency=code)
    assert keepers_currency() == "USD" == told(kind).currency


def test_the_last_sales_stand_as_they_were_paid_newest_first(kind):
    EvidenceFactory(
        type=kind, amount=Decimal(30), quantity=2, premium_pct=Decimal(20), on=date(2026, 2, 1), grade="weak"
    )
    EvidenceFactory(type=kind, amount=Decimal(99), kind="asking", on=date(2026, 3, 1))
    EvidenceFactory(type=kind, amount=Decimal(10), venue="fair", on=date(2026, 2, 2))
    assert told(kind).last_text == (
        "2026-02-02 fair 10.00 EUR, unused; 2026-02-01 auction 18.00 EUR, weak; "
        "2026-01-02 auction 45.00 EUR, used tested good"
    )


def test_own_sales_are_marked_and_the_latest_that_do_not_count_are_named_with_why(kind):
    tube = TubeFactory(type=kind, state="good", item__gone_on=date(2026, 2, 3), item__gone_how="sold, 12 EUR")
    EvidenceFactory(type=kind, amount=Decimal(240), currency="GBP", on=date(2026, 11, 22))
    found = told(kind)
    assert f"2026-02-03 12.00 EUR, used tested good, own: sold, {tube.tag}" in found.last_text
    assert found.uncounted_text.startswith("2026-11-22 240.00 GBP: no rate of GBP for 2026-11-22")
    assert found.as_dict()["latest_left_out"][0]["reason"] and found.as_dict()["last"][0]["own"]


def test_a_price_that_is_asked_gets_a_verdict_typed_behind_it_or_beside_it(kind, as_keeper):
    def asked(**said):
        return page_text(as_keeper.get(reverse("frontpage:pocket"), said))

    dear = "50.00 EUR is above the fair range of a good or unused one (20.00 to 45.00). That range is of 2 sales only."
    assert f"{dear} It is 20.00 EUR above the top price of 30.00 EUR." in asked(q="ZZ7 50 EUR")
    assert dear in asked(q="ZZ7", price="50")
    assert "15.00 EUR is below the fair range" in asked(q="zz7 4 for 60 EUR")
    assert "It is not above the top price" in asked(q="ZZ7", price="20 eur")
    assert "50.00 USD is" in (page := asked(q="ZZ7 50 USD")) and "euro reference rate" in page
    assert "cannot be read as a price" in asked(q="ZZ7", price="cheap")
    TubeTypeFactory(name="ZZ8")
    assert "9.00 EUR: no evidence of a sale, so no figure, and no verdict." in asked(q="ZZ8 9 EUR")
    assert "pocket-verdict" not in asked(q="ZZ7")


def test_a_grade_that_is_typed_in_is_what_range_and_verdict_are_of(kind, as_keeper):
    def asked(**said):
        return page_text(as_keeper.get(reverse("frontpage:pocket"), said))

    page = asked(q="ZZ7 dud 3 EUR")
    assert "3.00 EUR: the evidence does not tell what dud ones fetch, and no verdict." in page
    assert "below the fair range" not in page and "not above the top price" not in page
    for number in range(2):
        EvidenceFactory(type=kind, amount=Decimal(5), grade="dud", on=date(2026, 3, 1 + number))
    page = asked(q="ZZ7 dud 3 EUR")
    assert "3.00 EUR is below the fair range of a dud one (5.00 to 5.00)" in page
    assert "The top price is of a used tested good one, and says nothing of it." in page
    assert 'value="ZZ7 dud"' in page
    assert "grade=dud" in page and "5.00 to 5.00 EUR dud" in page and "good or unused" not in page
    assert "not above the top price" in asked(q="ZZ7 unused 20 EUR")


def test_a_figure_that_is_no_price_is_told_and_not_dropped(kind, as_keeper):
    def asked(q):
        return page_text(as_keeper.get(reverse("frontpage:pocket"), {"q": q}))

    for q, told in (
        ("ZZ7 25", "25 bears no currency and is read as no price; write 25 EUR"),
        ("ZZ7 0 EUR", "0 EUR is no price: one is more than nothing"),
        ("ZZ7 -5", "-5 is no price: one is more than nothing"),
    ):
        page = asked(q)
        assert told in page and "Goes for" in page, q
    assert "No verdict on the price" not in asked("ZZ7")


def test_a_set_model_and_a_scanned_set_are_answered_with_a_verdict_too(as_keeper):
    here = ChassisFactory(model=SetModelFactory(name="Brindlemoor TX"))
    for amount in (300, 400):
        EvidenceFactory(type=None, set_model=here.model, amount=Decimal(amount), grade="used tested good")
    for asked in ("brindlemoor tx 500 EUR", f"{here.item.tag} 500 EUR"):
        page = page_text(as_keeper.get(reverse("frontpage:pocket"), {"q": asked}))
        assert "500.00 EUR is above the fair range of a used tested good one (300.00 to 400.00)" in page
        assert "Not known" not in page and "<strong>1</strong> here" in page and here.item.tag in page


def test_the_keepers_own_top_price_stays_until_the_other_is_taken_over(kind, as_keeper, as_helper, keeper):
    row = want(kind, top_price=Decimal(12), currency="EUR")
    page = page_text(as_keeper.get(reverse("holdings:want-list")))
    assert "EUR 12.00 each" in page and "30.00 EUR" in page and "no set here calls for it" in page
    assert "Take it over" not in page_text(as_helper.get(reverse("holdings:want-list")))
    as_keeper.post(reverse("holdings:want-top-price", args=[row.pk]), {"price": "29.00"})
    row.refresh_from_db()
    assert row.top_price == 12  # the figure is another by now than the one that was seen
    as_keeper.post(reverse("holdings:want-top-price", args=[row.pk]), {"price": "30.00"})
    row.refresh_from_db()
    assert (row.top_price, row.currency) == (30, "EUR")
    assert row.history.first().history_change_reason == "top price by the estimate: no set here calls for it"
    with pytest.raises(ValidationError, match="no evidence"):
        take_top_price(want(TubeTypeFactory(name="ZZ8")), "30.00", today=timezone.localdate(), by=keeper)


def test_a_want_is_told_in_the_currency_of_its_own_price(kind):
    dollars, pounds = (want(kind, currency=code, top_price=Decimal(3)) for code in ("USD", "GBP"))
    words = Want.objects.create(thing="a knob", since=days_ago(1))
    found = top_prices([dollars, pounds, words], timezone.localdate())
    assert {key: top.price.currency for key, top in found.items()} == {dollars.pk: "USD", pounds.pk: "GBP"}


def test_pocket_page_saved_copy_form_and_api_tell_the_same(kind, as_keeper):
    row = want(kind)
    page = page_text(as_keeper.get(reverse("frontpage:pocket"), {"q": "ZZ7"}))
    assert "20.00 to 45.00 EUR, good or unused (range of 2 sales)" in page
    assert "2026-01-02 auction 45.00 EUR, used tested good" in page and "by the estimate: no set here calls" in page
    (line,) = saved_copy(timezone.localdate(), with_places=False)["types"]
    assert line["goes"] == (
        "20.00 to 45.00 EUR, good or unused (range of 2 sales); at most 30.00 EUR: no set here calls for it"
    )
    assert "At most <strong>30.00 EUR" in page_text(as_keeper.get(reverse("holdings:want-change", args=[row.pk])))
    assert "At most <strong>30.00 EUR" in page_text(as_keeper.get(reverse("holdings:want-add"), {"thing": "ZZ7"}))
    answer = as_keeper.get(reverse("valuation:api-top-price"), {"of": "zz7"}).json()
    assert (answer["top_price"], answer["comparables"], len(answer["last"])) == ("30.00", 2, 2)
    for asked in ({"of": "no such"}, {"of": "ZZ7", "currency": "EUX"}):
        assert as_keeper.get(reverse("valuation:api-top-price"), asked).status_code == 400


def test_more_wants_cost_no_more_queries(kind):
    def more(count):
        for number in range(count):
            other = TubeTypeFactory(name=f"ZZ{Want.objects.count()}-{number}")
            EvidenceFactory(type=other)
            want(other)

    def ask():
        return top_prices(Want.objects.select_related("type"), timezone.localdate())

    more(3)
    few = cost(ask)
    more(5)
    assert cost(ask) == few and len(ask()) == 8


def test_a_look_up_reads_the_evidence_of_what_is_typed_alone(kind):
    def ask():
        return pocket_answer("ZZ7", timezone.localdate())

    few = cost(ask)
    EvidenceFactory.create_batch(4, type=kind)
    EvidenceFactory.create_batch(4)
    assert cost(ask) == few
