"""What of prices and values whoever may only look is told: what one of a type fetches, and no sum beside a place."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from tests.factories import PlaceFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.valuation.rows import AppraisalFactory, ContactFactory, EvidenceFactory, PromiseFactory

pytestmark = pytest.mark.django_db


def barred(kept):
    """Every address of sums, with what is asked of it."""
    names = ("collection", "api-appraise", "appraisals", "appraisals-beside", "asking")
    found = [(reverse(f"valuation:{name}"), {}) for name in names]
    found.append((reverse("valuation:appraisal", args=[kept.pk]), {}))
    for name in ("paper", "paper-pdf", "api-paper"):
        address = reverse(f"valuation:{name}", args=["catalogue"])
        found += [(address, asked) for asked in ({"values": "on", "by": "place"}, {"appraisal": kept.pk})]
        found.append((reverse(f"valuation:{name}", args=["lots"]), {"bidders": "on", "appraisal": kept.pk}))
    return found


def test_no_sum_beside_a_place_is_told_to_visitors(as_visitor, as_helper):
    TubeFactory(item__place=PlaceFactory(code="Hall"))
    kept = AppraisalFactory(note="for the insurer")
    for address, asked in barred(kept):
        refused = as_visitor.get(address, asked)
        assert refused.status_code == 403, (address, asked)
        assert as_helper.get(address, asked).status_code == 200, (address, asked)
    told = page_text(as_visitor.get(reverse("valuation:collection")))
    assert "Your role (visitor) may not see what the collection is worth." in told
    told = page_text(as_visitor.get(reverse("valuation:paper", args=["catalogue"]), {"values": "on"}))
    assert "Your role (visitor) may not see the catalogue with what things are worth." in told
    told = page_text(as_visitor.get(reverse("valuation:asking")))
    assert "Your role (visitor) may not see what is promised to whom." in told


def test_what_visitors_keep_leads_to_nothing_that_is_not_open_to_them(as_visitor, as_helper):
    kind = TubeTypeFactory(name="ZZ7")
    EvidenceFactory(type=kind, amount=Decimal(20), on=date(2026, 1, 1))
    AppraisalFactory(note="for the insurer")
    catalogue = reverse("valuation:paper", args=["catalogue"])
    open_ = [
        "/",
        reverse("tubes:type", args=["ZZ7"]),
        *(reverse(f"valuation:{one}") for one in ("prices", "estimate", "method")),
    ]
    for address in (*open_, reverse("valuation:sales"), catalogue):
        page = page_text(as_visitor.get(address))
        for name in ("collection", "appraisals", "asking"):
            assert f'"{reverse(f"valuation:{name}")}"' not in page, (address, name)
        assert "for the insurer" not in page and 'name="values"' not in page
    prices = reverse("valuation:prices")
    assert catalogue in page_text(as_visitor.get(prices))
    assert reverse("valuation:collection") in page_text(as_helper.get(prices))
    assert 'name="values"' in page_text(as_helper.get(catalogue))


def test_the_page_of_a_thing_tells_visitors_whom_to_ask_and_no_more(as_visitor, as_helper):
    item = PromiseFactory(to="Orla Finch").item
    page = page_text(as_visitor.get(item.get_absolute_url()))
    assert "Orla Finch" not in page and "Worth, promised" not in page and "Whom to ask" not in page
    ContactFactory(item=item, name="Ada Holm")
    page = page_text(as_visitor.get(item.get_absolute_url()))
    assert "Whom to ask" in page and "Ask Ada Holm" in page and "Orla Finch" not in page
    page = page_text(as_helper.get(item.get_absolute_url()))
    assert "Worth, promised, and whom to ask" in page and "Promised to <strong>Orla Finch" in page
