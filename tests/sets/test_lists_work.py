"""Lists in order, by chosen columns, counted by a column, ticked: page, file, API all read the one address."""

import csv
import io
import re

import pytest

from inventory.holdings.models import Fact, KeptView, Tube
from inventory.house.areas import list_named
from inventory.lists.rules.stamps import STAMP
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.queries import owned_tubes
from tests import factories as make
from tests.counting import asked
from tests.holdings.parts import lot_of

pytestmark = pytest.mark.django_db


def tags_of(order, **narrowed):
    found = OwnedTubeFilter({"order": order, **narrowed}, queryset=owned_tubes())
    assert found.is_valid(), found.errors
    return [tube.tag for tube in found.qs]


def in_file(client, name, **asked):
    rows = csv.reader(io.StringIO(client.get(f"/lists/{name}/out/", {"as": "csv", **asked}).getvalue().decode()))
    heading, *body = list(rows)
    width = heading.index(STAMP) if STAMP in heading else len(heading)
    return [row[:width] for row in (heading, *body)]


@pytest.fixture
def three(db):
    """Three tubes: makers "abc", none, "Abd"; the second was paid for in two moneys."""
    first = make.TubeFactory(item__tag="T-10000", maker="abc", state="dud", acquired_on="2020-05-01")
    second = make.TubeFactory(item__tag="T-9999", maker="", state="good")
    third = make.TubeFactory(item__tag="T-9998", maker="Abd", state="untested", acquired_on="2019-05-01")
    for tube, value, money in ((first, 5, "USD"), (second, 30, "USD"), (third, 7, "EUR")):
        Fact.objects.create(item=tube.item, about="paid", text=str(value), value=value, currency=money, per="each")
    return first, second, third


# --- order ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "tags"),
    [
        ("tag", ["T-9998", "T-9999", "T-10000"]),
        ("-tag", ["T-10000", "T-9999", "T-9998"]),
        ("maker", ["T-10000", "T-9998", "T-9999"]),  # whatever the case; the one without stands last
        ("-maker", ["T-9998", "T-10000", "T-9999"]),  # ... backwards too
        ("state", ["T-9999", "T-9998", "T-10000"]),  # good, untested, weak, dud
        ("acquired-on", ["T-9998", "T-10000", "T-9999"]),
        ("-acquired-on", ["T-10000", "T-9998", "T-9999"]),
        ("price-paid", ["T-9998", "T-10000", "T-9999"]),  # moneys do not compare: one after the other
        ("-price-paid", ["T-9999", "T-10000", "T-9998"]),
    ],
)
def test_rows_stand_in_order(three, order, tags):
    assert tags_of(order) == tags


def test_a_second_column_orders_what_is_alike(three):
    make.TubeFactory(item__tag="T-5", maker="abc", state="good")
    assert tags_of("maker,-state")[:2] == ["T-10000", "T-5"]


def test_page_file_and_api_have_one_order(as_visitor, three):
    tags = ["T-9998", "T-10000", "T-9999"]
    page = as_visitor.get("/tubes/", {"order": "acquired-on"}).content.decode()
    assert sorted(tags, key=page.index) == tags
    assert [row[0] for row in in_file(as_visitor, "tubes", order="acquired-on")][1:] == tags
    told = as_visitor.get("/api/tubes", {"order": "acquired-on"}).json()
    assert [row["tag"] for row in told["tubes"]] == tags


def test_an_order_that_is_none_is_refused(as_visitor, three):
    assert as_visitor.get("/api/tubes", {"order": "weight"}).status_code == 400
    assert as_visitor.get("/lists/tubes/out/", {"order": "weight"}).status_code == 422


@pytest.mark.parametrize("name", ["tubes", "parts", "chassis", "units", "companions", "wants", "movements", "prices"])
def test_every_order_of_a_list_is_answered(as_keeper, name):
    make.FittingFactory(), make.SeatingFactory(), make.CompanionFactory(), lot_of()
    for key in list_named(name).orders():
        assert len(in_file(as_keeper, name, order=f"-{key}")) >= 1, key


def test_the_head_says_how_the_list_stands(as_visitor, three):
    page = as_visitor.get("/tubes/", {"order": "-maker"}).content.decode()
    assert page.count("aria-sort=") == 1 and 'aria-sort="descending"' in page
    assert "aria-sort" not in as_visitor.get("/tubes/").content.decode()


# --- columns ----------------------------------------------------------------------------------------------------------


def test_chosen_columns_stand_on_the_page_and_in_the_file(as_helper, three):
    page = as_helper.get("/tubes/", {"columns": "price-paid,where", "order": "tag"}).content.decode()
    assert "30 USD each" in page and 'data-label="Maker"' not in page
    assert in_file(as_helper, "tubes", columns="price-paid,maker", order="tag") == [
        ["Tag", "Price paid", "Maker"], ["T-9998", "7 EUR each", "Abd"], ["T-9999", "30 USD each", ""],
        ["T-10000", "5 USD each", "abc"],
    ]  # fmt: skip
    where = in_file(as_helper, "tubes", columns="where")[0]
    assert where == ["Tag", "Place", "In chassis", "Position", "Lent to", "Not found on"]
    told = as_helper.get("/api/tubes", {"columns": ["maker", "acquired-on"], "order": "tag"}).json()["tubes"]
    assert told[0]["columns"] == {"Tag": "T-9998", "Maker": "Abd", "Acquired on": "2019-05-01"}


def test_a_column_that_is_none_is_told(as_visitor, three):
    assert as_visitor.get("/lists/tubes/out/", {"columns": "weight"}).status_code == 422
    assert "weight" in as_visitor.get("/api/tubes", {"columns": "weight"}).json()["errors"]["columns"][0]
    assert "is no column of this list" in as_visitor.get("/tubes/", {"columns": "weight"}).content.decode()


def test_every_column_can_be_shown(as_keeper):
    make.FittingFactory(), make.SeatingFactory(), make.ChassisFactory(), lot_of()
    for name, address in (("tubes", "/tubes/"), ("parts", "/parts/"), ("chassis", "/sets/"), ("units", "/units/")):
        every = ",".join(list_named(name).page_columns())
        page = as_keeper.get(address, {"columns": every}).content.decode()
        assert 'data-label="Own number"' in page and 'data-label="Last seen"' in page


# --- narrowed ---------------------------------------------------------------------------------------------------------


def test_narrowed_by_price_day_source_and_number(three):
    first, second, third = (tube.tag for tube in three)
    Fact.objects.create(item=three[1].item, about="number", text="K 17")
    Fact.objects.create(item=three[1].item, about="got_from", text="Ebb Street fair")
    Tube.objects.filter(pk=three[2].pk).update(acquired_from="ebb street fair", note="pins bent")
    assert tags_of("", paid_least="6", currency="usd") == [second]
    assert tags_of("", paid_least="6", paid_most="29", currency="EUR") == [third]
    assert tags_of("", acquired_since="2020-01-01") == [first]
    assert tags_of("", acquired_until="2020-01-01") == [third]
    assert tags_of("", acquired_from="Ebb") == [second, third]
    assert tags_of("", number="k 1") == [second]
    assert tags_of("", text="ebb street") == [second, third]
    assert tags_of("", text="bent") == [third]


# --- counted by a column ----------------------------------------------------------------------------------------------


def test_a_group_opens_the_rows_that_it_counted(as_helper, three):
    kind = make.TubeTypeFactory(name="6SN7GT")
    Tube.objects.filter(pk__in=[three[0].pk, three[1].pk]).update(type=kind)
    Tube.objects.filter(pk=three[2].pk).update(type=None)
    listed = as_helper.get("/tubes/", {"group": "type"}).context["listed"]
    assert [(group.name, group.count) for group in listed.groups] == [("6SN7GT", 2), ("none", 1)]
    assert listed.groups[0].sums == ["1", "0", "0", "1"] and listed.sum_heads == ["Good", "Untested", "Weak", "Dud"]
    assert listed.groups[0].paid.words == "35.00 USD" and listed.total.paid.words == "7.00 EUR, 35.00 USD"
    for group in listed.groups:
        opened = as_helper.get(f"/tubes/?{group.address}").context["listed"]
        assert opened.page.paginator.count == group.count and opened.opened[0][0] == f"Type: {group.name}"
    told = as_helper.get("/api/tubes", {"group": "type", "first": "count"}).json()
    assert told["count"] == 2 and told["groups"][1] == {
        "value": None, "count": 1, "sums": {"Good": 0, "Untested": 1, "Weak": 0, "Dud": 0},
        "paid": {"sums": {"EUR": "7.00"}, "not_counted": {}},
    }  # fmt: skip
    assert as_helper.get("/api/tubes", {"group": "weight"}).status_code == 400


@pytest.mark.parametrize(("name", "address"), [("tubes", "/tubes/"), ("parts", "/parts/"), ("units", "/units/")])
def test_every_group_of_every_column_opens_what_it_counted(as_keeper, name, address):
    place = make.PlaceFactory()
    make.FittingFactory(), make.SeatingFactory()
    make.TubeFactory(place=place, type=None, maker="RCA: Harrison"), make.TubeFactory()
    lot_of(place=place), lot_of(about={"type": None, "maker": "x"})
    for key in list_named(name).group_keys:
        listed = as_keeper.get(address, {"group": key}).context["listed"]
        assert sum(group.count for group in listed.groups) == listed.total.count
        for group in listed.groups:
            assert as_keeper.get(f"{address}?{group.address}").context["listed"].page.paginator.count == group.count


def test_a_quantity_that_is_not_known_is_no_nought(as_visitor):
    lot_of(3), lot_of(about={"least": 2, "most": None}), lot_of(about={"least": None, "most": None})
    (group,) = as_visitor.get("/api/parts", {"group": "kind-of-part"}).json()["groups"]
    assert group["sums"] == {
        "Pieces, at least": 5,
        "Lots of no known quantity": 1,
        "Lots of which the most alone is known": 0,
        "Duds": 0,
    }


# --- ticked -----------------------------------------------------------------------------------------------------------


def test_all_on_the_sheet_and_all_that_match_are_carried_into_the_acts(as_keeper, three):
    make.FittingFactory(tube__maker="abc")  # in a set: it is taken out of that first
    page = as_keeper.get("/tubes/", {"ticked": "sheet"}).content.decode()
    assert page.count('class="pick"') == 3 and re.findall("Tick T-9999.*checked", page)
    listed = as_keeper.get("/tubes/", {"ticked": "all", "maker": "abc"}).context["listed"]
    assert listed.loose_count == 1
    handed = {"list": "tubes", "narrowed": listed.narrowed}
    assert as_keeper.get("/things/move/", handed).context["form"].initial["tags"] == "T-10000"
    assert as_keeper.get("/labels/", handed).context["form"].initial["tags"] == "T-10000"


def test_the_ways_to_tick_many_do_so(as_keeper, three):
    listed = as_keeper.get("/tubes/", {"maker": "abc"}).context["listed"]
    assert listed.tick_sheet == "maker=abc&ticked=sheet" and listed.tick_all == "maker=abc&ticked=all"
    assert listed.untick == "maker=abc"
    page = as_keeper.get(f"/tubes/?{listed.tick_sheet}")
    assert " checked" in page.content.decode() and page.context["listed"].untick == "maker=abc"
    assert as_keeper.get(f"/tubes/?{listed.tick_all}").context["listed"].loose_count == 1


def test_a_visitor_ticks_nothing(as_visitor, three):
    assert 'name="pick"' not in as_visitor.get("/tubes/", {"ticked": "sheet"}).content.decode()


# --- growth -----------------------------------------------------------------------------------------------------------

LAID_OUT = [
    {"order": "-price-paid,tag"},
    {"order": "place"},  # with every column
    {"group": "the first"},
    {"show": "pictures", "order": "tag"},
    {"text": "plain", "paid_least": "1", "ticked": "all"},
]


@pytest.mark.parametrize("address", ["/tubes/", "/parts/", "/units/", "/api/tubes", "/lists/tubes/out/"])
def test_more_rows_take_no_more_questions(as_keeper, address):
    def grow():
        for number in range(10):
            KeptView.objects.create(
                of_list=known.name, name=f"{KeptView.objects.count()}", query="order=tag", shared=True
            )
            fitting = make.FittingFactory(tube__note="plain")
            make.SeatingFactory(), lot_of(about={"note": "plain"})
            for tube in (fitting.tube, make.TubeFactory(note="plain", place=make.PlaceFactory())):
                Fact.objects.create(item=tube.item, about="paid", text="5", value=number, currency="USD", per="each")

    known = list_named({"/parts/": "parts", "/units/": "units"}.get(address, "tubes"))
    sent = [dict(one) for one in LAID_OUT]
    sent[1]["columns"] = ",".join(known.page_columns())
    sent[2]["group"] = known.group_keys[0]
    grow()
    before = [asked(as_keeper, address, **one) for one in sent]
    grow()
    assert [asked(as_keeper, address, **one) for one in sent] == before


# --- kept views -------------------------------------------------------------------------------------------------------


def keep(client, **said):
    return client.post("/list-views/keep/", {"of_list": "tubes", "query": "", **said}, follow=True)


def test_a_view_is_kept_under_a_name_and_found_again(as_helper, three):
    said = {"query": "state=good&order=-maker&columns=maker&page=3&ticked=all", "name": " good  ones "}
    listed = keep(as_helper, **said).context["listed"]
    (view,) = listed.views
    assert (view.name, view.query) == ("good ones", "state=good&order=-maker&columns=maker")
    assert listed.filter.form.cleaned_data["state"] == "good"
    keep(as_helper, name="Good ones", query="state=dud")  # the same name is the same view
    assert [(one.name, one.query) for one in KeptView.objects.all()] == [("Good ones", "state=dud")]


def test_a_view_is_seen_by_others_where_it_is_shared(as_helper, as_visitor, as_keeper):
    keep(as_helper, name="mine", query="order=tag")
    keep(as_helper, name="for all", query="order=-tag", shared="on")
    assert [view.name for view in as_visitor.get("/tubes/").context["listed"].views] == ["for all"]
    assert [view.name for view in as_helper.get("/tubes/").context["listed"].views] == ["for all", "mine"]
    mine, shared = KeptView.objects.get(name="mine"), KeptView.objects.get(name="for all")
    assert as_visitor.post(f"/list-views/{shared.pk}/drop/").status_code == 403
    as_keeper.post(f"/list-views/{mine.pk}/drop/")
    as_keeper.post(f"/list-views/{shared.pk}/drop/")
    assert list(KeptView.objects.all()) == [mine]
    as_helper.post(f"/list-views/{mine.pk}/drop/")
    assert not KeptView.objects.exists()


def test_own_columns_stay_until_they_are_taken_away(as_helper, as_keeper, three):
    keep(as_helper, usual="on", query="columns=price-paid&state=good")
    page = as_helper.get("/tubes/")
    assert page.context["listed"].keys == "tag,price-paid"
    assert "columns=tag,price-paid" in page.content.decode()  # and so goes out as it is shown
    assert as_helper.get("/tubes/", {"columns": "maker"}).context["listed"].keys == "tag,maker"
    assert "maker" in as_keeper.get("/tubes/").context["listed"].keys
    as_helper.post(f"/list-views/{KeptView.objects.get().pk}/drop/")
    assert "maker" in as_helper.get("/tubes/").context["listed"].keys


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"name": " "}, "Give it a name"),
        ({"of_list": "weights", "name": "x"}, "There is no such list"),
        ({"usual": "on", "query": "state=good"}, "Choose columns first"),
        ({"name": "x", "query": "text=" + "x" * 2100}, "2000"),
    ],
)
def test_a_view_that_cannot_be_kept_is_told(as_helper, said, told):
    assert told in keep(as_helper, **said).content.decode()
    assert not KeptView.objects.exists()
