"""What is reserved for a plan is told wherever it is counted, listed or offered. All is invented but the types."""

import csv
import io

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db.models import F
from django.urls import reverse

from inventory.frontpage.queries import look_up, pocket_answer, saved_copy, search_all
from inventory.holdings.models import PartLot, Tube
from inventory.holdings.queries.labels import box_lists
from inventory.house.concerns import claims_of_many
from inventory.restoration.actions import reserve_all, reserve_parts, reserve_tube
from inventory.restoration.models import Requirement, Reservation
from inventory.sets.actions import fit, take_out
from inventory.sets.models import Fitting
from inventory.sets.queries.substitutes import substitutes_of
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    ItemFactory,
    PlaceFactory,
    PositionFactory,
    TubeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PartTypeFactory, PlanFactory
from tubes.models import TubeType
from tubes.rules.judge_parts import Conditions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
WORDS = "1 of them reserved for Winter work"


class House:
    """Three good 6SN7GT in a drawer, one of them reserved for V3 of a set, and a lot of which two are."""

    def __init__(self, keeper, today):
        self.how = {"on": today, "by": keeper}
        self.kind = TubeType.objects.get(name="6SN7GT")
        self.position = PositionFactory(mark="V3", type=self.kind, heater_v=6.3)
        self.chassis = ChassisFactory(model=self.position.set_model, serial="0417")
        self.plan = PlanFactory(name="Winter work", sets=[self.chassis])
        self.place = PlaceFactory(code="Drawer 3")
        self.kept, self.free, self.other = (self.tube() for _ in range(3))
        reserve_tube(self.plan, self.chassis, self.position, self.kept, **self.how)
        of = PartTypeFactory()
        item = ItemFactory(kind="parts", place=self.place)
        self.lot = PartLot.objects.create(item=item, name="capacitor", type=of, least=5, most=5)
        line = Requirement.objects.create(plan=self.plan, words="filter", type=of, quantity=2)
        reserve_parts(line, self.lot, 2, **self.how)

    def tube(self, kind=None, **more):
        return TubeFactory(type=kind or self.kind, marked="6SN7GT", place=self.place, **more)


@pytest.fixture
def house(keeper, today):
    return House(keeper, today)


def out_of(client, name, narrowed=""):
    told = client.get(f"/lists/{name}/out/?as=csv{narrowed}")
    return {row["Tag"]: row for row in csv.DictReader(io.StringIO(told.getvalue().decode()))}


def test_counts_of_a_type_tell_it(house, as_visitor, today):
    (match,) = (one for one in look_up("6SN7GT").matches if one.card.name == "6SN7GT")
    assert (match.stock.good, match.stock.said.told) == (3, WORDS)
    owned = as_visitor.get("/api/lookup", {"text": "6SN7GT"}).json()["matches"][0]["owned"]
    assert (owned["good"], owned["good_reserved"], owned["reserved_words"]) == (3, 1, WORDS)
    assert "good_in_doubt" not in owned
    out = io.StringIO()
    call_command("lookup", "6SN7GT", stdout=out)
    assert "of the good ones 1 reserved for Winter work" in out.getvalue()
    for address in ("/look-up/?q=6SN7GT", "/pocket/?q=6SN7GT", "/types/6SN7GT/"):
        assert WORDS in page_text(as_visitor.get(address)), address
    assert pocket_answer("6SN7GT", today).matches[0].stock.said.kept == ("Winter work",)
    (told,) = (one for one in saved_copy(today, with_places=True)["types"] if "6SN7GT" in one["names"])
    assert (told["counts"][0], told["said"]) == (3, WORDS)
    copy = as_visitor.get("/pocket/saved-copy/?file=yes")
    assert WORDS in copy.content.decode()


def test_lists_pages_and_finds_tell_it(house, as_visitor):
    for address in ("/tubes/", f"/places/{house.place.pk}/", "/look-up/?q=6SN7GT"):
        text = page_text(as_visitor.get(address))
        assert text.count("reserved for Winter work</span>") == 1 + ("places" in address), address
    assert "2 reserved for Winter work" in page_text(as_visitor.get("/parts/"))
    assert "2 of it reserved for Winter work, filter" in page_text(as_visitor.get(house.lot.get_absolute_url()))
    text = f"reserved for Winter work, {house.chassis} V3"
    assert text in page_text(as_visitor.get(house.kept.get_absolute_url()))
    assert any(text in row.words for found in search_all(house.kept.tag) for row in found.rows)
    rows = {row["tag"]: row for row in as_visitor.get("/api/tubes").json()["tubes"]}
    assert rows[house.kept.tag]["reserved"] == [text]
    assert "reserved" not in rows[house.free.tag]
    (box,) = box_lists([house.place])
    assert any(
        "3 good (1 of them reserved for Winter work)" in line.count_text for _, part in box.parts for line in part
    )


def test_the_list_of_tubes_is_narrowed_by_it(house, as_visitor):
    FittingFactory(tube=house.other)

    def tags(kept):
        return {row["tag"] for row in as_visitor.get("/api/tubes", {"kept": kept}).json()["tubes"]}

    assert tags("reserved") == {house.kept.tag}
    assert tags("free") == {house.free.tag}
    assert tags("") == {house.kept.tag, house.free.tag, house.other.tag}
    assert as_visitor.get("/api/tubes", {"kept": "for me"}).status_code == 400
    text = page_text(as_visitor.get("/tubes/?kept=reserved"))
    assert house.kept.tag in text and house.free.tag not in text


def test_lists_taken_out_have_a_column(house, as_keeper):
    rows = out_of(as_keeper, "tubes")
    assert rows[house.kept.tag]["Reserved"] == f"reserved for Winter work, {house.chassis} V3"
    assert rows[house.free.tag]["Reserved"] == ""
    assert set(out_of(as_keeper, "tubes", "&kept=reserved")) == {house.kept.tag}
    assert out_of(as_keeper, "parts")[house.lot.tag]["Reserved"] == "2 of it reserved for Winter work, filter"


def test_free_candidates_stand_before_those_that_are_reserved(house, today, keeper, as_visitor):
    """Two types of one verdict with a good one each: the one that is reserved stands behind the other."""
    wants = TubeType.objects.get(name="6K7")  # 6K7G and 6K7GT are its forms in glass
    position = PositionFactory(set_model=house.position.set_model, mark="V5", type=wants, heater_v=6.3)
    rated = {one.type: one.judgement.verdict for one in substitutes_of("6K7", Conditions(), position)}
    alike = [name for name, verdict in rated.items() if verdict == "with care"]
    kept, free = (TubeFactory(type=TubeType.objects.get(name=name), marked=name) for name in alike[:2])

    def told():
        return [one for one in substitutes_of("6K7", Conditions(), position) if one.type in alike[:2]]

    assert [one.type for one in told()] == alike[:2]
    elsewhere = PositionFactory(set_model=house.position.set_model, mark="V4", type=kept.type)
    reserve_tube(house.plan, house.chassis, elsewhere, kept, on=today, by=keeper)
    free_one, kept_one = told()
    assert (free_one.type, kept_one.type) == (alike[1], alike[0])
    assert (kept_one.owned_good, kept_one.free, kept_one.as_dict()["good_reserved"]) == (1, 0, 1)
    text = page_text(as_visitor.get(f"/positions/{position.pk}/what-fits/"))
    assert f"1 good on the shelf</a> <strong>{WORDS}</strong>" in text and free.type.name in text


def test_it_is_fitted_where_it_is_meant_and_elsewhere_on_purpose(house, today, keeper, as_keeper):
    other = PositionFactory(set_model=house.position.set_model, mark="V4", type=house.kind)

    def put(position, **more):
        tube = Tube.objects.select_related("item", "type").get(pk=house.kept.pk)
        row = Fitting(tube=tube, chassis=house.chassis, position=position, since=today)
        return fit(row, today=today, by=keeper, **more)

    with pytest.raises(ValidationError, match=f"is reserved for Winter work, {house.chassis} V3"):
        put(other)
    address = f"{reverse('sets:tube-fit', args=[house.chassis.tag, other.pk])}?tube={house.kept.tag}"
    text = page_text(as_keeper.get(address))
    assert "is reserved for Winter work" in text and 'name="claimed"' in text
    assert 'name="claimed"' not in page_text(as_keeper.get(address.replace(house.kept.tag, house.free.tag)))
    row = put(other, claimed=True)
    assert "fitted all the same, reserved for Winter work" in row.history.first().history_change_reason
    assert claims_of_many([house.kept.pk]) == {}  # it was used
    reserve_tube(house.plan, house.chassis, house.position, house.free, on=today, by=keeper)
    assert Reservation.objects.get(position=house.position).item == house.free.item
    house.kept = house.free
    assert put(house.position).position == house.position


def test_the_form_puts_it_in_on_purpose(house, today, as_keeper):
    other = PositionFactory(set_model=house.position.set_model, mark="V4", type=house.kind)
    address = f"{reverse('sets:tube-fit', args=[house.chassis.tag, other.pk])}?tube={house.kept.tag}"
    sent = {"tube": house.kept.tag, "since": today} | seen_at(as_keeper, address)
    refused = as_keeper.post(address, sent)
    assert refused.status_code == 422 and "tick this box if it is fitted on purpose" in page_text(refused)
    assert as_keeper.post(address, sent | {"claimed": "on"}).status_code == 302


def test_more_that_is_reserved_takes_no_more_questions(house, as_visitor, today):
    addresses = ("/tubes/", "/parts/", f"/places/{house.place.pk}/", "/pocket/?q=6SN7GT", "/look-up/?q=6SN7GT",
                 "/api/tubes?kept=reserved", f"/positions/{house.position.pk}/what-fits/")  # fmt: skip

    def grow():
        for _ in range(4):
            position = PositionFactory(set_model=house.position.set_model, type=house.kind)
            reserve_tube(house.plan, house.chassis, position, house.tube(), **house.how)
            item = ItemFactory(kind="parts", place=house.place)
            lot = PartLot.objects.create(item=item, name="choke", type=house.lot.type, least=5, most=5)
            Requirement.objects.update(quantity=F("quantity") + 1)
            reserve_parts(Requirement.objects.get(), lot, 1, **house.how)

    def costs():
        copy = cost(lambda: saved_copy(today, with_places=True))
        return [cost(lambda at=at: as_visitor.get(at)) for at in addresses] + [copy]

    grow()
    before = costs()
    grow()
    assert costs() == before


def test_nothing_is_given_out_twice(house, today):
    """Every tube of the type reserved or dealt out stands once in both together."""
    for _ in range(4):
        position = PositionFactory(set_model=house.position.set_model, type=house.kind)
    more = PlanFactory(sets=[ChassisFactory(model=position.set_model)])
    reserve_all(more, **house.how)
    reserve_all(house.plan, **house.how)
    kept = list(Reservation.objects.filter(quantity=None).values_list("item", flat=True))
    assert len(kept) == len(set(kept)) == 3


def test_what_was_used_where_it_was_meant_is_reserved_no_more(house, today, keeper):
    position = house.chassis.model.positions.get(mark="V3")
    row = fit(
        Fitting(tube=house.kept, chassis=house.chassis, position=position, since=today), today=today, by=keeper,
        replace=True,
    )  # fmt: skip
    take_out(row, until=today, today=today, by=keeper)
    assert not claims_of_many([house.kept.pk])
    assert Reservation.history.filter(item=house.kept.item, history_type="-").get().history_change_reason == "used"
