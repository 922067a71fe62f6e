"""Ways between the pages of plans, sets, set models and tubes; what counts as reserved once it stands in its place."""

import re
from html import unescape

import pytest
from django.urls import reverse

from inventory.restoration.actions import release_all, reserve_tube
from inventory.restoration.models import Plan, Reservation, WeakPart
from inventory.running.models import TubeTest
from inventory.sets.models import Fitting
from tests.counting import cost
from tests.factories import ChassisFactory, PositionFactory, SetModelFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory
from tests.running.rows import InstrumentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram RX", neutralizing="none")
    for mark in ("V1", "V2"):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def link(client, address, words, at=0):
    """The address behind a link with these words on a page; ``at``: which of several."""
    found = re.findall(rf'<a [^>]*?href="([^"]*)"[^>]*>{re.escape(words)}</a>', page_text(client.get(address)))
    assert found, words
    return unescape(found[at])


def test_a_tube_is_fitted_from_a_line_and_the_plan_is_next(as_keeper, plan, today):
    one = TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    home = plan.get_absolute_url()
    address = link(as_keeper, home, "Fit", at=-1)  # the lines that are short come first
    answer = as_keeper.get(address)
    assert f'value="{one.tag}"' in page_text(answer) and f'<a class="act-quiet" href="{home}">' in page_text(answer)
    sent = {"tube": one.tag, "since": today, "seen": answer.context["form"]["seen"].value()}
    answer = as_keeper.post(address, sent)
    assert (answer.status_code, answer.url) == (302, home)
    assert Fitting.objects.get().tube == one


def test_fitted_without_a_plan_the_set_is_next(as_keeper, plan, today):
    one, chassis = TubeFactory(type=TubeTypeFactory(name="6SN7GT")), plan.sets.get()
    address = reverse("sets:tube-fit", args=[chassis.tag, chassis.model.positions.first().pk])
    sent = {"tube": one.tag, "since": today} | seen_at(as_keeper, address)
    assert as_keeper.post(f"{address}?next=https://elsewhere.example/", sent).url == chassis.get_absolute_url()


def test_an_untested_one_is_not_filled_in_but_tested_and_the_plan_is_next(as_keeper, plan, today):
    one = TubeFactory(type=TubeTypeFactory(name="6SN7GT"), state="untested")
    home = plan.get_absolute_url()
    assert "tube=" not in link(as_keeper, home, "Fit")
    address = link(as_keeper, home, f"Test {one.tag}")
    sent = {
        "instrument": InstrumentFactory().pk, "on": today, "reading_text": "2500", "minimum": 1800, "by_whom": "keeper",
        "shorts": "none", "section": "1",
    } | seen_at(as_keeper, address)  # fmt: skip
    answer = as_keeper.post(address, sent)
    assert (answer.status_code, getattr(answer, "url", answer.context and answer.context["form"].errors)) == (302, home)
    assert TubeTest.objects.get().tube == one
    said = as_keeper.post(reverse("running:state-set", args=[one.tag]), {"state": "good", "next": home})
    assert said.url == home
    one.refresh_from_db()
    assert one.state == "good"


def test_a_set_leads_to_its_plans_and_their_sheets(as_keeper, as_visitor, plan):
    chassis = plan.sets.get()
    home = chassis.get_absolute_url()
    assert link(as_visitor, home, "Marram in the shed") == plan.get_absolute_url()
    sheet = link(as_visitor, home, "Start sheet")
    assert sheet == reverse("restoration:start-sheet", args=[plan.pk, chassis.tag])
    assert "Plan its restoration" not in page_text(as_keeper.get(home))
    Plan.objects.update(state=Plan.FINISHED)
    assert link(as_visitor, home, "Marram in the shed") == plan.get_absolute_url()
    assert link(as_visitor, home, "What stops it now, and what covers it") == f"{home}readiness/"
    assert "Plan its restoration" not in page_text(as_visitor.get(home))
    form = as_keeper.get(link(as_keeper, home, "Plan its restoration")).context["form"]
    assert list(form["sets"].value()) in ([chassis], [chassis.pk])


def test_a_set_model_shows_its_weak_parts_and_takes_more(as_keeper, as_visitor, plan):
    chassis = plan.sets.get()
    home = chassis.model.get_absolute_url()
    assert "None is on record." in page_text(as_visitor.get(home))
    assert "Add a weak part" not in page_text(as_visitor.get(home))
    address = link(as_keeper, home, "Add a weak part")
    sent = {"mark": "C3, C7", "words": "paper capacitors", "quantity": 2, "why": "they leak", "source": "bench book"}
    assert as_keeper.post(address, sent).url == home
    text = page_text(as_visitor.get(home))
    assert "C3, C7 paper capacitors" in text and 'they leak <span class="faint">(bench book)</span>' in text
    assert link(as_visitor, chassis.get_absolute_url(), "Known weak parts of every Marram RX") == f"{home}#weak-parts"


def test_more_plans_and_parts_cost_no_more_questions(as_visitor, plan):
    chassis = plan.sets.get()
    pages = [chassis.get_absolute_url(), chassis.model.get_absolute_url()]
    WeakPart.objects.create(set_model=chassis.model, words="filter")
    before = [cost(lambda page=page: as_visitor.get(page)) for page in pages]
    for number in range(4):
        PlanFactory(sets=[chassis], state=Plan.FINISHED)
        WeakPart.objects.create(set_model=chassis.model, words=f"filter {number}")
    assert [cost(lambda page=page: as_visitor.get(page)) for page in pages] == before


def test_what_stands_in_its_place_is_reserved_no_more(as_keeper, plan, today, keeper):
    kind, chassis = TubeTypeFactory(name="6SN7GT"), plan.sets.get()
    first, second = chassis.model.positions.order_by("mark")
    tubes = [TubeFactory(type=kind) for _ in range(2)]
    for position, tube in zip((first, second), tubes, strict=True):
        reserve_tube(plan, chassis, position, tube, on=today, by=keeper)
    kept = "<dt>Reserved</dt><dd>{}</dd>"
    assert kept.format(2) in page_text(as_keeper.get(plan.get_absolute_url()))
    Fitting.objects.create(chassis=chassis, position=first, tube=tubes[0], since=today)
    text = page_text(as_keeper.get(plan.get_absolute_url()))
    assert kept.format(1) in text and "Release all 1 reserved" in text
    assert '<td data-label="Reserved">1</td>' in page_text(as_keeper.get("/restorations/"))
    assert release_all(plan, by=keeper) == 1 and not Reservation.objects.exists()
