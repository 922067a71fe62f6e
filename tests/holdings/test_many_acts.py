"""One act on many things: what becomes of each is shown first, then done in one step."""

import pytest
from django.urls import reverse

from inventory.holdings.models import HazardMark, Item, Loan
from tests import factories as make
from tests.counting import asked
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf(db):
    place = make.PlaceFactory(code="Hall")
    tags = [make.TubeFactory(place=place).item.tag for _ in range(2)]
    return [*tags, make.FittingFactory().tube.item.tag]  # one stands in a set


def send(client, name, tags, **cells):
    return client.post(reverse(f"holdings:{name}"), {"tags": "\n".join(tags), **cells})


def test_lent_and_back_in_one_step_each(shelf, as_keeper, as_helper, today):
    page = send(
        as_keeper, "things-lend", shelf, lent_to="R. Oddsworth", on=today, due="2099-01-01", why="he asked for them"
    )
    text = page_text(page)
    assert text.count("lent to R. Oddsworth until 2099-01-01") == 2 and "take it out first" in text
    assert "Nothing is written yet" in text and not Loan.objects.exists()
    assert (
        send(as_keeper, "things-lend", shelf, lent_to="R. Oddsworth", on=today, why="asked", sure="yes").status_code
        == 302
    )
    assert set(Item.objects.exclude(lent_to="").values_list("tag", flat=True)) == set(shelf[:2])
    send(as_keeper, "things-back", shelf[:2], on=today, sure="yes")
    assert Loan.objects.filter(ended=today).count() == 2
    assert send(as_helper, "things-lend", shelf, lent_to="X", on=today, sure="yes").status_code == 403


def test_a_hazard_of_many(shelf, as_helper, today):
    HazardMark.objects.create(item=Item.objects.get(tag=shelf[0]), hazard="radioactive", reason="seen", on=today)
    said = {"hazards": ["radioactive"], "standing": "confirmed", "reason": "marked so", "on": today}
    assert "on record" in page_text(send(as_helper, "things-hazard", shelf, **said))
    send(as_helper, "things-hazard", shelf, sure="yes", **said)
    assert HazardMark.objects.filter(hazard="radioactive").count() == 3


def test_a_list_hands_on_what_is_ticked(shelf, as_keeper):
    page = as_keeper.get("/tubes/").content.decode()
    for name in ("things-lend", "things-back", "things-hazard"):
        assert f'formaction="{reverse(f"holdings:{name}")}"' in page
        form = as_keeper.get(reverse(f"holdings:{name}"), {"list": "tubes", "narrowed": ""}).context["form"]
        assert form.initial["tags"].split("\n") == shelf[:2]


def test_the_page_asks_no_more_for_more_things(shelf, as_keeper):
    address = reverse("holdings:things-lend")
    before = asked(as_keeper, address, list="tubes", narrowed="")
    for _ in range(10):
        make.TubeFactory()
    assert asked(as_keeper, address, list="tubes", narrowed="") == before


def test_too_many_are_refused(shelf, as_keeper, today, monkeypatch):
    monkeypatch.setattr("inventory.holdings.views.many_acts.MOST", 2)
    assert "at most 2 at once" in page_text(send(as_keeper, "things-back", shelf, on=today))
