"""Two people open the same form; one saves, then the other. For every address that changes a row.

What the second sent is refused and stays in the form with the reason; what the first wrote stands.
"""

import re
from html import unescape
from types import SimpleNamespace

import pytest
from django.forms import CheckboxInput, CheckboxSelectMultiple, HiddenInput

from inventory.holdings.models import HazardMark, PartLot, StockTake, Tube
from inventory.house.records.actions import hold, state_of, strike_out
from inventory.running.models import Run
from tests import factories as make
from tests.house.world import ADDRESSES, CHANGE, POST_ONLY
from tests.pages import page_text
from tubes.models import KEEPER, Rating

pytestmark = pytest.mark.django_db

#: address: (field, what the first writes, what the second writes, whether the reason is needed)
FORMS = {
    "tubes:type-change": ("hazard", "first words", "second words", False),
    "tubes:rating-write": ("note", "first words", "second words", False),
    "tubes:limit-change": ("value", "0.7", "0.72", False),
    "holdings:tube-change": ("note", "first words", "second words", False),
    "holdings:place-change": ("note", "first words", "second words", False),
    "holdings:paper-change": ("caption", "first words", "second words", False),
    "holdings:part-change": ("note", "first words", "second words", False),
    "holdings:want-change": ("note", "first words", "second words", False),
    "holdings:hazard-settle": ("reason", "first words", "second words", None),
    "sets:chassis-change": ("note", "first words", "second words", False),
    "sets:unit-change": ("note", "first words", "second words", False),
    "sets:model-change": ("note", "first words", "second words", False),
    "sets:position-change": ("role", "first words", "second words", False),
    "sets:stand-in-change": ("source", "first words", "second words", False),
    "sets:stand-in-fitted-change": ("note", "first words", "second words", False),
    "sets:unit-model-change": ("note", "first words", "second words", False),
    "sets:fitting-correct": ("note", "first words", "second words", False),
    "sets:seating-correct": ("note", "first words", "second words", False),
    "running:run-correct": ("note", "first words", "second words", False),
    "running:meter-correct": ("note", "first words", "second words", False),
    "running:reading-correct": ("note", "first words", "second words", False),
    "running:hours-correction-change": ("note", "first words", "second words", False),
    "running:test-correct": ("note", "first words", "second words", False),
    "running:earlier-hours": ("hours", "110", "120", False),
    "running:instrument-change": ("note", "first words", "second words", False),
    "running:minimum-change": ("source", "first words", "second words", False),
    "running:care-change": ("words", "first words", "second words", False),
}
FORMS |= {
    "pairing:neutralization-correct": ("note", "first words", "second words", True),
    "pairing:disturbance-correct": ("note", "first words", "second words", True),
    "pairing:comparison-correct": ("note", "first words", "second words", True),
    "pairing:on-air-correct": ("note", "first words", "second words", True),
    "pairing:companion-change": ("note", "first words", "second words", False),
    "pairing:companion-kind-change": ("name", "first words", "second words", False),
    "pairing:mated-change": ("note", "first words", "second words", False),
    "pairing:mated-part-change": ("note", "first words", "second words", False),
    "pairing:bridge-set": ("rated_power_w", "75", "80", False),
}
#: these name the reason of the change as they name all else: what it does can be done once
FORMS |= {
    "holdings:hazard-check-change": ("note", "first words", "second words", True),
    "holdings:condition-change": ("state", "first words", "second words", True),
    "holdings:loan-change": ("note", "first words", "second words", False),
    "restoration:plan-change": ("note", "first words", "second words", False),
    "restoration:requirement-change": ("note", "first words", "second words", False),
    "restoration:finding-change": ("note", "first words", "second words", True),
    "restoration:work-change": ("note", "first words", "second words", True),
    "restoration:weak-word-change": ("words", "first words", "second words", False),
    "restoration:weak-change": ("why", "first words", "second words", False),
    "holdings:part-type-change": ("words", "first words", "second words", False),
    "valuation:evidence-change": ("note", "first words", "second words", True),
    "valuation:promise-change": ("note", "first words", "second words", True),
    "valuation:sale-change": ("note", "first words", "second words", False),
    "valuation:lot-change": ("note", "first words", "second words", False),
    "valuation:lot-price": ("venue", "first words", "second words", True),
    "valuation:contact-change": ("note", "first words", "second words", True),
}
ONCE = (
    "restoration:weak-word-strike",
    "sets:stand-in-strike",
    "restoration:requirement-strike",
    "restoration:finding-strike",
    "restoration:work-strike",
    "valuation:evidence-strike",
    "valuation:appraisal-strike",
    "valuation:promise-strike",
    "valuation:contact-strike",
    "valuation:lot-sold",
    "valuation:lot-strike",
    "valuation:lot-end",
    "pairing:event-strike",
    "holdings:hazard-check-strike",
    "holdings:condition-strike",
    "holdings:want-settle",
    "holdings:fact-strike",
    "holdings:paper-remove",
    "running:strike",
    "running:matched-split",
)
#: these write something new, or ask and change no row that a form shows
NEW = (
    "sets:position-add", "sets:bay-add", "sets:approval-add",
    "holdings:place-move", "holdings:place-merge", "holdings:place-delete", "holdings:item-lend",
    "holdings:item-back", "holdings:item-part-with",
    "holdings:item-mistake",
    "holdings:item-borrow", "holdings:loan-give-back",
    "holdings:item-came", "holdings:item-left",  # these carry what they showed: tests/holdings/test_record.py
    "holdings:tubes-settle", "holdings:place-count-close", "holdings:place-count-drop", "lists:list-undo",
    "lists:came-back-add", "holdings:things-change", "holdings:things-lend", "holdings:things-back",
    "valuation:contact-add", "valuation:promise-add",
)  # fmt: skip


@pytest.fixture
def world(world):
    world.rating = Rating.objects.create(type=world.type, origin=KEEPER, kind="triode", note="as it was")
    return world


def shown(page):
    """What a browser would send of a form as it is shown."""
    form, sent = page.context["form"], {}
    for bound in form:
        value, widget = bound.value(), bound.field.widget
        if bound.field.disabled or value in (None, "", []):
            continue
        if isinstance(widget, CheckboxInput):
            if value is True:
                sent[bound.html_name] = "on"
        elif isinstance(widget, CheckboxSelectMultiple):
            sent[bound.html_name] = [str(bound.field.prepare_value(one)) for one in value]
        else:
            sent[bound.html_name] = (
                str(bound.field.prepare_value(value))
                if isinstance(widget, HiddenInput)
                else (
                    re.search(r'value="([^"]*)"', str(bound)).group(1)
                    if 'value="' in str(bound) and "<input" in str(bound)
                    else bound.field.prepare_value(value)
                )
            )
    return sent


def filled(name, world, opened):
    """The same with what some forms want besides."""
    if name == "pairing:bridge-set":
        opened |= {"bridge_circuit": "plate-tap", "np": "10", "nn": "5"}
    if name == "tubes:rating-write":
        opened |= {"source": str(world.source.pk), "grade": "stated"}
    return opened


def test_every_changing_address_is_here():
    changing = {name for name in ADDRESSES if ADDRESSES[name][0] == CHANGE and name not in POST_ONLY}
    assert changing - set(FORMS) - set(ONCE) - set(NEW) == set()


@pytest.mark.parametrize("name", FORMS)
def test_the_second_of_two_stale_forms_is_refused(world, as_keeper, name):
    field, first, second, needed = FORMS[name]
    address = world.address(name)
    page = as_keeper.get(address)
    opened = filled(name, world, shown(page))
    asked = [one for one in ("why_corrected", "reason") if needed is not None and one in page.context["form"].fields]
    why = asked[0] if asked else ""
    if needed is not None:
        assert page.context["form"].fields[why].required is needed
    done = as_keeper.post(address, opened | {field: first} | ({why: "read again"} if why else {}))
    assert done.status_code == 302, done.context["form"].errors
    late = as_keeper.post(address, opened | {field: second} | ({why: "by the book"} if why else {}))
    text = late.content.decode()
    assert late.status_code == 422, late.status_code
    assert "changed this record since you opened it" in text and "a-keeper" in text
    assert second in text and (not why or "by the book" in text)
    again = as_keeper.get(address)
    assert str(again.context["form"][field].value()).removesuffix(".0") == first
    if why:
        row = again.context["form"].instance
        assert row.history.first().history_change_reason == "read again"


@pytest.mark.parametrize("name", ONCE)
def test_what_can_be_done_once_is_not_done_twice(world, as_keeper, name):
    address = world.address(name)
    opened = shown(as_keeper.get(address)) | {"why": "no longer", "split_why": "no longer", "reason": "no longer"}
    assert as_keeper.post(address, opened).status_code == 302
    gone = 404 if name == "holdings:paper-remove" else 422  # the others stay, with what was done
    assert as_keeper.post(address, opened | {"why": "again", "split_why": "again"}).status_code == gone


def test_a_struck_entry_stays_struck(world, as_keeper, keeper):
    """Opened before it was struck out, saved after: it is not corrected, and counts no more."""
    for name, row in (
        ("running:run-correct", world.run), ("running:reading-correct", world.meter_reading),
        ("running:hours-correction-change", world.correction), ("running:test-correct", world.test),
    ):  # fmt: skip
        address = world.address(name)
        opened = shown(as_keeper.get(address))
        strike_out(row, "of another", by=keeper)
        late = as_keeper.post(address, opened | {"note": "late", "reason": "read again", "why_corrected": "read again"})
        assert late.status_code == 422 and "It is struck out: of another" in late.content.decode(), name
        row.refresh_from_db()
        assert (row.struck, row.note != "late") == ("of another", True)


def test_what_was_corrected_meanwhile_is_not_struck_out_unseen(world, as_keeper):
    address = world.address("running:strike")
    opened = shown(as_keeper.get(address))
    Run.objects.filter(pk=world.run.pk).update(note="read again")
    late = as_keeper.post(address, opened | {"why": "wrong set"})
    assert late.status_code == 422 and "changed this record since" in late.content.decode()
    assert Run.objects.get(pk=world.run.pk).struck == ""


def test_hours_that_two_write_at_once(as_keeper, as_helper):
    """Neither form knew of a row: the second must not overwrite the first."""
    tube = make.TubeFactory()
    address = f"/tubes/{tube.tag}/earlier-hours/"
    one, two = shown(as_keeper.get(address)), shown(as_keeper.get(address))
    said = {"standing": "estimated", "reason": "by its look"}
    assert as_keeper.post(address, one | said | {"hours": "10"}).status_code == 302
    assert as_keeper.post(address, two | said | {"hours": "900"}).status_code == 422
    tube = Tube.objects.get(pk=tube.pk)
    assert tube.earlier_hours.hours == 10


def test_a_row_without_history_is_kept_from_overwriting_too(as_keeper):
    """Rows of a made collection have no history: the state is that of the row itself."""
    lot = PartLot.objects.create(item=make.ItemFactory(kind="parts"), name="knob")
    PartLot.history.all().delete()
    address = f"/parts/{lot.item.tag}/change/"
    opened = shown(as_keeper.get(address))
    assert as_keeper.post(address, opened | {"note": "first"}).status_code == 302
    assert as_keeper.post(address, opened | {"note": "second"}).status_code == 422


@pytest.mark.parametrize("name", FORMS)
def test_a_form_that_does_not_say_what_it_showed_is_asked_again(world, as_keeper, name):
    """What the record says now is shown; sent once more, what was typed is written over it knowingly."""
    field, first, second, needed = FORMS[name]
    address = world.address(name)
    page = as_keeper.get(address)
    opened = filled(name, world, shown(page))
    assert page.content.decode().count('name="seen"') == 1
    why = {"why_corrected": "read again", "reason": "read again"} if needed is not None else {}
    assert as_keeper.post(address, why | opened | {field: first}).status_code == 302
    blind = why | opened | {field: second}
    del blind["seen"]
    asked = as_keeper.post(address, blind)
    text = unescape(page_text(asked))
    assert asked.status_code == 422 and "What this form showed of the record did not come with it." in text
    assert f": {first}. What you typed still stands below" in text or f": {first};" in text, text
    assert str(as_keeper.get(address).context["form"][field].value()).removesuffix(".0") == first
    done = as_keeper.post(address, blind | {"seen": asked.context["form"]["seen"].value()})
    assert done.status_code == 302, done.context["form"].errors
    assert str(as_keeper.get(address).context["form"][field].value()).removesuffix(".0") == second


@pytest.mark.parametrize("name", ONCE)
def test_what_is_done_once_is_not_done_unseen(world, as_keeper, name):
    address = world.address(name)
    page = as_keeper.get(address)
    opened = shown(page) | {"why": "no longer", "split_why": "no longer", "reason": "no longer"}
    assert page.content.decode().count('name="seen"') == 1
    del opened["seen"]
    asked = as_keeper.post(address, opened)
    assert asked.status_code == 422 and "did not come with it" in asked.content.decode()
    assert as_keeper.post(address, opened | {"seen": asked.context["form"]["seen"].value()}).status_code == 302


def test_a_tick_that_somebody_overtook_is_not_written(world, as_keeper, as_helper):
    """A stock-take with two people: what the page showed is sent with every tick."""
    line = world.line
    address = f"/stock-takes/{world.take.pk}/tick/"
    page = as_keeper.get(f"/stock-takes/{world.take.pk}/").content.decode()
    assert f'value="{line.pk}:open"' in page
    as_helper.post(address, {"line": f"{line.pk}:open", "outcome": "found"})
    late = as_keeper.post(address, {"line": f"{line.pk}:open", "outcome": "missing"}, follow=True)
    assert f"meanwhile {world.tube.tag} is found, a-helper" in late.content.decode()
    line.refresh_from_db()
    assert line.outcome == "found"
    as_keeper.post(address, {"line": f"{line.pk}:found", "outcome": "missing"})
    line.refresh_from_db()
    assert line.outcome == "missing"


def test_the_last_word_on_a_tube_is_of_one_who_saw_the_one_before(as_keeper):
    tube = make.TubeFactory(state="untested")
    address = f"/tubes/{tube.tag}/state/"
    as_keeper.post(address, {"state": "weak", "was": "untested"})
    late = as_keeper.post(address, {"state": "good", "was": "untested"}, follow=True)
    assert f"Somebody said weak of {tube.tag} meanwhile" in late.content.decode()
    tube.refresh_from_db()
    assert tube.state == "weak"


def test_a_row_that_changed_between_reading_and_locking(keeper):
    """Without any form: the row that was read must be the row that is locked."""
    mark = HazardMark.objects.create(item=make.ItemFactory(), hazard="mercury", on=make.days_ago(1))
    seen = state_of(mark)
    hold(mark, seen)
    HazardMark.objects.filter(pk=mark.pk).update(reason="seen from below")
    with pytest.raises(Exception, match="changed this record since"):
        hold(mark, seen)
    StockTake.objects.create(began=make.days_ago(0))
    assert state_of(SimpleNamespace(_state=SimpleNamespace(adding=True))) == "new"


def test_readings_that_were_corrected_are_told(world, as_keeper):
    """Columns that hold rows of figures are told by their number, whatever they held before."""
    address = world.address("pairing:neutralization-correct")
    opened = shown(as_keeper.get(address)) | {"reason": "read again", "indicator": "linear"}
    rows = "30 13\n40 5\n45 7\n50 13"
    done = as_keeper.post(address, opened | {"readings": rows})
    assert done.status_code == 302, done.context["form"].errors
    page = as_keeper.get(done.url)
    assert page.status_code == 200 and "4 rows" in page.content.decode()
