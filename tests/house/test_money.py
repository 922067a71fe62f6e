"""No figure of money that is the house's own reaches a visitor by any address; whoever helps or keeps sees it."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import let_go, part_with
from inventory.holdings.models import Fact, Item, Want
from inventory.house.access import add_person
from inventory.house.lists_out import column_key
from inventory.house.money import Money
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import LISTS
from inventory.sets.models import MatedPart
from inventory.valuation.actions.lots import sell_lot
from inventory.valuation.queries.lots import kept_sale
from inventory.valuation.wording.papers.lots import lots_printed
from tests import factories as make
from tests.house.world import ADDRESSES, OPEN, POST_ONLY, VIEW
from tests.lists.test_coming_back import brought_back, edit, taken_out
from tests.pages import printed_text
from tests.valuation.rows import SaleLotFactory

pytestmark = pytest.mark.django_db

#: What each sort of amount is, in figures that nothing else bears.
PAID, ASKED, INSURED, LIST, LOT, PROCEEDS, LENT, MATED, TOP = (
    "4711", "5813", "6917", "8923", "2837", "3719", "7243", "9137", "7919"
)  # fmt: skip
ALL = {PAID, ASKED, INSURED, LIST, LOT, PROCEEDS, LENT, MATED, TOP}
#: Of one type of which nobody else sold any: the estimate is what was paid.
TYPE = "ZZ9"


def _told(answer):
    """What an answer says, without the marks between digits; of what is packed (PDF, pictures) nothing."""
    if not answer["Content-Type"].startswith(("text/", "application/json", "application/javascript")):
        return ""
    raw = b"".join(answer.streaming_content) if answer.streaming else answer.content
    text = raw.decode(errors="replace")
    return text.replace(",", "").replace("\u00a0", "").replace("\u202f", "")


def _seen(client, addresses):
    """Which figures stand at which addresses; a page that is not answered fails."""
    found = {}
    for address in addresses:
        answer = client.get(address)
        assert answer.status_code in (200, 302), (address, answer.status_code)
        text = re.sub(r'account"?[=:] ?"[^"]*"', "", _told(answer))  # letters and figures drawn for an account
        for figure in ALL:
            if figure in text:
                found.setdefault(figure, []).append(address)
    return found


@pytest.fixture
def dear(world, as_keeper, keeper):
    """The world with amounts in it: a thing with all of its prices, sales of every sort, wants, a list come back."""
    today = timezone.localdate()
    kind = make.TubeTypeFactory(name=TYPE)
    tube = make.TubeFactory(type=kind, marked=TYPE, maker="Tidewell", place=world.place, acquired_on=make.days_ago(90))
    for about, text in (("paid", PAID), ("asked", ASKED), ("insured", INSURED)):
        Fact.objects.create(item=tube.item, about=about, text=f"{text} USD", value=text, currency="USD", per="each")
    shelf = {"type": kind, "marked": TYPE, "place": world.place}
    in_lot, parted, lent, spare = (make.TubeFactory(**shelf) for _ in range(4))
    lot = SaleLotFactory(sale=world.sale, number=77, title="a tube", things=[in_lot.item])
    sell_lot(lot, Money(Decimal(LOT), "USD"), on=today, venue="the quay", by=keeper, why="asked for", today=today)
    part_with(parted.item, "sold", on=today, by=keeper, why="asked for", record={"proceeds": f"{PROCEEDS} USD"})
    Item.objects.filter(pk=lent.item.pk).update(lent_to="Ada Holm", lent_on=make.days_ago(9))
    let_go(lent.item, f"sold for {LENT} USD", on=today, by=keeper)
    mate = make.CompanionFactory(kind=world.kind, place=world.place)
    MatedPart.objects.create(mated_set=world.mated, name="coil 2", item=mate.item, number="2")
    let_go(mate.item, f"sold for {MATED} USD", on=today, by=keeper)
    for thing, of in ((TYPE, kind), ("a dial lamp", None)):
        Want.objects.create(thing=thing, type=of, currency="USD", top_price=Decimal(TOP), since=today)
    make.PositionFactory(set_model=world.model, mark="Q9", type=kind)
    rows = edit(taken_out(as_keeper), tube.tag, Price_paid=f"{LIST} USD")
    brought_back(rows, by=keeper)
    world.returned = ImportRun.objects.latest("pk")
    world.gone = [in_lot.item, parted.item, lent.item, mate.item, tube.item, spare.item]
    return world


def _addresses(world):
    """All that a visitor may open, in this world, and what may be asked of it."""
    names = [name for name, (needed, *_) in ADDRESSES.items() if needed in (OPEN, VIEW) and name not in POST_ONLY]
    found = [world.address(name) for name in names if name not in ("logout", "login")]
    for item in world.gone:
        item = Item.objects.get(pk=item.pk)
        found += [item.get_absolute_url(), reverse("holdings:api-record", args=[item.tag])]
    for one in LISTS.values():
        found.append(reverse("lists:list-out", args=[one.name]))
        if one.page:
            shown = [column_key(name) for name in one.headings if column_key(name) not in one.of_money]
            found += [f"{reverse(one.page)}?columns={','.join(shown)}"]
    of, budget = f"of={TYPE}&currency=USD", "budget=99999+USD&hours=5000"
    found += [
        f"{reverse('frontpage:pocket')}?q={TYPE}", f"{reverse('frontpage:pocket')}?q={TYPE}&price=100+USD",
        f"{reverse('frontpage:pocket')}?q=a+dial+lamp", f"{reverse('frontpage:pocket-copy')}?file=on",
        f"{reverse('frontpage:pocket-copy')}?file=on&places=on", f"{reverse('frontpage:look-up')}?q={TYPE}",
        f"{reverse('valuation:estimate')}?{of}", f"{reverse('valuation:api-estimate')}?{of}",
        f"{reverse('valuation:api-top-price')}?{of}", reverse("tubes:type", args=[TYPE]),
        f"{reverse('holdings:want-list')}?settled=yes", reverse("lists:list-in", args=[world.returned.pk]),
        f"{reverse('restoration:set-spares', args=[world.chassis.tag])}?{budget}",
        f"{reverse('restoration:set-spares', args=[world.chassis.tag])}?{budget}&gaps_first=on",
        f"{reverse('restoration:api-buying-order')}?name={world.chassis.tag}&{budget}",
        f"{reverse('restoration:api-buying-order')}?name={world.chassis.tag}&{budget}&gaps_first=yes",
    ]  # fmt: skip
    return list(dict.fromkeys(found))


def test_no_address_tells_a_visitor_what_the_house_paid_or_got(dear, as_keeper):
    addresses = _addresses(dear)
    visitor = Client()
    visitor.force_login(add_person("looks", "visitor", None))
    assert _seen(visitor, addresses) == {}
    assert _seen(as_keeper, addresses).keys() == ALL
    copy = reverse("frontpage:pocket-copy")
    for_strangers = _seen(as_keeper, [f"{copy}?file=on&openly=on"])
    assert _seen(as_keeper, [f"{copy}?file=on"]) and not for_strangers
    for money in (True, False):
        printed = lots_printed(kept_sale(dear.sale, bidders=True, money=money))  # as the PDF has it
        assert (LOT in printed_text(printed).replace(",", "")) is money


@pytest.mark.parametrize("name", ["moves", "loans", "history"])
def test_what_left_is_filed_by_its_way_alone(name, keeper):
    """A move, a loan that ended and a reason of change are shown to everybody: what a thing fetched is not in them."""
    tube = make.TubeFactory(place=make.PlaceFactory(), lent_to="Ada Holm", item__lent_on=date(2020, 1, 1))
    let_go(tube.item, "sold for 4711 USD to a friend", on=timezone.localdate(), by=keeper)
    item = Item.objects.get(pk=tube.item.pk)
    told = {
        "moves": [one.reason for one in item.movements.all()],
        "loans": [one.condition_back for one in item.loans.all()],
        "history": [item.history.latest().history_change_reason],
    }[name]
    assert told and not any("4711" in one for one in told) and any("sold" in one for one in told)
    assert item.gone_how == "sold for 4711 USD to a friend" and item.gone_way == "sold"
