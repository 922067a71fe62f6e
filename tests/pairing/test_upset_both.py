"""A knock, a repair or a moved lead upsets the unit, the chassis, or both, with every partner; older records one pair.

That it upsets the thing and not only one pair is common practice, no source.
"""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.archive.actions.take_in import import_collection
from inventory.pairing.actions import record_disturbance
from inventory.pairing.models import Disturbance
from inventory.pairing.queries import pairing_table, station_view, told_of
from tests.archive.test_version_before import KEPT
from tests.factories import ChassisFactory, NeutralizationFactory, PlugInUnitFactory, UnitModelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def four(days_ago):
    """Two chassis and two units, all four pairs good."""
    chassis = ChassisFactory(serial="01432")
    other = ChassisFactory(model=chassis.model, serial="02077")
    model = UnitModelFactory(fits=[chassis.model])
    unit, spare = PlugInUnitFactory(model=model, serial="0458"), PlugInUnitFactory(model=model, serial="0611")
    for number, (one, drawer) in enumerate([(chassis, unit), (other, spare)]):
        NeutralizationFactory(chassis=one, unit=drawer, on=days_ago(30 - number), setting="40")
    return chassis, other, unit, spare


def states(today):
    """By serials of chassis and unit; the table and the station view must say the same."""
    rows = {(row.chassis.serial, row.unit.serial): row for row in pairing_table(today)}
    seen = {(c.serial, u.serial): s for u, _, line in station_view(today).rows for c, s in line}
    assert seen == {key: row.state for key, row in rows.items()}
    return rows


def why(row):
    return [reason.text for reason in row.reasons if reason.cause == "disturbed"]


@pytest.mark.parametrize(
    ("scope", "upset"),
    [
        ("", {("01432", "0458"), ("01432", "0611"), ("02077", "0458")}),  # both are chosen, so both
        ("both", {("01432", "0458"), ("01432", "0611"), ("02077", "0458")}),
        ("unit", {("01432", "0458"), ("02077", "0458")}),
        ("chassis", {("01432", "0458"), ("01432", "0611")}),
    ],
)
def test_the_form_asks_what_was_upset(scope, upset, four, as_helper, today, days_ago):
    chassis, _, unit, _ = four
    for one, drawer in [(four[1], unit), (chassis, four[3])]:
        NeutralizationFactory(chassis=one, unit=drawer, on=days_ago(20), setting="41")
    sent = {"chassis": chassis.pk, "unit": unit.pk, "scope": scope, "cause": "knock", "on": days_ago(5)}
    page = as_helper.get(f"{reverse('pairing:disturb')}?chassis={chassis.tag}&unit={unit.tag}").content.decode()
    assert "the unit" in page and "the chassis" in page and "both" in page
    assert as_helper.post(reverse("pairing:disturb"), sent).status_code == 302
    assert {key for key, row in states(today).items() if why(row)} == upset
    assert all(row.state == "due" for key, row in states(today).items() if key in upset)


@pytest.mark.parametrize(("scope", "field"), [("unit", "unit"), ("both", "unit")])
def test_what_was_upset_must_be_named(scope, field, four, as_helper, days_ago):
    sent = {"chassis": four[0].pk, "unit": "", "scope": scope, "cause": "knock", "on": days_ago(5)}
    answer = as_helper.post(reverse("pairing:disturb"), sent)
    assert answer.status_code == 422 and "Say which plug-in unit" in answer.context["form"].errors[field][0]
    assert not Disturbance.objects.exists()


def test_an_older_record_of_a_pair_keeps_its_meaning_and_can_be_corrected(four, as_keeper, today, days_ago):
    chassis, other, unit, spare = four
    row = Disturbance.objects.create(chassis=chassis, unit=unit, cause="knock", on=days_ago(5))
    for one, drawer in [(other, unit), (chassis, spare)]:
        NeutralizationFactory(chassis=one, unit=drawer, on=days_ago(20), setting="41")
    assert {key for key, found in states(today).items() if why(found)} == {("01432", "0458")}
    address = reverse("pairing:disturbance-correct", args=[row.pk])
    form = as_keeper.get(address).context["form"]
    assert form["scope"].value() == "pair"
    sent = {name: form[name].value() or "" for name in form.fields} | {"reason": "the door hit it", "note": "by hand"}
    assert as_keeper.post(address, sent).status_code == 302
    row.refresh_from_db()
    assert (row.note, row.both) == ("by hand", False)
    assert (
        "only the one with the other" in as_keeper.get(reverse("pairing:disturbance", args=[row.pk])).content.decode()
    )
    form = as_keeper.get(address).context["form"]
    sent |= {"scope": "both", "seen": form["seen"].value()}
    assert as_keeper.post(address, sent).status_code == 302
    assert len([found for found in states(today).values() if why(found)]) == 3


def test_both_are_told_in_the_ledgers_of_every_partner(four, keeper, today, days_ago):
    chassis, other, unit, spare = four
    for one, drawer in [(other, unit), (chassis, spare)]:
        NeutralizationFactory(chassis=one, unit=drawer, on=days_ago(20), setting="41")
    row = Disturbance(chassis=chassis, unit=unit, both=True, cause="knock", on=days_ago(5))
    record_disturbance(row, today=today, by=keeper)
    for of in ({"chassis": other}, {"unit": spare}, {"chassis": other, "unit": unit}, {"chassis": chassis}):
        (line,) = [line for line in told_of(**of, on=today).lines if line.kind == "disturbed"]
        assert line.text == f"Knock or fall of {unit} and {chassis}."
    assert not [line for line in told_of(chassis=other, unit=spare, on=today).lines if line.kind == "disturbed"]


def test_both_without_both_is_refused(four, keeper, today):
    with pytest.raises(ValidationError, match="name the other one too"):
        record_disturbance(Disturbance(chassis=four[0], both=True, cause="knock", on=today), today=today, by=keeper)


def test_a_pair_in_an_archive_of_the_version_before_keeps_its_meaning(reference, tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"
    import_collection(KEPT / "collection.zip")
    row = Disturbance.objects.get(chassis__isnull=False, unit__isnull=False)
    assert not row.both
    (line,) = [line for line in told_of(chassis=row.chassis, unit=row.unit, on=row.on).lines if line.pk == row.pk]
    assert line.text.endswith(", as a pair.")
