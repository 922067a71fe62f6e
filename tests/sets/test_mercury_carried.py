"""Where a mercury rectifier, or a set that holds one, is about to be moved, lent or sold, the page says what to mind.

Upright only, and 30 min of filament alone after a move: uli.de/tubes/866a.htm; hifitubes.nl, mercury vapor rectifier
tubes. Broken ones: common practice, no source.
"""

import pytest
from django.urls import reverse

from inventory.holdings.queries import items_in
from inventory.house.concerns import minded_when_carried
from tests.factories import ChassisFactory, FittingFactory, PlaceFactory, PositionFactory, TubeFactory
from tests.pages import page_text
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def rectifier():
    return TubeType.objects.get(name="866A")


@pytest.fixture
def boxed(rectifier):
    return TubeFactory(type=rectifier, place=PlaceFactory(code="B1"))


@pytest.fixture
def holding(rectifier):
    """A set with a mercury rectifier in V103."""
    position = PositionFactory(mark="V103", type=rectifier)
    chassis = ChassisFactory(model=position.set_model, place=PlaceFactory(code="R1"))
    return FittingFactory(chassis=chassis, position=position, tube=TubeFactory(type=rectifier))


def said(text):
    return "Mercury vapour" in text and "upright" in text and "30 min in first use or after it" in text


def test_of_a_boxed_rectifier(boxed, as_keeper):
    text = page_text(as_keeper.get(reverse("holdings:item-move", args=[boxed.tag])))
    assert said(text) and f"{boxed.tag} (866A)" in text


def test_of_a_set_that_holds_one(holding, as_keeper):
    text = page_text(as_keeper.get(reverse("holdings:item-move", args=[holding.chassis.tag])))
    assert said(text) and f"{holding.chassis.tag} holds {holding.tube.tag} (866A) in V103" in text


def test_of_several_things_of_a_box_and_of_one_taken_out(boxed, holding, as_keeper):
    tags = [boxed.tag, holding.chassis.tag]
    several = page_text(as_keeper.get(reverse("holdings:things-move"), {"pick": tags}))
    assert said(several) and f"{boxed.tag} (866A); {holding.chassis.tag} holds" in several
    sent = as_keeper.post(reverse("holdings:things-move"), {"tags": "\n".join(tags), "on": ""})
    assert said(page_text(sent))
    assert said(page_text(as_keeper.get(reverse("holdings:place-move", args=[boxed.item.place.pk]))))
    out = page_text(as_keeper.get(reverse("sets:tube-out", args=[holding.pk])))
    assert said(out) and f"{holding.tube.tag} (866A)" in out


@pytest.mark.parametrize("page", ["item-lend", "item-part-with"])
def test_of_what_is_lent_or_parted_with(page, boxed, holding, as_keeper):
    text = page_text(as_keeper.get(reverse(f"holdings:{page}", args=[boxed.tag])))
    assert said(text) and f"{boxed.tag} (866A)" in text
    text = page_text(as_keeper.get(reverse(f"holdings:{page}", args=[holding.chassis.tag])))
    assert said(text) and f"{holding.chassis.tag} holds {holding.tube.tag} (866A) in V103" in text


def test_of_nothing_else(as_keeper):
    """A vacuum rectifier, and a set that only wants a mercury one, hold none."""
    vacuum, place = TubeFactory(type=TubeType.objects.get(name="5U4G")), PlaceFactory(code="E1")
    position = PositionFactory(mark="V103", type=TubeType.objects.get(name="866A"))
    empty = ChassisFactory(model=position.set_model)
    assert minded_when_carried([vacuum.item, empty.item]) == minded_when_carried([]) == ""
    for tag in (vacuum.tag, empty.tag):
        for page in ("item-move", "item-lend", "item-part-with"):
            assert "Mercury" not in page_text(as_keeper.get(reverse(f"holdings:{page}", args=[tag])))
    assert minded_when_carried(list(items_in(place))) == ""


def test_a_full_box_names_the_first(rectifier, django_assert_max_num_queries):
    place = PlaceFactory(code="B2")
    things = [TubeFactory(type=rectifier, place=place).item for _ in range(9)]
    with django_assert_max_num_queries(14):
        text = minded_when_carried(things)
    assert f"{things[5].tag} (866A); and 3 more." in text and things[6].tag not in text


def test_more_things_than_one_question_takes(rectifier, holding):
    one = TubeFactory(type=rectifier)
    others = [type(one.item)(pk=-number, kind="tube") for number in range(1, 600)]
    text = minded_when_carried([*others, one.item])
    assert f"{one.tag} (866A)." in text and holding.tube.tag not in text
