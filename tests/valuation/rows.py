"""Rows of the valuation area for tests, and what the worlds of other tests hold of it. Names are invented."""

from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from inventory.valuation.models import PriceEvidence
from tests.factories import TubeTypeFactory, days_ago


class EvidenceFactory(DjangoModelFactory):
    class Meta:
        model = PriceEvidence

    on = factory.LazyFunction(lambda: days_ago(30))
    type = factory.SubFactory(TubeTypeFactory)
    designation = factory.LazyAttribute(lambda row: row.type.name if row.type else "ZZ-none")
    grade = "unused"
    venue = "auction"
    currency = "EUR"
    amount = factory.Sequence(lambda n: Decimal(20 + n))


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word = world.word
    world.evidence = EvidenceFactory(type=world.type, designation=word[:80], source=word, note=word, by_whom=word)


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    EvidenceFactory(type=world.type, on=days_ago(10 + number), note=f"{world.count}-{number}")
    EvidenceFactory(on=days_ago(10 + number), currency="USD")


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    row = EvidenceFactory(
        type=fitting.tube.type, premium_pct=Decimal("18.5"), quantity=3, postage=Decimal("4.2"), note="=note"
    )
    row.struck = "twice"
    row.save()
    EvidenceFactory(type=None, set_model=fitting.chassis.model, designation="a set", arms_length="no")
