"""The figures of a made collection: they are what pandas and collections.Counter count of the rows, and every number
opens the list that holds just so many rows.
"""

import html
import json
import random
import re
from collections import Counter
from datetime import date
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.db import transaction
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone

from inventory.figures.queries import figures
from inventory.figures.queries.money import insured, spent
from inventory.figures.queries.years import growth_of_all
from inventory.figures.rules.years import totals
from inventory.figures.wording.leads import tubes_where
from inventory.figures.wording.sections import printed, still
from inventory.figures.wording.told import as_json
from inventory.holdings.actions.mistakes import strike_entry
from inventory.holdings.models import Fact, Item, Loan, Place, Tube
from inventory.holdings.queries.paid import all_paid, paid_for
from inventory.house.printed import Drawing, Rows
from inventory.lists.queries.asked import asked_list
from inventory.lists.queries.out import LISTS
from inventory.running.filters import TestFilter
from inventory.running.queries.verdicts import test_list
from tests import factories as make
from tests.commands import answer_of
from tests.counting import asked
from tests.running.rows import TubeTestFactory
from tests.shared import settled

pytestmark = pytest.mark.django_db
CODES = ["", "1944", "3-44", "44-12", "6C", "Nov 1952", "R5A", "1961"]
MAKERS = [
    "",
    "Ardway",
    "Brill & Söhne: Werk 2",
    "Завод имени Примера",
    "100% Tube Co.",
    *(f"maker {n}" for n in range(20)),
]
CURRENCIES = ["EUR", "USD", ""]


def fill(number, seed=1):
    """``number`` tubes of a few types, makers, codes, places and prices, some fitted, lent or gone; two sets."""
    dice = random.Random(seed)
    hall = make.PlaceFactory(code=f"Hall{seed}", name="Hall of sets")
    shelf = make.PlaceFactory(code=f"S{seed}", parent=hall)
    places = [
        None,
        hall,
        shelf,
        make.PlaceFactory(code=f"B{seed}", parent=shelf),
        make.PlaceFactory(code=f"Loft{seed}"),
    ]
    kinds = [make.TubeTypeFactory(name=name) for name in ("6SN7GT", "807", "5U4G", "ZZ-none")]
    model = make.SetModelFactory()
    positions = [make.PositionFactory(set_model=model, type=kind) for kind in kinds for _ in range(3)]
    chassis = make.ChassisFactory(model=model, place=hall)
    for n in range(number):
        fitted, left = n < len(positions) - 2, dice.random() < 0.1
        tube = make.TubeFactory(
            type=positions[n].type if fitted else dice.choice([*kinds, None]), maker=dice.choice(MAKERS),
            date_code=dice.choice(CODES), state=dice.choice(["good", "untested", "weak", "dud"]),
            place=None if fitted else dice.choice(places),
            acquired_on=date(dice.randint(2015, 2022), 5, 1) if dice.random() < 0.6 else None,
            lent_to="" if fitted or dice.random() < 0.9 else "Nell Farrow",
            gone_on=date(2025, 3, 1) if left and not fitted else None,
        )  # fmt: skip
        if fitted:
            make.FittingFactory(position=positions[n], chassis=chassis, tube=tube)
        for about in ("paid", "insured"):
            price(tube.item, about, dice)
    return chassis


def price(item, about, dice):
    sort = dice.randrange(6)
    said = {"about": about, "item": item, "text": "12", "per": "each", "currency": dice.choice(CURRENCIES)}
    value = Decimal(dice.randint(1, 5000)) / 100
    if sort in (1, 2):
        Fact.objects.create(**said, value=value)
    elif sort == 3:
        Fact.objects.create(**said | {"per": "lot"}, value=value, of_count=4)
    elif sort == 4:
        Fact.objects.create(**said | {"per": "lot"}, value=value)
    elif sort == 5:
        Fact.objects.create(**said, value=None)
    if sort == 2:
        Fact.objects.create(**said | {"currency": "EUR"}, value=value + 1)  # written anew: the last counts
        Fact.objects.create(**said, value=value + 9, struck="a slip of the pen")


@pytest.fixture(scope="module")
def one_house(django_db_setup, django_db_blocker):
    """The made collection, once for the tests of this file; each of them is rolled back to it."""
    with django_db_blocker.unblock(), transaction.atomic():
        fill(60)
        TubeTestFactory()
        yield settled(True)
        transaction.set_rollback(True)


@pytest.fixture
def house(one_house, db):
    """The made collection, with what a test adds to it."""


def opened(address):
    """How many rows the list of an address holds, by the filters of its page."""
    path, _, query = address.partition("?")
    if path == reverse("running:test-list"):
        return TestFilter(QueryDict(query), queryset=test_list()).qs.count()
    (one,) = (one for one in LISTS.values() if one.page and reverse(one.page) == path)
    return asked_list(one, QueryDict(query)).found.count()


def test_every_number_opens_the_list_of_just_so_many(house):
    leads = list(all_leads(as_json(figures(timezone.localdate()))))
    assert len(leads) > 60
    for count, address in leads:
        assert opened(address) == count, address


def test_a_list_that_was_opened_says_what_it_is(house, as_keeper):
    found = figures(timezone.localdate())
    maker, year = found.tubes[3], next(one for one in found.growth.years if one.still)
    others = next(one for one in maker.drawn if one.gathered)
    for address, count, words in (
        (tubes_where(others.where), others.count, f"Maker: all but {others.where[0][1].partition(':')[2]}"),
        (still(year)[0].address, still(year)[0].count, f"Came: acquired in {year.year}"),
    ):
        page = as_keeper.get(address)
        assert page.context["listed"].page.paginator.count == count > 0
        assert words in html.unescape(page.content.decode())


def all_leads(told):
    """Every count that stands beside an address, wherever it is."""
    if isinstance(told, list):
        for one in told:
            yield from all_leads(one)
    elif isinstance(told, dict):
        if told.get("list"):
            yield told.get("count", told.get("tests")), told["list"]
        for one in told.values():
            yield from all_leads(one)


def test_parts_add_up_to_the_tubes_that_are_here(house):
    found = figures(timezone.localdate())
    here = Tube.objects.filter(item__gone_on__isnull=True).count()
    assert {one.total for one in found.tubes} == {here} == {found.all_tubes}
    for one in found.tubes:
        assert sum(part.count for part in one.drawn) == here
    inside = figures(timezone.localdate(), within=Place.objects.get(code="Hall1")).tubes[-1]
    whole = next(part for part in found.tubes[-1].parts if part.name.startswith("Hall"))
    assert inside.total == whole.count


def test_counts_are_those_of_counter(house):
    rows = list(Tube.objects.filter(item__gone_on__isnull=True).values("state", "maker", "date_code"))
    state, _, decade, maker, _ = figures(timezone.localdate()).tubes
    assert {one.name: one.count for one in state.parts} == Counter(row["state"] for row in rows)
    makers = Counter(row["maker"] or "no maker given" for row in rows)
    assert {one.name: one.count for one in maker.parts} == makers
    of_code = {
        "1944": "1940s",
        "3-44": "1940s",
        "44-12": "1940s",
        "Nov 1952": "1950s",
        "1961": "1960s",
        "": "no date code",
    }
    decades = Counter(of_code.get(row["date_code"], "a date code that tells no year") for row in rows)
    assert {one.name: one.count for one in decade.parts} == decades


def test_money_is_what_pandas_adds_up(house):
    pandas = pytest.importorskip("pandas")
    facts = Fact.objects.filter(about="paid", struck="", value__isnull=False).exclude(per="lot", of_count=None)
    rows = [(one.currency, one.item.tube.acquired_on, one.value / (one.of_count or 1)) for one in facts]
    frame = pandas.DataFrame(rows, columns=["code", "on", "each"])
    frame["year"] = [on.year if on else 0 for on in frame["on"]]
    wanted = frame.groupby(["code", "year"])["each"].agg(["sum", "count"])
    found = {(one.currency, one.of or 0): (one.amount, one.prices) for one in figures(timezone.localdate()).spent.lines}
    assert found.keys() == set(wanted.index)
    for key, (amount, prices) in found.items():
        assert abs(amount - wanted.loc[key, "sum"]) < Decimal("0.000001") and prices == wanted.loc[key, "count"]


def test_what_was_paid_is_what_the_list_adds_up(house):
    """The groups of the list of tubes; of what has left there is none in it."""
    of_list = all_paid(paid_for(Tube.objects.all(), "state").values())
    found = figures(timezone.localdate()).spent
    whole = totals(found.lines)
    assert whole.keys() == of_list.sums.keys()
    assert all(abs(whole[code] - of_list.sums[code]) < Decimal("0.000001") for code in whole)
    not_in = {one.reason: one.prices for one in found.not_in}
    assert (not_in["unread"], not_in["unsaid"]) == (of_list.left["not read"], of_list.left["not said for how many"])


def test_what_is_in_no_sum_is_told_with_its_reason(house):
    found = figures(timezone.localdate()).spent
    prices = sum(one.prices for one in found.lines) + sum(one.prices for one in found.not_in)
    assert prices == Fact.objects.filter(about="paid", struck="").count()
    bare = next(one for one in found.not_in if one.reason == "unwritten")
    assert bare.things == Item.objects.exclude(facts__about="paid").exclude(kind=Item.PARTS).count()


def test_a_thing_is_insured_for_what_was_entered_last(house):
    last = {}
    for one in Fact.objects.filter(about="insured", struck="", value__isnull=False, item__gone_on=None).order_by("pk"):
        if one.per != "lot" or one.of_count:
            last[one.item_id] = (one.currency, one.value / (one.of_count or 1))
    whole = Counter()
    for code, value in last.values():
        whole[code] += value
    found = totals(figures(timezone.localdate()).insured.lines)
    assert found.keys() == whole.keys()
    assert all(abs(found[code] - whole[code]) < Decimal("0.000001") for code in found)


def test_insured_values_are_summed_over_all_that_lies_below(house):
    hall = Place.objects.get(code="Hall1")
    of_hall = [one for one in figures(timezone.localdate()).insured.lines if one.of == hall.pk]
    inside = figures(timezone.localdate(), within=hall).insured.lines
    for one in of_hall:
        below = sum(line.amount for line in inside if line.currency == one.currency)
        assert abs(below - one.amount) < Decimal("0.000001")
    assert of_hall


def test_growth_ends_with_what_is_here(house):
    found = figures(timezone.localdate()).growth
    assert found.here == Item.objects.filter(gone_on__isnull=True).count() == found.years[-1].here
    assert found.left == Item.objects.filter(gone_on__isnull=False).count()


def test_page_command_and_api_are_one(house, as_keeper):
    today = timezone.localdate()
    told = json.loads(json.dumps(as_json(figures(today, enough=3))))
    assert answer_of("figures", "--few", "3") == (told, "")
    assert as_keeper.get(reverse("figures:api-figures"), {"few": 3}).json() == told
    assert as_keeper.get(reverse("figures:figures"), {"few": 3}).context["found"] == figures(today, enough=3)


def test_every_drawing_stands_above_a_table_with_its_numbers(house):
    for section in printed(figures(timezone.localdate())).sections:
        drawings = [block for block in section.blocks if isinstance(block, Drawing)]
        rows = [cell.words for block in section.blocks if isinstance(block, Rows) for row in block.rows for cell in row]
        assert drawings, section.title
        for drawing in drawings:
            assert drawing.bars.title and drawing.bars.label
            for bar in drawing.bars.rows:
                figure = re.match(r"[\d,.]+", bar.told)[0]
                assert any(figure in words for words in rows), (section.title, bar.words)


def test_a_visitor_sees_no_money(house, as_visitor, as_helper):
    page, told = as_visitor.get(reverse("figures:figures")), as_visitor.get(reverse("figures:api-figures")).json()
    assert "Paid" not in page.content.decode() and "Insured" not in page.content.decode()
    assert "spent" not in told and "insured" not in told
    assert "Paid, year by year" in as_helper.get(reverse("figures:figures")).content.decode()


def test_the_command_tells_people(house, capsys):
    call_command("figures")
    told = capsys.readouterr().out
    assert "By maker:" in told and "Fewer than 2 good" in told


@pytest.mark.growth
def test_twice_the_tubes_take_no_more_questions(house, as_keeper):
    TubeTestFactory()
    before = asked(as_keeper, reverse("figures:figures"))
    for number in range(2):
        fill(30, seed=2 + number)
    assert asked(as_keeper, reverse("figures:figures")) == before


def test_what_never_was_and_what_is_borrowed_add_up_to_nothing(keeper, today):
    """An entry that is struck out neither came nor left, nor was it bought; its owner insures what is here on loan."""
    tubes = [make.TubeFactory() for _ in range(3)]
    for tube in tubes:
        for about in ("paid", "insured"):
            Fact.objects.create(item=tube.item, about=about, text="30 USD", value=30, currency="USD", per="each")

    def sums():
        return [sum(one.amount for one in found.lines) for found in (spent(), insured())]

    before, (paid, covered) = growth_of_all(), sums()
    strike_entry(tubes[0].item, by=keeper, why="it is T-2 once more")
    Loan.objects.create(item=tubes[1].item, way=Loan.IN, who="Marrow museum", since=today)
    after = growth_of_all()
    assert (after.here, after.left) == (before.here - 1, before.left)
    assert sums() == [paid - 30, covered - 60]


def test_what_lies_directly_in_a_place_opens_no_more_than_that(as_keeper):
    hall = make.PlaceFactory(code="Hall")
    box = make.PlaceFactory(code="Box", parent=hall)
    for place, many in ((hall, 2), (box, 3)):
        for _ in range(many):
            tube = make.TubeFactory(place=place)
            Fact.objects.create(item=tube.item, about="insured", text="50 USD", value=50, currency="USD", per="each")
    told = as_json(figures(timezone.localdate(), within=hall))["insured"]["by_place"]
    opened = {one["place"]: one["here"][0]["list"] for one in told}
    for path, many in (("Hall", 2), ("Hall / Box", 3)):
        assert as_keeper.get(opened[path]).context["page"].paginator.count == many
