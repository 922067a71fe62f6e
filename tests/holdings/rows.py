"""Rows of loans for tests, and what the worlds of other tests hold of them. Names are invented."""

from datetime import timedelta

import factory
from factory.django import DjangoModelFactory

from inventory.holdings.actions.said import CAME, LEFT, state_said
from inventory.holdings.models import (
    ConditionCheck,
    Fact,
    HazardCheck,
    HazardMark,
    Item,
    KeptView,
    Loan,
    PartType,
    Tube,
)
from inventory.holdings.queries.record import came, left
from tests.factories import TubeFactory, days_ago
from tests.holdings.parts import lot_of


class LoanFactory(DjangoModelFactory):
    """A tube that is lent out and should be back."""

    class Meta:
        model = Loan

    class Params:
        tube = factory.SubFactory(TubeFactory, lent_to="R. Oddsworth")

    item = factory.SelfAttribute("tube.item")
    who = "R. Oddsworth"
    since = factory.LazyFunction(lambda: days_ago(40))
    due = factory.LazyFunction(lambda: days_ago(10))


ADDRESSES = {
    "holdings:loan-list": ("view",),
    "holdings:loan": ("view", "loan.pk"),
    "holdings:loan-change": ("change", "loan.pk"),
    "holdings:loan-give-back": ("change", "borrowed.pk"),
    "holdings:item-borrow": ("change", "tube.tag"),
    "holdings:part-types": ("view",),
    "holdings:part-type-add": ("add",),
    "holdings:part-type-change": ("change", "part_type.pk"),
    "holdings:part-read": ("change",),
    "holdings:part-find": ("view",),
    "holdings:api-find-part": ("view",),
    "holdings:part-stand-ins": ("view",),
    "holdings:api-parts": ("view",),
    "holdings:api-hazards": ("view",),
    "holdings:hazard-list": ("view",),
    "holdings:hazard-print": ("view",),
    "holdings:item-hazard-check": ("add", "tube.tag"),
    "holdings:place-hazard-check": ("add", "place.pk"),
    "holdings:hazard-check": ("view", "looked.pk"),
    "holdings:hazard-check-change": ("change", "looked.pk"),
    "holdings:hazard-check-strike": ("change", "looked.pk"),
    "holdings:item-came": ("change", "tube.tag"),
    "holdings:item-left": ("change", "left_tube.tag"),
    "holdings:condition-add": ("add", "tube.tag"),
    "holdings:condition-change": ("change", "condition.pk"),
    "holdings:condition-strike": ("change", "condition.pk"),
    "holdings:api-record": ("view", "tube.tag"),
    "holdings:stamp-photo": ("add",),
    "holdings:label-scan": ("view",),
    "holdings:view-keep": ("add",),
    "holdings:view-drop": ("add", "kept_view.pk"),
}
POST_ONLY = ("holdings:part-read", "holdings:view-keep", "holdings:view-drop")
FILES = ("holdings:hazard-print",)
QUERIES = {"holdings:part-find": "part=1 mfd bypass", "holdings:api-find-part": "part=1 mfd bypass"}

#: As ``FORMS`` of ``tests.house.test_forms``.
TRIED = {
    "holdings:part-type-add": (
        {"kind": "resistor", "value_text": "270 kohm", "watts": "1"},
        lambda w: PartType.objects.get(kind="resistor").value == 270_000,
        ("value_text", "270"),
    ),
    "holdings:part-type-change": (
        {"kind": "crystal", "value_text": "3885 kc"},
        lambda w: PartType.objects.get(pk=w.part_type.pk).kind == "crystal",
        ("value_text", "3885 mfd"),
    ),
    "holdings:item-hazard-check": (
        {"how": "lids off", "on": lambda w: w.today},
        lambda w: w.tube.item.hazard_checks.count() == 2,
        ("how", " "),
    ),
    "holdings:place-hazard-check": (
        {"how": "counter at background", "hazard": "radium", "on": lambda w: w.today},
        lambda w: HazardCheck.objects.get(hazard="radium").where == w.place.path,
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "holdings:hazard-check-change": (
        {"how": "lids off", "on": lambda w: w.today, "reason": "another lid", "without": lambda w: w.tube.tag},
        lambda w: list(HazardCheck.objects.get(pk=w.looked.pk).things.all()) == [w.lot_item],
        ("without", "T-9999"),
    ),
    "holdings:hazard-check-strike": (
        {"why": "nobody looked"},
        lambda w: HazardCheck.objects.get(pk=w.looked.pk).struck == "nobody looked",
        ("why", " "),
    ),
    "holdings:item-came": (
        {"how": "bought at Ebb Street", "when": "before 1990", "seen": lambda w: _seen(w, "holdings:item-came")},
        lambda w: (
            Item.objects.get(pk=w.tube.pk).tube.acquired_how == "bought at Ebb Street"
            and Fact.objects.get(item=w.tube.pk, about="acquired").words == "before 1990-01-01"
        ),
        ("when", "tomorrow or so"),
    ),
    "holdings:item-left": (
        {"authority": "the keeper", "proceeds": "30 USD", "seen": lambda w: _seen(w, "holdings:item-left")},
        lambda w: Fact.objects.get(item=w.left_tube.pk, about="proceeds").value == 30,
        ("proceeds", "30"),
    ),
    "holdings:condition-add": (
        {"state": "base loose", "by_whom": "I. Crane", "on": lambda w: w.today, "lacking": "top cap"},
        lambda w: ConditionCheck.objects.get(item=w.tube.pk, state="base loose").complete == "incomplete",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "holdings:condition-change": (
        {"state": "base tight", "by_whom": "I. Crane", "on": lambda w: w.today, "reason": "looked again"},
        lambda w: ConditionCheck.objects.get(pk=w.condition.pk).state == "base tight",
        ("look_again", lambda w: w.today),
    ),
    "holdings:condition-strike": (
        {"why": "of another tube"},
        lambda w: ConditionCheck.objects.get(pk=w.condition.pk).struck == "of another tube",
        ("why", " "),
    ),
    "holdings:loan-change": (
        {"who": "R. Oddsworth", "since": lambda w: w.today, "due": lambda w: w.today + timedelta(days=60)},
        lambda w: Item.objects.get(pk=w.loan.item_id).lent_to == "R. Oddsworth",
        ("due", lambda w: w.today - timedelta(days=1)),
    ),
    "holdings:loan-give-back": (
        {"on": lambda w: w.today, "condition": "as it came"},
        lambda w: Item.objects.get(pk=w.borrowed.item_id).gone_how.startswith("given back to"),
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "holdings:stamp-photo": (
        {
            "take": "1",
            "rows": "1",
            "row0-marked": "ZZ5-MIL",
            "row0-shown": "ZZ5-MIL",
            "row0-take": "on",
            "state": "good",
        },
        lambda w: [t.type for t in Tube.objects.filter(marked="ZZ5-MIL")] == [w.type],
        ("state", "shining"),
    ),
    "holdings:item-borrow": (
        {
            "why": "given to the club",
            "who": "Ebb Street radio club",
            "since": lambda w: w.today,
            "condition": "base loose",
        },
        lambda w: Loan.objects.get(item=w.tube.item).way == Loan.IN,
        ("since", lambda w: w.today + timedelta(days=1)),
    ),
}


def _seen(world, name):
    """The state that a form showed, as it carries it."""
    tube, of, names = (world.tube, came, CAME) if name.endswith("came") else (world.left_tube, left, LEFT)
    return state_said(of(tube.item), names)


def condition_of(item, **said):
    """How a thing was found."""
    told = {"on": days_ago(5), "by_whom": "I. Crane", "state": "base loose", "look_again": days_ago(-200)} | said
    return ConditionCheck.objects.create(item=item, **told)


def check_of(*things, **said):
    """A check of things that found no hazard."""
    row = HazardCheck.objects.create(**({"on": days_ago(5), "how": "lids off", "by_whom": "I. Crane"} | said))
    row.things.set(things)
    return row


def in_the_world(world):
    """A loan each way with the world's word, as ``tests.house.world`` keeps them; a check that found no hazard."""
    world.looked = check_of(world.tube.item, world.lot_item, how=world.word, note=world.word, by_whom=world.word[:80])
    world.condition = condition_of(world.tube.item, state=world.word, lacking=world.word[:200], note=world.word)
    world.left_tube = TubeFactory(type=world.type, item__gone_on=days_ago(3), item__gone_how=world.word)
    said = {"who": world.word, "terms": world.word, "condition": world.word, "note": world.word}
    world.kept_view = KeptView.objects.create(of_list="tubes", name=world.word[:60], query="state=good", shared=True)
    words = {"type": world.type, "marked": world.word}
    world.loan = LoanFactory(tube=TubeFactory(lent_to=world.word, **words), **said)
    world.borrowed = LoanFactory(tube=TubeFactory(**words), way=Loan.IN, **said)


def grow(world, number):
    """Another loan each way, one that is over, a thing that is lent without one; lots of a kind of part and without."""
    lot_of(value=10_000.0 + number, place=world.place)
    check_of(world.tube.item, TubeFactory(type=world.type).item, how=f"{number}")
    HazardMark.objects.create(item=lot_of(value=8e6, volts=1050).item, hazard="PCB oil", on=world.today)
    lot_of(value=1e6, volts=100.0 + number)
    lot_of(value=1e6 + number, about={"type": None, "value": "1 mfd"})
    for of_list in ("tubes", "parts", "chassis", "units"):
        KeptView.objects.create(of_list=of_list, name=f"{world.count}-{number}", query="order=tag", shared=True)
    condition_of(world.tube.item, state=f"{number}", look_again=days_ago(number))
    condition_of(TubeFactory(type=world.type).item, look_again=days_ago(number))
    LoanFactory(tube__type=world.type)
    LoanFactory(tube=TubeFactory(type=world.type), way=Loan.IN, due=days_ago(-3))
    LoanFactory(tube=TubeFactory(type=world.type), ended=days_ago(number))
    TubeFactory(type=world.type, lent_to="R. Oddsworth")


def in_the_archive(fitting):
    """A loan that was changed, for the test of the archive."""
    row = LoanFactory(condition="one pin bent")
    row.due = None
    row.save()
    LoanFactory(tube=TubeFactory(), way=Loan.IN, ended=days_ago(1), condition_back="as it came")
    check_of(row.item, hazard="radium")
    condition_of(row.item, hazard="mercury", complete="incomplete", lacking="top cap")
    KeptView.objects.create(of_list="tubes", name="by price", query="order=-price-paid", shared=True)
