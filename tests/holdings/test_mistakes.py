"""An entry made by mistake leaves the register while nothing hangs on it; another like one that is here."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.actions import add_parts, add_tubes, move
from inventory.holdings.actions.mistakes import hangs_on, take_back_mistake
from inventory.holdings.models import HazardMark, Item, PartLot, Tube
from tests import factories as make
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def entered(keeper, today):
    place = make.PlaceFactory(code="Hall")
    (tube,) = add_tubes(Tube(marked="VT-231", maker="Acme", state="good"), by=keeper, on=today, place=place)
    lot = add_parts(PartLot(name="knob", maker="Acme", least=2, most=2), by=keeper, on=today, place=place)
    return tube.item, lot.item


def test_a_wrong_entry_is_taken_back_and_its_tag_is_not_given_again(entered, keeper, today):
    for item in entered:
        assert hangs_on(item) == []
        assert take_back_mistake(item, by=keeper, why="read wrongly") == item.tag
    assert not Item.objects.exists()
    gone = Item.history.filter(history_type="-").first()
    assert (gone.history_change_reason, gone.history_user) == ("entered by mistake: read wrongly", keeper)
    (tube,) = add_tubes(Tube(marked="807"), by=keeper, on=today)
    assert tube.item.tag not in {item.tag for item in entered}


def test_what_something_hangs_on_stays(entered, keeper, today):
    tube, lot = entered
    HazardMark.objects.create(item=tube, hazard="mercury", reason="seen", on=today)
    move([lot], make.PlaceFactory(code="Attic"), on=today, by=keeper)
    for item, told in ((tube, "named by a hazard"), (lot, "it was moved")):
        with pytest.raises(ValidationError, match=told):
            take_back_mistake(item, by=keeper)
    fitted = make.FittingFactory().tube.item
    assert any("fitting" in words for words in hangs_on(fitted))


def test_the_page_says_what_hangs_on_it(entered, as_keeper, as_helper, today):
    tube, _ = entered
    page = reverse("holdings:item-mistake", args=[tube.tag])
    assert as_helper.get(page).status_code == 403
    HazardMark.objects.create(item=tube, hazard="mercury", reason="seen", on=today)
    assert "cannot be taken back" in page_text(as_keeper.get(page))
    assert as_keeper.post(page, {"why": "twice"}).status_code == 422 and Item.objects.filter(pk=tube.pk).exists()
    HazardMark.objects.all().delete()
    assert as_keeper.post(page, {"why": "twice"}).status_code == 302 and not Item.objects.filter(pk=tube.pk).exists()


def test_another_like_it(entered, as_keeper):
    tube, lot = entered
    form = as_keeper.get(reverse("holdings:tube-add"), {"like": tube.tag}).context["form"]
    assert (form["marked"].value(), form["maker"].value(), form["place"].value()) == ("VT-231", "Acme", tube.place_id)
    form = as_keeper.get(reverse("holdings:part-add"), {"like": lot.tag}).context["form"]
    assert (form["name"].value(), form["maker"].value(), form["quantity"].value()) == ("knob", "Acme", None)
