"""An entry made by mistake leaves the register while nothing hangs on it; another like one that is here."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import add_parts, add_tubes, move, part_with
from inventory.holdings.actions.facts import add_facts
from inventory.holdings.actions.mistakes import hangs_on, restore_entry, strike_entry, take_back_mistake
from inventory.holdings.lists_out import DISPOSALS
from inventory.holdings.models import Fact, HazardMark, Item, PartLot, Tube
from inventory.holdings.queries.paid import paid_for
from inventory.holdings.queries.record import record_of
from inventory.valuation.queries.sales import own_sales
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
    assert (gone.history_change_reason, gone.history_user) == (
        f"entered by mistake: read wrongly; lay in Hall from {today}",
        keeper,
    )
    (tube,) = add_tubes(Tube(marked="807"), by=keeper, on=today)
    assert tube.item.tag not in {item.tag for item in entered}


def test_what_something_hangs_on_stays(entered, keeper, today):
    tube, lot = entered
    HazardMark.objects.create(item=tube, hazard="mercury", reason="seen", on=today)
    move([lot], make.PlaceFactory(code="Attic"), on=today, by=keeper)
    lot.movements.filter(reason="").update(entered_at=timezone.now() + timedelta(days=1))
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
    assert "cannot be taken back" in page_text(as_keeper.get(page)) and "Strike its entry out" in page_text(
        as_keeper.get(page)
    )
    HazardMark.objects.all().delete()
    assert as_keeper.post(page, {"why": "twice"}).status_code == 302 and not Item.objects.filter(pk=tube.pk).exists()


def test_what_was_written_with_the_entry_goes_with_it(entered, keeper, today):
    """A price and an own number beside it, one of them struck, and the move into its drawer bar nothing."""
    tube, _ = entered
    move([tube], make.PlaceFactory(code="Drawer"), on=today, by=keeper)
    for text, struck in (("K 7", ""), ("K 8", "misread")):
        Fact.objects.create(item=tube, about="number", text=text, struck=struck)
    assert hangs_on(tube) == []
    take_back_mistake(tube, by=keeper, why="twice")
    gone = Item.history.filter(history_type="-").first()
    assert gone.history_change_reason == f"entered by mistake: twice; lay in Drawer from {today}"
    assert Fact.history.filter(history_type="-").count() == 2


def test_later_an_entry_is_struck_out(entered, keeper, today, as_keeper):
    tube, _ = entered
    HazardMark.objects.create(item=tube, hazard="mercury", reason="seen", on=today)
    with pytest.raises(ValidationError, match="Say what was wrong"):
        strike_entry(tube, by=keeper, why=" ")
    page = reverse("holdings:item-mistake", args=[tube.tag])
    assert as_keeper.post(page, {"why": "sold 2020 for 30 EUR, never ours"}).status_code == 302
    tube.refresh_from_db()
    assert tube.never_was and tube.gone_on == today and tube.place is None
    assert "struck out" in page_text(as_keeper.get(tube.get_absolute_url()))
    assert as_keeper.get("/api/tubes").json()["count"] == 0
    assert own_sales() == []  # what never was here was never sold
    with pytest.raises(ValidationError, match="never used again"):
        add_tubes(Tube(marked="807"), by=keeper, on=today, tag=tube.tag)
    assert "is there after all" in page_text(as_keeper.get(page))  # it has left: no other button


def test_a_thing_in_a_set_is_taken_out_first(keeper, as_keeper):
    tube = make.FittingFactory().tube
    page = as_keeper.get(reverse("holdings:item-mistake", args=[tube.item.tag]))
    assert page.status_code == 422 and "Part with it instead" in page_text(page)
    with pytest.raises(ValidationError, match="take it out first"):
        strike_entry(tube.item, by=keeper, why="twice")


def test_what_holds_something_is_emptied_first(keeper, refused):
    chassis = make.FittingFactory().chassis
    with refused("__all__", "still holds 1 tubes or units"):
        strike_entry(chassis.item, by=keeper, why="another set")


def test_another_like_it(entered, as_keeper):
    tube, lot = entered
    form = as_keeper.get(reverse("holdings:tube-add"), {"like": tube.tag}).context["form"]
    assert (form["marked"].value(), form["maker"].value(), form["place"].value()) == ("VT-231", "Acme", tube.place_id)
    assert (form["state"].value(), form["note"].value()) == ("untested", None)
    form = as_keeper.get(reverse("holdings:part-add"), {"like": lot.tag}).context["form"]
    assert (form["name"].value(), form["maker"].value(), form["quantity"].value()) == ("knob", "Acme", None)


@pytest.mark.parametrize(
    ("page", "made", "alike"),
    [
        ("sets:chassis-add", make.ChassisFactory, "model"), ("sets:unit-add", make.PlugInUnitFactory, "model"),
        ("pairing:companion-add", make.CompanionFactory, "kind"),
    ],
)  # fmt: skip
def test_another_set_unit_or_book_like_it(as_keeper, page, made, alike):
    row = made()
    assert f"?like={row.item.tag}" in as_keeper.get(row.get_absolute_url()).content.decode()
    form = as_keeper.get(reverse(page), {"like": row.item.tag}).context["form"]
    assert form[alike].value() == getattr(row, f"{alike}_id") and not form["serial"].value()


def test_a_struck_out_entry_left_nothing_and_counts_nowhere(entered, keeper, today):
    tube, lot = entered
    add_facts(tube, "paid", "30 USD", by=keeper, today=today)
    strike_entry(tube, by=keeper, why="never bought")
    part_with(lot, "sold", on=today, by=keeper)
    told = record_of(Item.objects.get(pk=tube.pk)).as_dict()
    assert told["disposal"] is None and told["struck_out"] == "entered by mistake: never bought"
    assert [row.tag for row in DISPOSALS.every()] == [lot.tag]
    assert paid_for(Tube.objects.all(), "state") == {}


def test_a_struck_out_entry_stands_again_where_it_was(entered, as_keeper, as_helper, keeper, today):
    tube, _ = entered
    other = make.TubeFactory().item
    add_facts(tube, "number", "71", by=keeper, today=today)
    strike_entry(tube, by=keeper, why="wrong tag")
    add_facts(other, "number", "71", by=keeper, today=today)  # nothing bore it
    page = reverse("holdings:item-mistake", args=[tube.tag])
    assert as_helper.get(page).status_code == 403
    assert page in as_keeper.get(tube.get_absolute_url()).content.decode()
    assert "is there after all" in page_text(as_keeper.get(page))
    as_keeper.post(page, {"why": "it lay behind the shelf"})
    fresh = Item.objects.get(pk=tube.pk)
    assert (fresh.gone_on, fresh.gone_how, fresh.place.path) == (None, "", "Hall")
    assert fresh.history.first().history_change_reason == "there after all: it lay behind the shelf"
    assert Fact.objects.get(item=tube, about="number").struck == f"the number of {other.tag} by now"
    with pytest.raises(ValidationError, match="not struck out"):
        restore_entry(fresh, by=keeper, why="once more")
