"""Rows of the sets area for tests, and what the worlds of other tests hold of them. Names are invented."""

import factory
from factory.django import DjangoModelFactory

from inventory.sets.models import StandIn, StandInFitted
from tests.factories import SetModelFactory, days_ago


class StandInFactory(DjangoModelFactory):
    class Meta:
        model = StandIn

    set_model = factory.SubFactory(SetModelFactory)
    part = factory.Sequence(lambda n: f"part {n}")
    instead = "a supply"
    source = "bench book"
    on = factory.LazyFunction(lambda: days_ago(3))


ADDRESSES = {
    "sets:stand-in-add": ("add", "model.pk"),
    "sets:stand-in-change": ("change", "stand_in.pk"),
    "sets:stand-in-strike": ("change", "stand_in.pk"),
    "sets:stand-in-fitted": ("add", "chassis.tag"),
    "sets:stand-in-fitted-change": ("change", "stand_in_fitted.pk"),
    "sets:api-stand-ins": ("view",),
}

#: As ``FORMS`` of ``tests.house.test_forms``.
TRIED = {
    "sets:stand-in-add": (
        {
            "part": "M1 carbon microphone", "instead": "insert with amplifier", "verdict": "serves",
            "general": "carbon-microphone-amplified", "source": "bench book, leaf 3", "on": lambda w: w.today,
        },
        lambda w: StandIn.objects.get(part="M1 carbon microphone").set_model == w.model,
        ("source", ""),
    ),
    "sets:stand-in-change": (
        {
            "part": "M2", "instead": "insert", "verdict": "does not serve", "source": "bench book",
            "on": lambda w: w.today,
        },
        lambda w: StandIn.objects.get(pk=w.stand_in.pk).verdict == StandIn.FAILS,
        ("part", ""),
    ),
    "sets:stand-in-strike": (
        {"why": "of another model"},
        lambda w: StandIn.objects.get(pk=w.stand_in.pk).struck == "of another model",
        ("why", ""),
    ),
    "sets:stand-in-fitted": (
        {
            "stand_in": lambda w: StandInFactory(set_model=w.model).pk, "since": lambda w: w.today,
            "note": "in the old case",
        },
        lambda w: StandInFitted.objects.get(note="in the old case").chassis == w.chassis,
        ("since", ""),
    ),
    "sets:stand-in-fitted-change": (
        {
            "stand_in": lambda w: w.stand_in.pk, "since": lambda w: days_ago(9), "until": lambda w: days_ago(2),
            "note": "out again",
        },
        lambda w: StandInFitted.objects.get(note="out again").until == days_ago(2),
        ("until", lambda w: days_ago(-2)),
    ),
}  # fmt: skip


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word = world.word
    world.stand_in = StandInFactory(
        set_model=world.model, position=world.position, part=word, instead=word, changes=word, caution=word,
        source=word,
    )  # fmt: skip
    world.stand_in_fitted = StandInFitted.objects.create(
        stand_in=world.stand_in, chassis=world.chassis, since=days_ago(9), until=days_ago(1), note=word
    )


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    row = StandInFactory(set_model=world.model, part=f"more {number}")
    StandInFitted.objects.create(stand_in=row, chassis=world.chassis, since=world.today)


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    chassis = fitting.chassis
    word = StandInFactory(set_model=chassis.model, position=fitting.position, part="", changes="=no hum")
    word.instead = "diodes in a base"
    word.save()
    wrong = StandInFactory(set_model=chassis.model, verdict=StandIn.FAILS)
    wrong.struck = "of another model"
    wrong.save()
    StandInFitted.objects.create(stand_in=word, chassis=chassis, since=days_ago(20), until=days_ago(4))
