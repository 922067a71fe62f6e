"""Hazards of a thing: "none found" is recorded too, and an older word stays in the history.

A hazard check comes before any handling, and that nothing was found is recorded as well: Science Museum Group, "May
contain hazards" (blog.sciencemuseumgroup.org.uk/may-contain-hazards).
"""

from datetime import timedelta

import pytest

from inventory.holdings.actions import note_hazards, settle_hazard
from inventory.holdings.models import HazardMark
from inventory.holdings.rules.hazard_kinds import CARE, HAZARDS, MARKS
from tests.factories import TubeFactory
from tests.pages import seen_at

pytestmark = pytest.mark.django_db


def test_every_hazard_has_its_usual_care():
    assert set(CARE) == set(MARKS) == {mark for mark, _ in HazardMark._meta.get_field("hazard").flatchoices}
    assert len(CARE) == len([kind for kind in HAZARDS if kind.care and kind.mark])
    assert all(kind.caution for kind in HAZARDS if kind.listed)


def test_several_at_once_and_none_found(as_helper, helper, today):
    tube = TubeFactory()
    sent = {"hazards": ["radium", "asbestos"], "standing": "none found", "reason": "counter at background", "on": today}
    page = as_helper.post(f"/things/{tube.tag}/hazards/add/", sent, follow=True)
    assert page.redirect_chain[-1][0] == f"/things/{tube.tag}/hazards/"
    marks = HazardMark.objects.filter(item=tube.item)
    assert {(m.hazard, m.standing) for m in marks} == {("radium", "none found"), ("asbestos", "none found")}
    assert marks[0].history.get().history_user == helper
    assert "none found" in as_helper.get(f"/tubes/{tube.tag}/").content.decode()


def test_a_marked_one_is_changed_not_doubled(keeper, today, refused):
    tube = TubeFactory()
    words = {"reason": "seen", "on": today, "by": keeper}
    (mark,) = note_hazards(tube.item, ["mercury"], standing="proposed", **words)
    with refused("hazards", "mercury is on record"):
        note_hazards(tube.item, ["X-rays", "mercury"], standing="confirmed", **words)
    assert HazardMark.objects.count() == 1
    settle_hazard(mark, standing="confirmed", **words)
    assert [row.standing for row in mark.history.all()] == ["confirmed", "proposed"]


def test_a_helper_adds_and_a_keeper_settles(as_helper, as_keeper, today):
    tube = TubeFactory()
    as_helper.post(
        f"/things/{tube.tag}/hazards/add/", {"hazards": ["mercury"], "standing": "proposed", "reason": "", "on": today}
    )
    mark = HazardMark.objects.get()
    assert as_helper.get(f"/hazards/{mark.pk}/").status_code == 403
    page = as_keeper.get(f"/hazards/{mark.pk}/").content.decode()
    assert "Keep upright" in page and "Local codes" in page
    sent = {"standing": "confirmed", "reason": "drops seen", "on": today}
    as_keeper.post(f"/hazards/{mark.pk}/", sent | seen_at(as_keeper, f"/hazards/{mark.pk}/"))
    mark.refresh_from_db()
    assert (mark.standing, mark.reason) == ("confirmed", "drops seen")


@pytest.mark.parametrize(
    ("spoilt", "field"),
    [
        ({"hazards": []}, "hazards"),
        ({"hazards": ["other"], "reason": ""}, "reason"),
        ({"standing": "none found", "reason": " "}, "reason"),
        ({"on": "2999-01-01"}, "on"),
        ({"standing": "maybe"}, "standing"),
    ],
)
def test_a_bad_entry_is_named(as_helper, today, snapshot, spoilt, field):
    tube = TubeFactory()
    before = snapshot()
    sent = {"hazards": ["radium"], "standing": "confirmed", "reason": "dial glows", "on": today} | spoilt
    answer = as_helper.post(f"/things/{tube.tag}/hazards/add/", sent)
    assert answer.status_code == 422 and list(answer.context["form"].errors) == [field]
    assert snapshot() == before


def test_a_future_check_is_refused(keeper, today, refused):
    with refused("on"):
        note_hazards(
            TubeFactory().item, ["radium"], standing="confirmed", reason="", on=today + timedelta(days=1), by=keeper
        )


def test_nothing_on_record_says_nothing_about_safety(as_visitor):
    tube = TubeFactory()
    text = as_visitor.get(f"/things/{tube.tag}/hazards/").content.decode()
    assert "does not say that it was looked at" in text
