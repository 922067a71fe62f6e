"""Figures of a handful of things: how each is counted, and what an empty house says."""

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.figures.queries import figures
from inventory.figures.queries.few import few_good
from inventory.holdings.models import Fact, Item, Tube, Want
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_a_year_of_acquisition_comes_from_a_fact_that_says_it_to_the_year():
    tube = make.TubeFactory()
    said = {"item": tube.item, "about": "acquired", "text": "x"}
    Fact.objects.create(**said, first=date(1990, 1, 1), last=date(1999, 12, 31), precision="decade")
    Fact.objects.create(**said, first=date(1994, 3, 1), last=date(1994, 3, 31), precision="month")
    found = figures(timezone.localdate()).growth
    assert [(one.year, one.acquired, one.entered) for one in found.years] == [(1994, 1, 0)]


def test_without_a_day_of_acquisition_the_entry_counts_and_is_told_apart():
    make.TubeFactory()
    year = timezone.localdate().year
    found = figures(timezone.localdate()).growth
    assert [(one.year, one.acquired, one.entered, one.undated) for one in found.years] == [(year, 0, 1, 1)]


def test_what_has_no_history_is_of_no_known_year():
    tube = make.TubeFactory()
    Item.history.filter(id=tube.pk).delete()
    found = figures(timezone.localdate()).growth
    assert (found.undated, found.here, found.years) == (1, 1, ())


def test_few_good_are_told_with_positions_and_wants():
    kind = make.TubeTypeFactory(name="807")
    good = make.TubeFactory(type=kind)
    make.TubeFactory(type=kind, lent_to="Nell Farrow")
    position = make.PositionFactory(type=kind)
    make.ChassisFactory(model=position.set_model)
    Want.objects.create(thing="807", type=kind, quantity=3, since=date(2026, 1, 1))
    assert good.state == Tube.GOOD
    (one,) = few_good(2)
    assert (one.name, one.good, one.positions, one.needy, one.wanted) == ("807", 1, 1, 1, 3)
    assert few_good(1) == ()


@pytest.mark.parametrize("enough", [0, -1, 100])
def test_a_number_out_of_bounds_is_refused(enough, as_visitor):
    with pytest.raises(ValueError, match="from 1 to 99"):
        few_good(enough)
    answer = as_visitor.get(reverse("figures:api-figures"), {"few": enough})
    assert answer.status_code == 400 and "few" in answer.json()["errors"]


@pytest.mark.parametrize("number", [0, 1])
def test_nothing_and_one_thing(number, as_keeper):
    for _ in range(number):
        make.TubeFactory(maker="Завод имени Примера " * 4)
    answer = as_keeper.get(reverse("figures:figures"))
    assert answer.status_code == 200
    assert ("Nothing is in the register yet" in answer.content.decode()) is not number
    assert as_keeper.get(reverse("figures:figures-pdf")).content.startswith(b"%PDF")
