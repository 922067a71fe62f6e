"""The made-up collection: same seed, same rows; the rules hold on it; never onto a keeper's tubes unasked."""

import json
from datetime import date
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import transaction
from django.db.models import Count, F, Q

from inventory.demo.actions.collection import make_collection
from inventory.holdings.models import Item, Movement, Place, TagSeries, Tube
from inventory.pairing.models import Disturbance, Neutralization
from inventory.pairing.queries import pairing_table
from inventory.sets.models import Chassis, Fitting, PlugInUnit, SetModel
from tubes.actions import load_reference

TODAY = date(2026, 11, 25)
SIZES = {"tubes": 600, "chassis": 14, "units": 30, "events": 120}
pytestmark = pytest.mark.django_db


@pytest.fixture
def tables(db):
    assert not load_reference(settings.REFERENCE_DIR).faults


class _Undo(Exception):
    pass


def rows_of(seed):
    """All that a seed makes, without the keys of the database, and then undone."""
    found = {}
    try:
        with transaction.atomic():
            make_collection(**SIZES, seed=seed, today=TODAY)
            ends = ("chassis__item__tag", "unit__item__tag", "on", "at", "by_whom")
            queries = {
                "items": Item.objects.values_list("tag", "place__path", "seen_on", "lent_to", "gone_on"),
                "tubes": Tube.objects.values_list("item__tag", "type__name", "marked", "state", "acquired_on"),
                "chassis": Chassis.objects.values_list("item__tag", "model__name", "serial", "serial_reading"),
                "units": PlugInUnit.objects.values_list("item__tag", "model__name", "serial", "serial_reading"),
                "fittings": Fitting.objects.values_list("tube__item__tag", "position__mark", "since", "until"),
                "nulls": Neutralization.objects.values_list(*ends, "setting"),
                "upsets": Disturbance.objects.values_list(*ends, "cause"),
                "moves": Movement.objects.values_list("item__tag", "from_path", "to_path", "on"),
            }
            found = {name: sorted(map(repr, query)) for name, query in queries.items()}
            raise _Undo
    except _Undo:
        return found


def test_same_seed_same_rows(tables):
    assert rows_of(5) == rows_of(5)
    assert rows_of(5)["tubes"] != rows_of(6)["tubes"]


def test_the_rules_hold(tables):
    counts = make_collection(**SIZES, seed=1, today=TODAY)
    assert (counts["tubes"], counts["chassis"], counts["units"]) == (600, 14, 30)
    assert counts["neutralizations"] + counts["disturbances"] == 120
    assert counts["places"] == Place.objects.count() == 406
    assert counts["fittings"] == Fitting.objects.count() > 0
    assert pairing_table(TODAY)
    assert not Fitting.objects.exclude(position__set_model=F("chassis__model")).exists()
    assert not Fitting.objects.exclude(tube__type=F("position__type")).exists()
    assert not Fitting.objects.filter(Q(since__lt=F("tube__acquired_on")) | Q(since__gt=TODAY)).exists()
    assert not Fitting.objects.filter(until__isnull=True, tube__item__place__isnull=False).exists()
    assert not Fitting.objects.filter(until__isnull=True, tube__item__gone_on__isnull=False).exists()
    assert not Neutralization.objects.filter(chassis__model__neutralizing=SetModel.NONE).exists()
    for row in Neutralization.objects.select_related("unit__model", "chassis"):
        assert row.unit.model.fits.filter(pk=row.chassis.model_id).exists()
    assert not Neutralization.objects.filter(on__gt=TODAY).exists()


def test_every_row_passes_its_own_checks(tables):
    make_collection(tubes=60, chassis=6, units=12, events=40, seed=2, today=TODAY)
    for model in (Place, Item, Tube, Chassis, PlugInUnit, Fitting, Neutralization, Disturbance, Movement):
        for row in model.objects.all():
            row.full_clean()


def test_states_are_mixed_and_most_tubes_are_of_a_type(tables):
    make_collection(**SIZES, seed=1, today=TODAY)
    states = dict(Tube.objects.order_by().values_list("state").annotate(Count("pk")))
    assert set(states) == {"good", "untested", "weak", "dud"}
    assert Tube.objects.filter(type__isnull=True).count() < 30


def command(*arguments):
    out = StringIO()
    small = ("--tubes", "40", "--chassis", "3", "--units", "3", "--events", "6", "--today", "2026-11-25")
    call_command("make_collection", *small, *arguments, stdout=out)
    return out.getvalue()


def test_the_command_loads_the_tables_and_refuses_where_there_are_tubes(db):
    assert json.loads(command("--json"))["made"]["tubes"] == 40
    with pytest.raises(CommandError) as refusal:
        command()
    assert refusal.value.returncode == 2
    assert Tube.objects.count() == 40


def test_added_tags_go_on_from_the_last_ones(db):
    command()
    command("--add", "--seed", "9")
    assert Tube.objects.count() == 80
    assert TagSeries.objects.get(prefix="T").last == 80
    assert Item.objects.filter(tag="T-0080").exists()


@pytest.mark.parametrize(
    ("sizes", "says"),
    [(("--tubes", "-1"), "tubes: -1"), (("--units", "0"), "events: 6"), (("--today", "soon"), "'soon' is no date")],
)
def test_sizes_that_cannot_be_made(db, sizes, says):
    with pytest.raises(CommandError, match=says) as refusal:
        command(*sizes)
    assert refusal.value.returncode == 2
    assert not Tube.objects.exists()


@pytest.mark.parametrize("sizes", [(0, 0, 0, 0), (5, 0, 0, 0), (0, 1, 1, 3), (0, 3, 1, 2)])
def test_small_ones(tables, sizes):
    counts = make_collection(**dict(zip(SIZES, sizes, strict=True)), seed=1, today=TODAY)
    assert tuple(counts[name] for name in ("tubes", "chassis", "units")) == sizes[:3]
    assert counts["neutralizations"] + counts["disturbances"] == sizes[3]
