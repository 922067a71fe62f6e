"""Many things changed alike: shown first, written in one step, taken back in one."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.holdings.models import Fact, Tube
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from inventory.lists.views.came_back import alike_once
from tests import factories as make
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
PAGE = "holdings:things-change"


@pytest.fixture
def shelf(keeper):
    hall = make.PlaceFactory(code="Hall")
    tubes = [make.TubeFactory(marked="QX-99", type=None, state="untested", place=hall, note=note) for note in ("", "a")]
    tubes.append(make.TubeFactory(marked="qx-99", type__name="807", state="good"))
    return [tube.item.tag for tube in tubes]


def told(*names):
    return list(Tube.objects.order_by("item__tag").values_list(*names))


def post(client, tags, **cells):
    return client.post(reverse(PAGE), {"tags": "\n".join(tags), **cells})


def write(client, run, **cells):
    return client.post(reverse("lists:came-back-write", args=[run.pk]), cells, follow=True)


def test_shown_first_then_one_step_and_one_step_back(shelf, as_keeper, keeper):
    place = make.PlaceFactory(code="Attic")
    before = told("state", "maker", "note", "item__place__path", "item__seen_on")
    answer = post(as_keeper, shelf, state="weak", maker="Acme", note="damp", place=place.pk, why="after the flood")
    run = ImportRun.objects.get()
    page = page_text(as_keeper.get(answer.url))
    assert "to be changed" in page and "3 of tubes together: state, maker, place, note" in page
    assert told("state", "maker", "note", "item__place__path", "item__seen_on") == before
    assert "12 cells changed" in page_text(write(as_keeper, run, why="after the flood"))
    assert told("state", "maker", "note", "item__place__path") == [
        ("weak", "Acme", "damp", "Attic"), ("weak", "Acme", "a\ndamp", "Attic"), ("weak", "Acme", "damp", "Attic"),
    ]  # fmt: skip
    reason = Tube.history.first().history_change_reason
    assert reason == f"changed together, list {run.pk}: after the flood"
    run.refresh_from_db()
    undo(run, by=keeper)
    assert told("state", "maker", "note", "item__place__path", "item__seen_on") == before


def test_all_tubes_that_bear_one_text_get_their_type(shelf, as_keeper):
    page = as_keeper.get(reverse(PAGE), {"marked": "QX-99"}).content.decode()
    assert f"{shelf[0]}\n{shelf[1]}</textarea>" in page and shelf[2] not in page.split("</textarea>")[0]
    assert "marked=QX-99" in as_keeper.get(reverse("holdings:tube", args=[shelf[0]])).content.decode()
    post(as_keeper, shelf[:2], type="VT-231")
    write(as_keeper, ImportRun.objects.get())
    assert told("type__name") == [("6SN7GT",), ("6SN7GT",), ("807",)]


def test_a_change_made_meanwhile_is_held(shelf, as_keeper):
    post(as_keeper, shelf, maker="Acme")
    Tube.objects.filter(item__tag=shelf[1]).update(maker="Brown")
    page = page_text(write(as_keeper, ImportRun.objects.get()))
    assert "2 cells changed" in page and "changed here after" in page
    assert told("maker") == [("Acme",), ("Brown",), ("Acme",)]


def test_what_cannot_be_changed_alike_is_refused(shelf, as_keeper, as_helper):
    chassis = make.ChassisFactory()
    assert "of one kind" in page_text(post(as_keeper, [*shelf, chassis.tag], maker="Acme"))
    assert "no maker" in page_text(post(as_keeper, [chassis.tag], maker="Acme"))
    assert "Say what is to be changed" in page_text(post(as_keeper, shelf))
    assert not ImportRun.objects.exists()
    assert post(as_helper, shelf, maker="Acme").status_code == 403


# --- from a list ------------------------------------------------------------------------------------------------------


def picked(client, **asked):
    """The tags that the page of many changes starts with."""
    return client.get(reverse(PAGE), asked).context["form"].initial["tags"].split("\n")


def test_a_list_hands_on_what_is_ticked_in_it(shelf, as_keeper, as_helper):
    make.FittingFactory(tube__state="untested")  # in a set: it is taken out of that first
    page = as_keeper.get("/tubes/", {"state": "untested", "ticked": "all"})
    assert f'formaction="{reverse(PAGE)}"' in page.content.decode()
    assert f'formaction="{reverse(PAGE)}"' not in as_helper.get("/tubes/").content.decode()
    assert picked(as_keeper, list="tubes", narrowed=page.context["listed"].narrowed) == shelf[:2]
    assert picked(as_keeper, pick=shelf[1:]) == shelf[1:]


@pytest.mark.parametrize("narrowed", ["state=dud", "state=broken"])  # none that match; an address that is none
def test_where_nothing_is_ticked_no_act_takes_all(shelf, as_keeper, narrowed):
    for address in ("things/change", "things/move", "labels"):
        page = as_keeper.get(f"/{address}/", {"list": "tubes", "narrowed": narrowed})
        assert page.context["form"].initial["tags"] == "" and not page.context["form"].initial.get("narrowed")
    nothing = {"list": "parts", "narrowed": "kind=none&text=zzz"}
    assert "Nothing of that list is ticked" in page_text(as_keeper.get("/labels/", nothing))


def test_one_mark_picks_every_spelling_of_it_and_says_so(shelf, as_keeper, monkeypatch):
    for marked in ("6Н8С", "6н8с", " 6н8С", "6Н8"):  # Cyrillic: no database but PostgreSQL folds its case
        make.TubeFactory(marked=marked, type=None)
    page = as_keeper.get(reverse(PAGE), {"marked": "6н8с"})
    assert len(page.context["form"].initial["tags"].split("\n")) == 3
    assert "3 without a type, marked" in page_text(page) and "6Н8С, 6н8с" in page_text(page)
    monkeypatch.setattr("inventory.lists.views.many.MOST", 2)
    page = as_keeper.get(reverse(PAGE), {"marked": "6н8с"})
    assert "1 are left for the next time" in page_text(page)
    assert len(page.context["form"].initial["tags"].split("\n")) == 2
    assert "No tube here without a type bears that mark" in page_text(as_keeper.get(reverse(PAGE), {"marked": "zz"}))


def test_no_more_at_once_than_can_be_done(shelf, as_keeper, monkeypatch):
    monkeypatch.setattr("inventory.holdings.forms.counts.MOST", 2)
    assert "3 things; at most 2 at once" in page_text(post(as_keeper, shelf, maker="Acme"))


def test_a_change_is_said_otherwise_and_the_first_is_forgotten(shelf, as_keeper):
    post(as_keeper, shelf, maker="Acme", note="damp")
    run = ImportRun.objects.get()
    assert f"?again={run.pk}" in as_keeper.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    again = f"{reverse(PAGE)}?again={run.pk}"
    form = as_keeper.get(again).context["form"]
    assert (form["maker"].value(), form["note"].value(), form["tags"].value()) == ("Acme", "damp", "\n".join(shelf))
    as_keeper.post(again, {"tags": "\n".join(shelf), "maker": "Brown"})
    assert not ImportRun.objects.filter(pk=run.pk).exists() and ImportRun.objects.count() == 1


def test_what_is_said_of_many_things_is_said_once():
    told = [f"T-{number:04d}: take care" for number in range(7)] + ["Not columns of this list: x."]
    assert alike_once(ImportRun(counts={"told": told})) == [
        "T-0000, T-0001, T-0002, T-0003, T-0004 and 2 more: take care", "Not columns of this list: x.",
    ]  # fmt: skip


def test_a_note_that_stands_there_already_is_not_added_again(shelf, as_keeper):
    for _ in range(2):
        post(as_keeper, shelf[:1], note="damp", maker="Acme")
        write(as_keeper, ImportRun.objects.latest("pk"))
    assert Tube.objects.get(item__tag=shelf[0]).note == "damp"


def test_a_field_is_emptied_and_a_place_taken_away(shelf, as_keeper, keeper):
    post(as_keeper, shelf[:2], nowhere="on", empty=["note"])
    write(as_keeper, ImportRun.objects.get())
    assert told("note", "item__place")[:2] == [("", None), ("", None)]
    undo(ImportRun.objects.get(), by=keeper)
    assert told("note", "item__place__path")[1] == ("a", "Hall")
    refused = page_text(post(as_keeper, shelf, note="x", empty=["note"]))
    assert "not both" in refused and ImportRun.objects.count() == 1


def test_what_each_cost_and_where_it_came_from(shelf, as_keeper, keeper):
    post(as_keeper, shelf, price_paid="12.50 EUR", acquired_from="Harbour flea market")
    run = ImportRun.objects.get()
    assert "6 cells changed" in page_text(write(as_keeper, run))
    prices = Fact.objects.filter(about="paid", struck="")
    assert sorted(prices.values_list("text", "value", "currency")) == [("12.50 EUR", Decimal("12.5"), "EUR")] * 3
    run.refresh_from_db()
    undo(run, by=keeper)
    assert not prices.exists() and told("acquired_from") == [("",)] * 3
    refused = post(as_keeper, shelf, price_paid="12.50")
    page = page_text(as_keeper.get(refused.url))
    assert "say the currency with it" in page and "0 cells" not in page
