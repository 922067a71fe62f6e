"""Sale lists: what is offered and what is left out, kept sales, a lot that is sold and what that tells of prices."""

import io
import json
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import Item
from inventory.house.money import Money
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.actions.lots import correct_sold, end_lot, keep_sale, sell_lot, strike_lot
from inventory.valuation.models import LotSale, SaleLot
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.lots import NO_FORCED_SALE, kept_sale, proposed
from inventory.valuation.queries.sales import Of, own_sales
from inventory.valuation.queries.stated import stated_of
from inventory.valuation.wording.papers.common import meaning
from inventory.valuation.wording.papers.lots import lots_printed
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
    days_ago,
)
from tests.pages import page_text, seen_at
from tests.pages import printed_text as texts
from tests.running.rows import TubeTestFactory
from tests.valuation.rows import PromiseFactory, SaleLotFactory
from tests.valuation.test_schedule import sales, valued

pytestmark = pytest.mark.django_db


def offered(**said):
    return proposed(valued(basis="fair-market"), timezone.localdate(), **{"spares": 0} | said)


def keep(name="Autumn sale", **said):
    return keep_sale(LotSale(name=name), offered(**said), by=None)


def sold(lot, price, currency="EUR", **said):
    today = timezone.localdate()
    return sell_lot(
        lot, Money(Decimal(price), currency), **{"on": today, "venue": "the quay", "by": None, "today": today} | said
    )


def a_set():
    """A set that is worth 200 with a tube in a position and a unit in a bay."""
    fitting = FittingFactory(until=None)
    seating = SeatingFactory(chassis=fitting.chassis, bay__set_model=fitting.chassis.model, until=None)
    sales(None, 200, set_model=fitting.chassis.model, designation="whole", grade="used untested")
    return fitting, seating


def test_lots_have_values_reserves_and_a_seller():
    kind = TubeTypeFactory(name="ZZ-lot")
    sales(kind, 40, venue="private")
    for _ in range(5):
        TubeFactory(type=kind, state="good")
    found = offered(size=3, share=Decimal(75), seller="R 4", commission=Decimal(15))
    assert [(lot.number, lot.title, lot.value, lot.reserve) for lot in found.lots] == [
        (1, "3 × ZZ-lot, used tested good", 120, 90), (2, "2 × ZZ-lot, used tested good", 80, 60),
    ]  # fmt: skip
    assert (found.reserves, found.after_commission) == (150, Decimal("127.5"))
    assert found.lots[0].forced is None  # no sale tells it: the same figure again would claim that it is equal
    assert found.market == f"Tubes: {NO_FORCED_SALE}"


def test_a_set_is_one_lot_with_what_stands_in_it():
    fitting, seating = a_set()
    (lot,) = offered().lots
    assert lot.tags == (fitting.chassis.tag, seating.unit.tag, fitting.tube.tag)
    assert lot.value == 200 and "with 1 plug-in unit, 1 tube" in lot.title


def test_what_is_promised_lent_offered_or_needed_is_left_out_with_the_reason():
    kind = TubeTypeFactory(name="ZZ-left")
    promised, lent, free = (TubeFactory(type=kind, state="good") for _ in range(3))
    PromiseFactory(item=promised.item)
    lend(lent.item, "the club", on=timezone.localdate(), by=None)
    told = dict(offered().left_out)
    assert told == {
        f"ZZ-left {promised.tag}": "is promised to Orla Finch", f"ZZ-left {lent.tag}": "is lent to the club",
    }  # fmt: skip
    keep()
    assert dict(offered().left_out)[f"ZZ-left {free.tag}"] == "is in lot 1 of Autumn sale"


def test_a_spare_that_a_set_which_stays_may_need_is_kept():
    fitting = FittingFactory(until=None)
    PromiseFactory(item=fitting.chassis.item)
    spare, other = (TubeFactory(type=fitting.position.type, state="good") for _ in range(2))
    why = {what.split()[-1]: words for what, words in offered(spares=1).left_out}
    assert why[spare.tag] == f"kept as a spare for {fitting.position.mark} of {fitting.chassis.tag}"
    assert why[fitting.tube.tag] == f"belongs with {fitting.chassis.tag}, which is promised to Orla Finch"
    assert other.tag not in why


def test_a_unit_goes_with_the_set_whose_number_it_bears_and_else_somebody_says_with_which():
    model = UnitModelFactory(fits=[(set_model := SetModelFactory(neutralizing="unit"))])
    PositionFactory(set_model=set_model, neutralized=True)
    one, other = (ChassisFactory(model=set_model, serial=serial) for serial in ("501", "502"))
    mated, shared = PlugInUnitFactory(model=model, serial="501"), PlugInUnitFactory(model=model, serial="903")
    for chassis in (one, other):
        NeutralizationFactory(chassis=chassis, unit=shared, setting="42")
    found = offered()
    assert {lot.tags for lot in found.lots} == {(one.tag, mated.tag), (other.tag,)}
    ((what, why),) = found.left_out
    assert shared.tag in what and why == f"goes with {one.tag}, {other.tag}: say with which"


def test_a_unit_that_is_valued_with_its_set_is_not_sold_alone_unasked():
    """Its plate bears the number of a set that is promised; it never was neutralized, so nothing else ties them."""
    model = UnitModelFactory(fits=[set_model := SetModelFactory(neutralizing="unit")])
    whole = ChassisFactory(model=set_model, serial="501")
    unit = PlugInUnitFactory(model=model, serial="501")
    PromiseFactory(item=whole.item)
    lot = SaleLotFactory(things=[unit.item])
    with pytest.raises(ValidationError, match=f"{unit.tag} with {whole.tag}.*is promised to Orla Finch"):
        sold(lot, "80")
    assert not sold(lot, "80", why="she asked for the set alone").struck


def test_a_sold_set_leaves_with_all_that_is_in_it_and_its_price_is_evidence():
    fitting, seating = a_set()
    sold(keep().lots.get(), "250")
    gone = {item.tag: item.gone_how for item in Item.objects.filter(gone_on__isnull=False)}
    assert gone == {
        fitting.chassis.tag: "sold for 250.00 EUR at the quay, lot 1",
        fitting.tube.tag: "sold with its set at the quay, lot 1",
        seating.unit.tag: "sold with its set at the quay, lot 1",
    }  # fmt: skip
    fitting.refresh_from_db()
    assert fitting.until == timezone.localdate()
    (own,) = own_sales()
    assert (own.set_model, str(own.each)) == (fitting.chassis.model.name, "250.00 EUR")
    lot = SaleLot.objects.get()
    assert (lot.state, lot.price, lot.venue) == ("sold", Money(Decimal(250), "EUR"), "the quay")


def test_a_price_is_shared_among_tubes_and_each_share_is_read_again():
    kind = TubeTypeFactory()
    sales(kind, 40)
    for _ in range(3):
        TubeFactory(type=kind, state="good")
    sold(keep().lots.get(), "100", why="they are the last of it")
    gone = Item.objects.filter(gone_on__isnull=False).values_list("gone_how", flat=True)
    assert sorted(how.split(",")[0] for how in gone) == [
        "sold for 33.33 EUR", "sold for 33.33 EUR", "sold for 33.34 EUR",
    ]  # fmt: skip
    (sale,) = own_sales()  # one price, so one sale of three: three comparables would claim what nobody saw
    assert (str(sale.money), sale.quantity, sale.grade) == ("100.00 EUR", 3, "used tested good")
    assert own_sales(Of(types={kind.name})) == [sale] and own_sales(Of(types={"ZZ-none"})) == []
    found = estimate(kind.name, on=timezone.localdate(), grade="used tested good")
    assert len(found.comparables) == 2


def test_shares_by_our_own_values_are_told_and_are_no_evidence():
    one, other = TubeTypeFactory(name="ZZ-one"), TubeTypeFactory(name="ZZ-two")
    sales(one, 10)
    sales(other, 30)
    tubes = [TubeFactory(type=kind, state="good") for kind in (one, other)]
    lot = SaleLotFactory(things=[tube.item for tube in tubes])
    for amount, tube in zip((10, 30), tubes, strict=True):
        lot.things.filter(item=tube.item).update(amount=amount)
    sold(lot, "80", why="a change of plan")
    found = estimate(one.name, on=timezone.localdate(), grade="used tested good")
    assert len(found.comparables) == 1
    ((sale, why),) = found.left_out
    assert (str(sale.each), why) == ("20.00 EUR", "its share of one price for unlike things, by our own values")


def test_a_set_without_evidence_that_is_sold_complete_is_its_first():
    """The tube in it has evidence, the set none: the price is that of the set, and not of set and tube."""
    kind = TubeTypeFactory()
    sales(kind, 30)
    fitting = FittingFactory(until=None, tube__type=kind, tube__state="good")
    sold(keep().lots.get(), "250")
    (own,) = own_sales()
    assert (own.set_model, str(own.each), own.quantity) == (fitting.chassis.model.name, "250.00 EUR", 1)
    assert Item.objects.get(pk=fitting.tube.pk).gone_how == "sold with its set at the quay, lot 1"


def test_what_has_no_price_of_its_own_leaves_without_a_share():
    tubes = [TubeFactory(type=TubeTypeFactory(name=name), state="dud") for name in ("ZZ-one", "ZZ-two")]
    sold(keep().lots.get(), "4")
    assert own_sales() == []
    assert Item.objects.get(pk=tubes[0].pk).gone_how == "sold in one price with others at the quay, lot 1"


def test_nothing_of_a_lot_leaves_where_one_thing_cannot():
    kind = TubeTypeFactory()
    sales(kind, 40)
    one, other = (TubeFactory(type=kind, state="good") for _ in range(2))
    lot = keep().lots.get()
    lend(other.item, "the club", on=timezone.localdate(), by=None)
    with pytest.raises(ValidationError, match="is lent to the club"):
        sold(lot, "50")
    assert Item.objects.filter(gone_on__isnull=True).count() == 2 and one.tag
    with pytest.raises(ValidationError, match="the price would be lost"):
        Item.objects.update(lent_to="", lent_on=None)
        sold(lot, "50", venue="the quay, 5 EUR a table", why="because")
    lot.refresh_from_db()
    assert lot.state == "offered"


def test_what_was_promised_meanwhile_is_asked_about():
    kind = TubeTypeFactory()
    sales(kind, 40)
    tube = TubeFactory(type=kind, state="good")
    lot = keep().lots.get()
    PromiseFactory(item=tube.item)
    with pytest.raises(ValidationError, match="is promised to Orla Finch"):
        sold(lot, "50")
    sold(lot, "50", why="she has one by now")
    assert Item.objects.get(pk=tube.pk).gone_how.endswith("; she has one by now")


def test_what_is_offered_in_a_lot_is_not_sold_elsewhere_unasked():
    TubeFactory(type=TubeTypeFactory(), state="good")
    lot = keep().lots.get()
    with pytest.raises(ValidationError, match="is offered as lot 1 of Autumn sale"):
        part_with(lot.things.get().item, "sold elsewhere", on=timezone.localdate(), by=None, why="")
    assert sold(lot, "5", why="the last of it").state == "sold"  # its own lot does not stand in its way


def test_a_lot_that_was_sold_by_mistake_is_struck_out_and_its_things_are_here_again(as_keeper):
    fitting, _ = a_set()
    lot = sold(keep().lots.get(), "250")
    address = reverse("valuation:lot-strike", args=[lot.pk])
    page = as_keeper.post(address, seen_at(as_keeper, address) | {"why": "another lot"})
    assert page.status_code == 302 and SaleLot.objects.get().struck == "another lot"
    assert not Item.objects.filter(gone_on__isnull=False).exists() and own_sales() == []
    assert fitting.chassis.tag in offered().lots[0].tags


def test_a_mistyped_price_is_put_right_and_so_say_its_things_and_the_evidence(as_keeper):
    kind = TubeTypeFactory()
    sales(kind, 40)
    tubes = [TubeFactory(type=kind, state="good") for _ in range(2)]
    lot = sold(keep().lots.get(), "500", why="the last of it")
    back = Item.objects.get(pk=tubes[0].pk)
    address = reverse("valuation:lot-price", args=[lot.pk])
    change = {"price": "50", "currency": "EUR", "venue": "the quay", "reason": "a nought too many"}
    page = as_keeper.post(address, seen_at(as_keeper, address) | change)
    assert page.status_code == 302, page.content.decode()
    assert [str(one.money) for one in own_sales()] == ["50.00 EUR"]
    back.refresh_from_db()
    assert back.gone_how == "sold for 25.00 EUR, its share at the quay, lot 1; the last of it"
    assert "Put the price right" in page_text(as_keeper.get(lot.sale.get_absolute_url()))
    left = Item.objects.get(pk=tubes[1].pk)
    left.gone_on, left.gone_how = None, ""  # it came back, say for a fault: nothing is written of that again
    left.save()
    correct_sold(lot, Money(Decimal(60), "EUR"), venue="", by=None, reason="misread")
    left.refresh_from_db()
    assert (left.gone_how, left.gone_on) == ("", None)


def test_a_lot_that_is_not_sold_has_no_price_to_put_right(as_keeper):
    TubeFactory(type=TubeTypeFactory(), state="good")
    lot = keep().lots.get()
    with pytest.raises(ValidationError, match="It is offered, so it has no price"):
        correct_sold(lot, Money(Decimal(60), "EUR"), venue="", by=None, reason="misread")


def test_what_was_struck_out_is_told_on_the_page_of_its_sale(as_keeper, as_visitor):
    TubeFactory(type=TubeTypeFactory(), state="good")
    lot = sold(keep().lots.get(), "500", why="the last of it")
    strike_lot(lot, "of another sale", by=None)
    told = "written down as sold for 500.00 EUR"
    assert told in page_text(as_keeper.get(lot.sale.get_absolute_url()))
    assert told not in page_text(as_visitor.get(lot.sale.get_absolute_url()))


def test_a_lot_is_sold_once_and_what_is_not_sold_is_free_again():
    tube = TubeFactory(type=TubeTypeFactory(), state="good")
    lot = keep().lots.get()
    end_lot(lot, SaleLot.UNSOLD, on=timezone.localdate(), by=None, note="nobody bid")
    assert offered().lots[0].tags == (tube.tag,)
    with pytest.raises(ValidationError, match="It is unsold since"):
        sold(lot, "5")
    again = keep("Spring sale").lots.get()
    sold(again, "5", why="nobody wants it")
    with pytest.raises(ValidationError, match="It was sold on"):
        sold(again, "5")


def test_a_list_is_kept_and_shown_and_printed(as_keeper):
    kind = TubeTypeFactory(name="ZZ-kept")
    sales(kind, 40)
    TubeFactory(type=kind, state="good", item__place=PlaceFactory())
    page = page_text(as_keeper.get(reverse("valuation:paper", args=["lots"])))
    assert "ZZ-kept, used tested good" in page and "Keep it as a sale" in page
    done = as_keeper.post(reverse("valuation:sale-keep"), {"sale-name": "Autumn sale", "seller": "R 4", "share": "50"})
    sale = LotSale.objects.get()
    assert done.status_code == 302 and (sale.seller, sale.lots.get().reserve) == ("R 4", 20)
    assert "Autumn sale" in page_text(as_keeper.get(sale.get_absolute_url()))
    again = as_keeper.post(reverse("valuation:sale-keep"), {"sale-name": "Second"})
    assert again.status_code == 422 and "nothing to sell" in page_text(again)
    told = as_keeper.get(reverse("valuation:api-sale", args=[sale.pk])).json()
    assert (told["lots"][0]["state"], told["lots"][0]["reserve"]) == ("offered", "20.00")
    for asked in ({}, {"bidders": "yes"}):
        assert as_keeper.get(reverse("valuation:sale-pdf", args=[sale.pk]), asked).content.startswith(b"%PDF")


def test_bidders_see_neither_values_nor_reserves(as_visitor):
    kind = TubeTypeFactory()
    sales(kind, 40)
    TubeFactory(type=kind, state="good")
    page = page_text(as_visitor.get(reverse("valuation:paper", args=["lots"]), {"bidders": "on"}))
    assert "40.00" not in page and "32.00" not in page and "as it is" in page
    told = printed_as_data("--bidders")
    assert {told["lots"][0][name] for name in ("value", "low", "high", "forced_sale", "reserve")} == {None}
    assert (told["reserves"], told["reserve_pct"], told["statement"], told["left_out"]) == (None, None, [], [])
    assert printed_as_data()["lots"][0]["reserve"] == "32.00"


def printed_as_data(*options):
    out = io.StringIO()
    call_command("print_value", "lots", *options, "--json", stdout=out)
    return json.loads(out.getvalue())


def test_bidders_are_told_what_the_last_test_of_a_tube_said(as_visitor):
    tube = TubeFactory(type=TubeTypeFactory(), state="untested", condition="untested; used")
    keep()
    TubeTestFactory(tube=tube, reading=2600.0, minimum=1700.0, minimum_text="1700")
    sale = LotSale.objects.get()
    told = f"Last test good, {days_ago(5)}."
    assert told in texts(lots_printed(kept_sale(sale, bidders=True)))
    assert told in page_text(as_visitor.get(sale.get_absolute_url()))
    end_lot(sale.lots.get(), SaleLot.UNSOLD, on=timezone.localdate(), by=None)
    assert told in page_text(as_visitor.get(reverse("valuation:paper", args=["lots"]), {"bidders": "on"}))
    assert offered().as_dict()["lots"][0]["last_test"] == f"last test good, {days_ago(5)}"


def test_who_may_only_look_sees_a_sale_as_bidders_do(as_visitor, as_keeper):
    kind = TubeTypeFactory()
    sales(kind, 40)
    TubeFactory(type=kind, state="good")
    sale = keep()
    for client, seen in ((as_visitor, False), (as_keeper, True)):
        assert ("32.00" in page_text(client.get(sale.get_absolute_url()))) is seen
        told = client.get(reverse("valuation:api-sale", args=[sale.pk])).json()["lots"][0]
        assert (told["reserve"], told["value"]) == (("32.00", "40.00") if seen else (None, None))


def test_a_lot_of_which_the_dear_part_has_no_evidence_has_no_reserve(as_keeper):
    """The set has no sale, the tube in it one of 30: a reserve of 24 would let the set go for its tube."""
    kind = TubeTypeFactory()
    sales(kind, 30)
    FittingFactory(until=None, tube__type=kind, tube__state="good")
    (lot,) = offered().lots
    assert (lot.value, lot.without, lot.reserve) == (30, 1, None)
    page = page_text(as_keeper.get(reverse("valuation:paper", args=["lots"])))
    assert "no reserve is reckoned where something has no evidence" in page
    start = as_keeper.get(reverse("valuation:lot-sold", args=[keep().lots.get().pk])).context["form"]
    assert start["price"].value() is None


def test_a_place_without_things_is_told_and_no_fault(as_keeper):
    place = PlaceFactory(code="Empty")
    for name, more in (("sale-keep", {"sale-name": "Autumn sale"}), ("appraisal-keep", {})):
        answer = as_keeper.post(reverse(f"valuation:{name}"), {"place": place.pk} | more)
        assert answer.status_code == 422 and "nothing is in a place" in page_text(answer)


def test_more_things_ask_no_more_questions():
    def more():
        for _ in range(3):
            TubeFactory()
            FittingFactory(until=None)
            ChassisFactory()
            PromiseFactory()
            SaleLotFactory()

    more()
    first = cost(offered)
    more()
    assert cost(offered) == first
    sale = SaleLotFactory().sale
    SaleLotFactory(sale=sale)
    before = cost(lambda: kept_sale(sale))
    SaleLotFactory(sale=sale)
    assert cost(lambda: kept_sale(sale)) == before


def test_a_dud_stands_at_no_price_of_good_ones_unless_sales_of_duds_tell():
    kind = TubeTypeFactory(name="ZZ-dud")
    sales(kind, 40)
    TubeFactory(type=kind, state="dud")
    (lot,) = offered().lots
    assert (lot.value, lot.reserve, lot.title) == (None, None, "ZZ-dud, dud")
    found = valued(basis="fair-market")
    assert (found.figures[0].amount, found.figures[0].high, found.total) == (None, None, 0)
    assert "used tested good ones fetch 40.00: at most that" in found.figures[0].at_most
    assert any(text.startswith("What dud ones of ZZ-dud fetch the evidence does not tell") for text in meaning(found))
    kept = stated_of(keep_appraisal(collection("EUR", timezone.localdate(), basis="fair-market"), by=None))
    assert kept.figures[0].amount is None and "at most 40.00" in kept.figures[0].at_most
