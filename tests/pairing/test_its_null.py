"""An on-air record that says "neutralized" and the neutralization recorded with it; what is asked of the moment.

That the dial of a set on the air was set for the unit in use is common practice, no source.
"""

from datetime import time

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.house.records.actions import hold
from inventory.pairing.actions import record_on_air, strike_on_air
from inventory.pairing.models import Neutralization, OnAirRecord
from inventory.pairing.queries import pairing_table, told_of
from inventory.pairing.rules.null_fit import NullReading, NullRefused
from tests.factories import (
    ChassisFactory,
    DisturbanceFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    UnitModelFactory,
)
from tests.pages import seen_at, state_seen

pytestmark = pytest.mark.django_db


@pytest.fixture
def trio():
    chassis = ChassisFactory(serial="01432", model__neutralizing="chassis")
    model = UnitModelFactory(fits=[chassis.model])
    return chassis, PlugInUnitFactory(model=model, serial="0458"), PlugInUnitFactory(model=model, serial="0611")


@pytest.fixture
def row(trio, today, days_ago, keeper):
    chassis, one, _ = trio
    new = OnAirRecord(chassis=chassis, unit=one, on=days_ago(2), at=time(0, 30), plate_ma=90, readied="neutralized")
    return record_on_air(new, today=today, by=keeper, setting="42")


def corrected(row, as_keeper, **more):
    cells = {
        "on": row.on, "at": "00:30", "unit": row.unit_id, "readied": "neutralized", "plate_ma": "90",
        "reason": "the other drawer", "seen": state_seen(row),
    }  # fmt: skip
    return as_keeper.post(reverse("pairing:on-air-correct", args=[row.pk]), cells | more)


def test_another_unit_asks_what_becomes_of_the_neutralization(row, trio, as_keeper):
    _, one, other = trio
    null = Neutralization.objects.get()
    answer = corrected(row, as_keeper, unit=other.pk)
    page = answer.content.decode()
    assert answer.status_code == 422 and "00:30, still stands" in page
    assert reverse("pairing:neutralization", args=[null.pk]) in page
    kept = corrected(row, as_keeper, unit=other.pk, its_null="keep")
    assert kept.status_code == 422 and "record that first" in kept.content.decode()
    row.refresh_from_db()
    assert row.unit == one
    assert corrected(row, as_keeper, unit=other.pk, its_null="move").status_code == 302
    null.refresh_from_db()
    row.refresh_from_db()
    assert (row.unit, null.unit, null.setting, null.struck) == (other, other, "42", "")


def test_another_answer_strikes_the_neutralization_too(row, as_keeper, today):
    assert corrected(row, as_keeper, readied="not").status_code == 422
    assert corrected(row, as_keeper, readied="not", its_null="move").status_code == 422
    assert corrected(row, as_keeper, readied="not", its_null="strike").status_code == 302
    assert Neutralization.objects.get().struck == "the other drawer"
    assert {line.state for line in pairing_table(today)} == {"due"}


def test_another_note_asks_nothing(row, as_keeper):
    assert corrected(row, as_keeper, note="clear").status_code == 302


@pytest.mark.parametrize(("what", "struck"), [("strike", "not this set"), ("keep", "")])
def test_striking_it_out_asks_too(what, struck, row, as_keeper):
    address = reverse("pairing:event-strike", args=["on-air", row.pk])
    null = Neutralization.objects.get()
    assert reverse("pairing:neutralization", args=[null.pk]) in as_keeper.get(address).content.decode()
    sent = {"why": "not this set"} | seen_at(as_keeper, address)
    answer = as_keeper.post(address, sent)
    assert answer.status_code == 422 and "still stands" in answer.content.decode()
    assert as_keeper.post(address, sent | {"its_null": what}).status_code == 302
    null.refresh_from_db()
    row.refresh_from_db()
    assert (null.struck, row.struck) == (struck, "not this set")


def test_the_action_asks_too(row, keeper):
    with pytest.raises(ValidationError, match="still stands"):
        strike_on_air(row, "why", by=keeper)


def sent(chassis, unit, on, as_keeper, **more):
    cells = {"unit": unit.pk if unit else "", "on": on, "plate_ma": "102"} | more
    return as_keeper.post(reverse("pairing:on-air-add", args=[chassis.tag]), cells)


def test_the_form_asks_by_the_moment(trio, days_ago, as_keeper):
    """Neutralized at 10, knocked at 12: at 11 it was good."""
    chassis, one, _ = trio
    NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(3), at=time(10), setting="42")
    DisturbanceFactory(chassis=chassis, unit=None, on=days_ago(3), at=time(12), cause="knock")
    assert sent(chassis, one, days_ago(3), as_keeper, at="11:00").status_code == 302
    for at, says in (("13:00", "at 13:00"), ("09:00", "at 09:00"), ("", "at the end of the day, no time being given")):
        answer = sent(chassis, one, days_ago(3), as_keeper, at=at)
        asked = answer.context["form"].errors["readied"][0]
        assert asked.startswith(f"This pair was due on {days_ago(3)} {says}: say what was done"), asked


def test_the_written_setting_has_to_be_written(trio, days_ago, as_keeper):
    chassis, one, _ = trio
    answer = sent(chassis, one, days_ago(3), as_keeper, readied="set back")
    assert answer.context["form"].errors["readied"] == ["No setting of this pair is written down."]
    NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(9), setting="42")
    assert sent(chassis, one, days_ago(3), as_keeper, readied="set back").status_code == 302


def test_without_a_unit_it_asks_and_says_so(trio, days_ago, as_keeper):
    chassis, one, _ = trio
    answer = sent(chassis, None, days_ago(3), as_keeper)
    assert answer.status_code == 422 and "Say which unit was in" in answer.context["form"].errors["unit"][0]
    assert sent(chassis, one, days_ago(3), as_keeper, unit_not_known="on").status_code == 422
    answer = sent(chassis, None, days_ago(3), as_keeper, unit_not_known="on")
    assert answer.status_code == 302
    page = as_keeper.get(answer["Location"]).content.decode()
    assert "It is not known which unit was in" in page and '<span class="faint">not known</span>' in page


def test_a_dial_set_back_is_told_with_the_reason(trio, today, days_ago):
    chassis, one, other = trio
    NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(9), setting="42")
    NeutralizationFactory(chassis=chassis, unit=other, on=days_ago(5), setting="50")
    OnAirRecord.objects.create(chassis=chassis, unit=one, on=days_ago(3), plate_ma=90, readied="set back")
    row = next(row for row in pairing_table(today) if row.unit.serial == "0458")
    assert row.state == "reset and verify"
    assert row.reasons[0].text.endswith(f"; the dial was set back on {days_ago(3)}, the null not verified since.")
    lines = [line.text for line in told_of(chassis=chassis, on=today).lines]
    assert any("set back for" in text and "the null was not verified" in text for text in lines)


def test_not_neutralized_is_told_as_such(trio, today, days_ago):
    chassis, one, other = trio
    NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(9), setting="42")
    OnAirRecord.objects.create(chassis=chassis, unit=other, on=days_ago(3), plate_ma=90, readied="not")
    row = next(row for row in pairing_table(today) if row.unit.serial == "0458")
    assert row.state == "reset and verify" and ", not neutralized, on" in row.reasons[0].text
    assert "set for unit" not in row.reasons[0].text
    lines = [line.text for line in told_of(chassis=chassis, on=today).lines]
    assert any("not neutralized: what its capacitor was set for is not known" in text for text in lines)


def test_two_settings_of_one_minute_have_no_order(today, days_ago):
    one = NeutralizationFactory(setting="50", on=days_ago(2), at=time(9))
    NeutralizationFactory(chassis=one.chassis, unit=one.unit, setting="51", on=days_ago(2), at=time(9))
    (row,) = [row for row in pairing_table(today) if row.unit.key == one.unit_id and row.chassis.key == one.chassis_id]
    assert row.state == "good"
    assert "setting 50 or 51, several records without an order: which came last is not known" in row.reasons[0].text


def test_a_disturbance_names_what_can_be_chosen(as_keeper, today):
    answer = as_keeper.post(reverse("pairing:disturb"), {"cause": "knock", "on": today})
    assert answer.context["form"].errors["chassis"] == ["Say which chassis or which unit was disturbed."]


def test_a_second_knowing_save_of_a_stale_form_goes_through(trio, today, days_ago, keeper, as_keeper):
    chassis, one, _ = trio
    null = NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(2), setting="42")
    address = reverse("pairing:neutralization-correct", args=[null.pk])
    cells = {"chassis": chassis.pk, "unit": one.pk, "on": null.on, "locked": "unknown", "reason": "misread"}
    cells["seen"] = state_seen(null)
    for setting in ("43", "44"):
        null.setting = setting
        null._history_user = keeper
        null.save()
    answer = as_keeper.post(address, cells | {"setting": "45"})
    page = answer.content.decode()
    assert (answer.status_code == 422 and "43 became 44" in page and "42 became 43" not in page) or "became 43" in page
    assert f'<a href="{address}">Open it as it is now</a>' in page and "Seen:" not in page
    again = as_keeper.post(address, cells | {"setting": "45", "seen": answer.context["form"]["seen"].value()})
    assert again.status_code == 302
    null.refresh_from_db()
    assert null.setting == "45"
    hold(null, state_seen(null))


def test_a_thing_is_created_once(as_keeper, today):
    from inventory.house.history import changes_of
    from inventory.sets.actions import add_serialled
    from inventory.sets.models import Chassis
    from tests.factories import SetModelFactory

    one = add_serialled(Chassis(model=SetModelFactory(), serial="77"), by=None, on=today)
    assert [change.what for change in changes_of(one, one.item)] == ["Created"]


def test_a_setting_off_the_dial_is_told_in_plain_figures():
    from inventory.pairing.rules.null import find_null

    readings = [NullReading(setting, 1.0) for setting in (10, 20, 130)]
    with pytest.raises(NullRefused, match=r"\(0 to 100\)"):
        find_null(readings, "linear", 0.0, 100.0)
