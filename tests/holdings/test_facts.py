"""Facts of things: entered, struck out, shown on every thing's page, on labels, in the lists that go out.

Testers, serials and people are invented. Currency codes: ISO 4217.
"""

import csv
import io
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.actions import add_facts
from inventory.holdings.models import Fact, Item, PartLot
from inventory.holdings.queries import FACT_COLUMNS, fact_cells, readings_told
from inventory.holdings.queries.labels import labels_of, things_tagged
from inventory.house import concerns
from inventory.house.records.actions import strike_out
from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose
from tests.counting import asked, cost
from tests.factories import ChassisFactory, CompanionFactory, ItemFactory, PlugInUnitFactory, TubeFactory, days_ago
from tests.pages import page_text, seen_at

pytestmark = pytest.mark.django_db
VALUE = {"basis": "replacement", "dated": days_ago(1)}  # without which a value is refused


@pytest.fixture
def tube():
    return TubeFactory(item__tag="T-0001")


@pytest.fixture
def write(tube, keeper, today):
    """``write("paid", "$5 ea")``: a fact of the tube, entered by the keeper."""

    def enter(about, text, *, item=tube.item, **more):
        return add_facts(item, about, text, by=keeper, today=today, **more)

    return enter


# --- entered ---------------------------------------------------------------------------------------------------------


def test_reading_and_minimum_are_two_facts_of_one_scale(write, tube, keeper):
    reading, least = write("reading", "2250/1200", unit="micromho", instrument=" Prover 3 ")
    assert (reading.about, least.about) == ("reading", "minimum")
    assert (reading.words, least.words) == ("2250 micromho, Prover 3", "1200 micromho, Prover 3")
    assert reading.value == Decimal(2250) and reading.by == keeper and not reading.from_list
    (kept,) = reading.history.all()
    assert (kept.history_user, kept.figure) == (keeper, "2250")


@pytest.mark.parametrize("code", ["PLN", "DEM", "ITL", "ESP", "FRF", "NLG", "IEP"])
def test_a_price_may_be_in_any_currency_of_today_or_of_former_days(write, code):
    (fact,) = write("paid", "12", currency=code)
    assert (fact.currency, fact.value) == (code, 12)


def test_a_sign_is_of_the_currency_that_is_said_where_it_is_one_of_its_own(write):
    """$ and kr are signs of several currencies (ISO 4217)."""
    for text, code in (("$5", "CAD"), ("30 kr", "SEK"), ("5 M", "DDM")):
        (fact,) = write("paid", text, currency=code)
        assert (fact.text, fact.currency) == (text, code)


def test_nothing_is_converted(write):
    write("paid", "12/6")
    write("insured", "DM 20", **VALUE)
    found = list(Fact.objects.values_list("about", "text", "value", "currency"))
    # twelve shillings and sixpence are 150 of the 240 pence of a pound (Decimal Currency Act 1967)
    assert found == [("paid", "12/6", Decimal("0.625"), "GBP"), ("insured", "DM 20", Decimal(20), "DEM")]


@pytest.mark.parametrize(
    ("entry", "field", "words"),
    [
        ({"about": "paid", "text": "a song"}, "text", "cannot be read as a price"),
        ({"about": "dated", "text": "2 Feb 2931"}, "text", "lies in the future"),
        ({"about": "acquired", "text": "04/05/06"}, "text", "2006-05-04 or 2006-04-05"),
        ({"about": "reading", "text": "tests good"}, "text", "a word, no figure"),
        ({"about": "reading", "text": "2250"}, "instrument", "Name the unit or the instrument"),
        ({"about": "reading", "text": "2250 umho", "unit": "mA/V"}, "text", "two scales in one reading"),
        ({"about": "reading", "text": "TV 48/40", "unit": "mA/V"}, "unit", "TV has a scale of its own"),
        ({"about": "minimum", "text": "2250/1200", "unit": "mA/V"}, "text", "two figures are no minimum"),
        ({"about": "paid", "text": "€ 5", "currency": "USD"}, "currency", "says EUR, this says USD"),
        ({"about": "paid", "text": "$5", "currency": "EUR"}, "text", "the text says $, which is not said to be EUR"),
        (
            {"about": "paid", "text": "30 kr", "currency": "EUR"},
            "text",
            "the text says kr, which is not said to be EUR",
        ),
        ({"about": "paid", "text": "5", "currency": "EUA"}, "currency", "EUA is no currency code of ISO 4217"),
        ({"about": "paid", "text": "5 EUA"}, "text", "EUA is no currency code of ISO 4217"),
        ({"about": "serial", "text": "  "}, "text", "Write what stands there"),
        ({"about": "paid", "text": "-"}, "text", "nothing is said"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_reason(write, refused, entry, field, words):
    with refused(field, words):
        write(**entry)
    assert not Fact.objects.exists()


@pytest.mark.parametrize(("about", "text"), [("paid", "a song"), ("dated", "when father died"), ("reading", "good")])
def test_it_is_kept_as_found_where_that_is_wanted(write, about, text):
    (fact,) = write(about, text, as_found=True)
    assert (fact.text, fact.value, fact.read_as, fact.words) == (text, None, "", text)


def test_huge_and_odd_figures(write, refused):
    (fact,) = write("paid", "999999999999999999 EUR", as_found=True)
    assert fact.value is None
    for text in ("nan", "inf", "-5 EUR", "1e400"):
        with refused("text"):
            write("paid", text)


def test_a_fact_is_struck_out_and_stays(write, keeper, refused):
    (fact,) = write("paid", "€ 5")
    with refused("why", "Say why"):
        strike_out(fact, " ", by=keeper)
    strike_out(fact, "of another tube", by=keeper)
    with refused("why", "struck out already: of another tube"):
        strike_out(fact, "again", by=keeper)
    assert Fact.objects.get().struck == "of another tube"
    assert fact_cells([fact.item_id]) == {}


def test_a_thing_with_facts_is_not_forgotten(write, tube):
    write("paid", "€ 5")
    with pytest.raises(Exception, match="protected"):
        tube.item.delete()


# --- on the page -----------------------------------------------------------------------------------------------------


def things():
    lot = ItemFactory(kind=Item.PARTS, tag="P-0001")
    PartLot.objects.create(item=lot, name="capacitor")
    return [
        ("holdings:tube", TubeFactory().item), ("holdings:part", lot), ("sets:chassis", ChassisFactory().item),
        ("sets:unit", PlugInUnitFactory().item), ("pairing:companion", CompanionFactory().item),
    ]  # fmt: skip


def test_the_page_of_every_thing_shows_its_facts(write, as_keeper, as_visitor):
    for name, item in things():
        write("reading", "2250/1200 umho", item=item, instrument="Prover <3>")
        (paid,) = write("paid", "a song", item=item, as_found=True)
        page = as_keeper.get(reverse(name, args=[item.tag])).content.decode()
        assert "2250 micromho, Prover &lt;3&gt;" in page and "reject minimum" in page and "a song" in page
        assert reverse("holdings:fact-add", args=[item.tag]) in page
        assert reverse("holdings:fact-strike", args=[paid.pk]) in page
        seen = as_visitor.get(reverse(name, args=[item.tag])).content.decode()
        assert "2250 micromho" in seen and "Strike out" not in seen.split('id="facts"')[1].split("</section>")[0]


def test_entering_and_striking_on_the_page(tube, as_keeper, as_helper, as_visitor):
    address = reverse("holdings:fact-add", args=[tube.tag])
    assert as_visitor.get(address).status_code == 403
    answer = as_helper.post(address, {"about": "paid", "text": "€ 12,50 ea"}, follow=True)
    assert "price paid: 12.50 EUR each" in page_text(answer)
    answer = as_helper.post(address, {"about": "paid", "text": "a song", "instrument": "x\x00"})
    assert answer.status_code == 422
    (fact,) = Fact.objects.all()
    strike = reverse("holdings:fact-strike", args=[fact.pk])
    assert as_helper.get(strike).status_code == 403
    said = {"why": "of another tube"} | seen_at(as_keeper, strike)
    page = page_text(as_keeper.post(strike, said, follow=True))
    assert "struck out</span> of another tube" in page


@pytest.mark.parametrize(
    "cells", [{"text": "x" * 301}, {"currency": "$$$"}, {"currency": "EUA"}, {"order": "week"}, {"unit": "ell"}]
)
def test_a_bad_field_is_named(tube, as_keeper, cells):
    sent = {"about": "paid", "text": "€ 5"} | cells
    answer = as_keeper.post(reverse("holdings:fact-add", args=[tube.tag]), sent)
    assert answer.status_code == 422 and list(answer.context["form"].errors) == list(cells)


def test_twenty_facts_ask_no_more_than_ten(tube, write, as_keeper):
    page = reverse("holdings:tube", args=[tube.tag])

    def grow():
        for number in range(10):
            write("reading", f"{number}/1", instrument=f"tester {number}")

    grow()
    before = asked(as_keeper, page)
    grow()
    assert asked(as_keeper, page) == before


# --- on the label ----------------------------------------------------------------------------------------------------


def label_of(item):
    (found,), _ = things_tagged([item.tag])
    return labels_of([found], lambda thing: thing.tag)[0]


def test_the_last_reading_stands_on_the_label(tube, write, keeper):
    assert label_of(tube.item).reading == ""
    write("reading", "58/40 %", instrument="Prover 3")
    assert label_of(tube.item).reading == "58/40 %, Prover 3"
    reading, _ = write("reading", "2250/1200 umho")
    assert label_of(tube.item).reading == "2250/1200 micromho"
    strike_out(reading, "of another tube", by=keeper)
    assert label_of(tube.item).reading == "58/40 %, Prover 3"


def test_a_test_that_a_higher_area_knows_goes_before(tube, write, monkeypatch):
    write("reading", "58/40 %", instrument="Prover 3")
    other = TubeFactory()
    monkeypatch.setattr(concerns, "_readings", [])
    provider = lambda items: {item.pk: "2250/1200 micromho, Bench tester 1" for item in items if item.pk == tube.pk}  # noqa: E731
    concerns.register_reading(provider)
    concerns.register_reading(provider)
    assert label_of(tube.item).reading == "2250/1200 micromho, Bench tester 1"
    assert label_of(other.item).reading == ""
    assert len(concerns._readings) == 1 and concerns.readings_of_many([]) == {}


def test_twice_the_labels_with_readings_ask_no_more(keeper, today, reference):
    def grow():
        for _ in range(10):
            tube = TubeFactory()
            add_facts(tube.item, "reading", "48/40", instrument="Prover 3", by=keeper, today=today)

    def run():
        found, _ = things_tagged(list(Item.objects.values_list("tag", flat=True)))
        assert all(label.reading == "48/40, Prover 3" for label in labels_of(found, lambda thing: thing.tag))

    grow()
    run()
    before = cost(run)
    grow()
    assert cost(run) == before


# --- lists that go out -----------------------------------------------------------------------------------------------


def table(client, name):
    answer = client.get(f"/lists/{name}/out/")
    return list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8"), newline="")))


def test_the_lists_have_a_column_for_each(tube, write, as_helper, keeper):
    write("reading", "2250/1200 umho", instrument="Prover 3")
    write("paid", "€ 5 ea")
    write("paid", "=1+1", as_found=True)
    write("tested", "12 June 2009", instrument="Prover 3")
    write("dated", "Spring 1998")
    strike_out(write("insured", "£ 90", **VALUE)[0], "wrong", by=keeper)
    (line,) = table(as_helper, "tubes")
    assert {heading: line[heading] for heading, _ in FACT_COLUMNS} == {
        "Price paid": "5 EUR each; =1+1", "Price asked": "", "Insured value": "", "Reading": "2250 micromho",
        "Reject minimum": "1200 micromho", "Instrument": "Prover 3", "Tested on": "2009-06-12",
        "Acquired (as found)": "", "Made (as found)": "", "Other date": "Spring 1998", "Serial (as found)": "",
        "Own number": "", "Acquired how (as found)": "", "Acquired from (as found)": "", "Evidence of title": "",
        "Why it left": "", "Authorised by": "", "Went to": "", "Proceeds": "",
    }  # fmt: skip


def test_readings_of_two_instruments_keep_their_names(tube, write, as_visitor):
    write("reading", "58/40 %", instrument="Prover 3")
    write("reading", "2250 umho", instrument="Quay bridge")
    (line,) = table(as_visitor, "tubes")
    assert line["Reading"] == "58 %, Prover 3; 2250 micromho, Quay bridge"
    assert line["Instrument"] == ""


def test_every_fact_has_a_line_of_its_own(tube, write, as_helper, keeper):
    write("reading", "2250/1200 umho", instrument="Prover 3")
    write("paid", "4 for € 10")
    first, least, paid = table(as_helper, "facts")
    assert (first["Tag"], first["What"], first["As found"], first["Figure"]) == (
        tube.tag, "reading", "2250/1200 umho", "2250",
    )  # fmt: skip
    assert (least["Figure"], least["Unit"], least["Instrument"]) == ("1200", "micromho", "Prover 3")
    assert (paid["As a number"], paid["Currency"], paid["Said of"], paid["How many"]) == ("10", "EUR", "for a lot", "4")
    assert (paid["By"], paid["Came with a list"]) == (keeper.username, "no")


@pytest.mark.parametrize("name", ["tubes", "facts", "chassis"])
def test_a_list_with_twice_the_facts_asks_no_more(write, as_visitor, name):
    def grow():
        for number in range(10):
            for item in (TubeFactory().item, ChassisFactory().item):
                write("paid", f"€ {number + 1}", item=item)

    grow()
    table(as_visitor, name)
    before = cost(lambda: table(as_visitor, name))
    grow()
    assert cost(lambda: table(as_visitor, name)) == before


def test_our_own_headings_are_known_again():
    found = [one.field for one in propose([heading for heading, _ in FACT_COLUMNS])]
    assert found == [
        f.PRICE, f.ASKED, f.INSURED, f.READING, f.MINIMUM, f.INSTRUMENT, f.TESTED_ON, f.ACQUIRED_ON, f.DATE_CODE,
        f.DATED, f.SERIAL, f.OWN_NUMBER, f.HOW, f.FROM, f.TITLE, f.LEFT_WHY, f.LEFT_BY, f.LEFT_TO, f.PROCEEDS,
    ]  # fmt: skip


def test_a_tube_is_found_by_its_serial(tube, write, as_visitor, keeper):
    TubeFactory()
    (fact,) = write("serial", "W 4471")
    (other,) = write("serial", "0071")
    found = lambda word: [row.tag for row in as_visitor.get(f"/tubes/?text={word}").context["page"]]  # noqa: E731
    assert found("0071") == [tube.tag] and found("71") == []
    strike_out(other, "of another tube", by=keeper)
    assert found("0071") == []
    assert fact.words == "W 4471"


def test_things_without_facts_are_left_out(tube):
    assert fact_cells([tube.pk]) == {} and readings_told([tube.pk]) == {}


def test_a_refusal_names_one_field_only(write):
    with pytest.raises(ValidationError) as refusal:
        write("paid", "a song")
    assert list(refusal.value.message_dict) == ["text"]
