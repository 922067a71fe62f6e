"""Lists: what stands beside their rows and counts, by key, on every database alike; views kept by several people."""

import pytest
from django.urls import reverse

from inventory.holdings.models import Fact, KeptView, Paper
from inventory.holdings.queries.kept_views import view_named
from inventory.holdings.queries.pictures import pictures_of
from inventory.house.areas import list_named
from inventory.lists.rules.stamps import STAMP
from tests import factories as make
from tests.commands import refused
from tests.holdings.parts import lot_of
from tests.pages import page_text
from tests.sets.test_lists_work import in_file, keep, tags_of

pytestmark = pytest.mark.django_db


def order_of(name, key):
    one = list_named(name)
    return [values[0] for values in one.rows(one.here().order_by(*one.orders()[key][1].terms(), "pk"))]


def test_tags_of_sets_and_positions_go_by_their_numbers(db):
    model = make.SetModelFactory()
    for tag, mark in (("C-10000", "V10"), ("C-9999", "V2")):
        chassis = make.ChassisFactory(item__tag=tag, model=model)
        make.FittingFactory(chassis=chassis, position=make.PositionFactory(set_model=model, mark=mark))
    for key, first in (("in-chassis", "C-9999"), ("position", "V2")):
        one = list_named("tubes")
        assert next(one.rows(one.here().order_by(*one.orders()[key][1].terms())))[9:11].count(first) == 1


def test_values_of_two_units_stand_apart(db):
    tags = {}
    for kind, value in (("resistor", 100.0), ("capacitor", 1e-6), ("resistor", 10.0), ("capacitor", 1e-9)):
        tags[kind, value] = lot_of(kind=kind, value=value).item.tag
    farads = [tags["capacitor", 1e-9], tags["capacitor", 1e-6]]
    ohms = [tags["resistor", 10.0], tags["resistor", 100.0]]
    assert order_of("parts", "value-in-its-unit") in (farads + ohms, ohms + farads)


def test_the_latest_photograph_is_the_first_and_one_without_a_day_the_last(db):
    tube = make.TubeFactory()
    for number, day in enumerate((None, "2020-01-01", "2024-01-01")):
        Paper.objects.create(
            item=tube.item, kind="photograph", file=f"{number}.jpg", thumbnail=f"s{number}.jpg", digest=f"{number}",
            dated=day,
        )  # fmt: skip
    told = pictures_of([tube.pk])[tube.pk]
    assert (told.first.file.name, told.count) == ("2.jpg", 3)


def test_an_order_alone_narrows_nothing(as_visitor, db):
    page = as_visitor.get("/tubes/", {"order": "tag", "group": "maker", "first": "count"})
    text = page.content.decode()
    assert "in force" not in text and "Show all" not in text and 'name="first" value="count"' in text
    assert "order=tag" in as_visitor.get("/tubes/", {"order": "tag", "state": "good"}).context["listed"].layout


def test_words_look_where_the_label_says(as_visitor):
    place = make.PlaceFactory(code="Cupola")
    tag = make.TubeFactory(type__name="6SN7GT", marked="VT-231", place=place).item.tag
    make.TubeFactory(marked="807", type=None)
    assert tags_of("", text="6sn7gt cupola") == [tag]
    assert "loan, facts, captions." in as_visitor.get("/tubes/").content.decode()


def test_a_counted_list_goes_out_as_its_counts(as_helper, as_visitor):
    for maker, state in (("Acme", "good"), ("Acme", "dud"), ("Brown", "good")):
        tube = make.TubeFactory(maker=maker, state=state)
        Fact.objects.create(item=tube.item, about="paid", text="5", value=5, currency="USD", per="each")
    assert in_file(as_helper, "tubes", group="maker", first="count") == [
        ["Maker", "How many", "Good", "Untested", "Weak", "Dud", "Paid", "Prices not in it"],
        ["Acme", "2", "1", "0", "0", "1", "10.00 USD", ""], ["Brown", "1", "1", "0", "0", "0", "5.00 USD", ""],
    ]  # fmt: skip
    assert in_file(as_visitor, "tubes", group="maker")[0][-1] == "Dud"
    assert STAMP not in in_file(as_helper, "tubes", group="maker")[0]
    assert as_helper.get("/lists/tubes/out/", {"group": "weight"}).status_code == 422


@pytest.mark.parametrize(
    "asked",
    [["tubes", "--where", "stat=good"], ["tubes", "--where", "colums=type"], ["types", "--order", "type"]],
)
def test_a_slip_of_the_pen_is_refused(db, asked):
    assert "know no such thing; they know" in refused("show_list", *asked)


# --- views ------------------------------------------------------------------------------------------------------------


def test_two_shared_views_of_one_name_are_told_apart(helper, keeper):
    for owner in (helper, keeper):
        KeptView.objects.create(of_list="tubes", name="Good", query="state=good", owner=owner, shared=True)
    with pytest.raises(ValueError, match="shared by"):
        view_named("tubes", "good")
    assert view_named("tubes", "good", keeper).owner == keeper


def test_a_shared_view_outlives_the_account_of_whoever_kept_it(as_helper, as_visitor, helper):
    keep(as_helper, name="mine", query="state=good")
    keep(as_helper, name="for all", query="state=dud", shared="on")
    helper.delete()
    assert [(view.name, view.owner) for view in KeptView.objects.all()] == [("for all", None)]
    assert [view.name for view in as_visitor.get("/tubes/").context["listed"].views] == ["for all"]
    assert view_named("tubes", "for all").query == "state=dud"


def test_a_name_is_one_name_in_every_alphabet(as_helper):
    keep(as_helper, name="Öl", query="state=good")
    keep(as_helper, name="öl", query="state=dud")
    assert [view.name for view in KeptView.objects.all()] == ["öl"]


def test_what_nobody_else_sees_is_not_there(as_helper, as_keeper, helper, keeper):
    keep(as_keeper, name="mine", query="state=good")
    answer = as_helper.post(reverse("holdings:view-drop", args=[KeptView.objects.get().pk]))
    assert answer.status_code == 404 and KeptView.objects.count() == 1


def test_a_view_that_is_not_kept_leaves_the_list_as_it_was(as_helper):
    answer = as_helper.post("/list-views/keep/", {"of_list": "tubes", "query": "state=good", "name": " "})
    assert answer.url == "/tubes/?state=good"


def test_a_kept_column_that_is_gone_is_told_in_its_place(as_helper, helper):
    KeptView.objects.create(of_list="tubes", name="", query="columns=maker,weight", owner=helper)
    page = as_helper.get("/tubes/")
    assert page.context["listed"].keys == "tag,maker" and "weight cannot be shown any more" in page_text(page)
    assert "is no column" not in page.content.decode()
