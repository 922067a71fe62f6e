"""Pages of price evidence: a sale in one line, what is told beside the list, the page of a type, the API."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Fact
from inventory.valuation.models import PriceEvidence
from tests.factories import TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.valuation.rows import EvidenceFactory

pytestmark = pytest.mark.django_db
LINE = "2026-03-14 ZZ7GT unused sold auction 2 for 25 EUR 18% ; Harbour sale"


def test_a_line_is_shown_back_before_it_is_written(as_helper):
    kind, address = TubeTypeFactory(name="ZZ7GT"), reverse("valuation:note")
    page = page_text(as_helper.post(address, {"line": LINE}))
    assert "Nothing is written yet" in page and "14.75 EUR" in page and "Harbour sale" in page
    changed = LINE.replace("25", "26")  # another line than the one that was shown
    assert "Nothing is written yet" in page_text(as_helper.post(address, {"line": changed, "shown": LINE}))
    assert not PriceEvidence.objects.exists()
    done = as_helper.post(address, {"line": LINE, "shown": LINE}, follow=True)
    assert "14.75 EUR each, written as ZZ7GT" in page_text(done)
    assert PriceEvidence.objects.get().type == kind


def test_a_sale_of_a_day_without_a_rate_is_told_at_entry_by_line_and_by_form(as_helper, monkeypatch):
    from inventory.valuation.views import evidence

    here = replace(evidence.rates(), last=date(2026, 3, 2), published=lambda code, on: 2 if on.month == 3 else None)
    monkeypatch.setattr(evidence, "rates", lambda: here)
    line = LINE.replace("EUR", "GBP").replace("2026-03-14", "2026-05-14")
    told = "utside GBP it will count once rates of that day are here: they end on 2026-03-02; RATES_FILE names a newer"
    assert told in page_text(as_helper.post(reverse("valuation:note"), {"line": line}))
    assert told not in page_text(as_helper.post(reverse("valuation:note"), {"line": LINE}))
    cells = {"on": "2026-05-14", "designation": "ZZ7GT", "grade": "unused", "kind": "sold", "amount": "25"}
    cells |= {"currency": "GBP", "quantity": "1", "arms_length": "yes"}
    assert told in page_text(as_helper.post(reverse("valuation:evidence-add"), cells, follow=True))


def test_a_line_that_cannot_be_read_says_why_and_stays(as_helper):
    answer = as_helper.post(reverse("valuation:note"), {"line": "2026-03-14 ZZ7GT mint sold 25 EUR"})
    assert answer.status_code == 422
    page = page_text(answer)
    assert "no grade is written" in page and "2026-03-14 ZZ7GT mint sold 25 EUR" in page


def test_the_same_sale_again_is_asked_about(as_helper):
    address = reverse("valuation:note")
    sent = {"line": LINE, "shown": LINE}
    as_helper.post(address, sent)
    refused = as_helper.post(address, sent)
    assert refused.status_code == 422 and "another sale" in page_text(refused)
    as_helper.post(address, sent | {"besides": "on"})
    assert PriceEvidence.objects.count() == 2
    assert page_text(as_helper.get(reverse("valuation:prices"))).count("1 other of the same day") == 2


def test_the_list_is_narrowed_alike_on_page_and_in_json(as_helper):
    kind = TubeTypeFactory()
    EvidenceFactory(type=kind, kind="asking", amount=Decimal(31), on=date(2020, 5, 1))
    EvidenceFactory(amount=Decimal(77))
    asked = {"of": kind.name, "kind": "asking", "since": "2020-01-01", "until": "2020-12-31", "currency": "eur"}
    page = page_text(as_helper.get(reverse("valuation:prices"), asked))
    assert "31.00 EUR" in page and "77.00 EUR" not in page
    (found,) = as_helper.get(reverse("valuation:api-prices"), asked).json()["prices"]
    assert (found["type"], found["amount"], found["each"], found["kind"]) == (kind.name, "31.00", "31.00", "asking")


def test_the_page_of_a_type_shows_its_prices(as_helper):
    found = EvidenceFactory(amount=Decimal("31.5"), source="Harbour sale, p. 4")
    page = page_text(as_helper.get(reverse("tubes:type", args=[found.type.name])))
    assert "31.50 EUR" in page and "Harbour sale, p. 4" in page and "All 1 prices" in page


def test_a_sale_far_off_is_named_drawn_at_the_edge_and_can_be_corrected_from_there(as_keeper):
    kind = TubeTypeFactory(name="ZZ7")
    for number in range(6):
        EvidenceFactory(type=kind, amount=Decimal(20), on=date(2026, 1, 1 + number))
    odd = EvidenceFactory(type=kind, amount=Decimal(1234), on=date(2026, 2, 1), source="Harbour sale")
    out = EvidenceFactory(type=kind, amount=Decimal(25), on=date(2026, 2, 2), arms_length="no", source="a friend")
    page = page_text(as_keeper.get(reverse("valuation:estimate"), {"of": "ZZ7"}))
    assert "Far off the estimate, look whether it is right: 2026-02-01 1234.00 EUR" in page
    assert page.count("<strong>far off</strong>") == 1 and "trace-dot--beyond" in page
    assert "Beyond the scale, open at its upper edge: 1234.00 EUR on 2026-02-01" in page
    for row in (odd, out):
        assert reverse("valuation:evidence-change", args=[row.pk]) in page
        assert reverse("valuation:evidence-strike", args=[row.pk]) in page
    assert f"a friend, row {out.pk}" in page and "1,234.00" in page


def test_the_page_of_a_tube_tells_its_worth_in_one_line_but_not_to_visitors(as_helper, as_visitor):
    kind = TubeTypeFactory(name="ZZ7")
    tube, other = TubeFactory(type=kind, state="good"), TubeFactory(type=TubeTypeFactory(name="ZZ8"), state="good")
    for number in range(2):
        EvidenceFactory(type=kind, amount=Decimal(20), on=date(2026, 1, 1 + number), grade="used tested good")
    page = page_text(as_helper.get(tube.item.get_absolute_url()))
    today = f"{timezone.localdate():%Y-%m-%d}"
    told = f"Worth, fair market value on {today}: <strong>20.00 EUR</strong>, 20.00 to 20.00, the range of its sales"
    assert f"{told} (used tested good)." in page
    assert "?of=ZZ7&amp;grade=used%20tested%20good&amp;mark=civilian&amp;currency=EUR" in page
    assert "no evidence (used tested good)." in page_text(as_helper.get(other.item.get_absolute_url()))
    assert "Worth" not in page_text(as_visitor.get(tube.item.get_absolute_url()))


def test_own_purchases_and_sales_stand_in_the_list_of_prices_marked_as_own(as_helper, as_visitor):
    one, other = (TubeFactory(type=TubeTypeFactory(name=name), marked=name, state="good") for name in ("ZZ7", "ZZ8"))
    for tube in (one, other):
        Fact.objects.create(
            item=tube.item, about="paid", text="9 EUR", value=Decimal(9), currency="EUR", per="each"
        )  # fmt: skip
    address = reverse("valuation:prices")
    page = page_text(as_helper.get(address))
    assert "Your own purchases and sales" in page and f"own: paid for {one.tag}" in page and other.tag in page
    page = page_text(as_helper.get(address, {"of": "ZZ7"}))
    assert f"own: paid for {one.tag}" in page and f"own: paid for {other.tag}" not in page
    assert "Your own" not in page_text(as_helper.get(address, {"of": "ZZ7", "venue": "fair"}))
    assert "Your own" not in page_text(as_visitor.get(address))
