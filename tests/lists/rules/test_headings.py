"""What columns are taken for. Heading words: common practice, no source; the long ones are in keepers' style."""

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose

OF_KEEPERS = [
    (
        "TUBE,HAVE,USED,NEED,BOX,$,REMARKS".split(","),
        [f.MARK, f.QUANTITY, f.USED, f.WANTED, f.PLACE, f.PRICE, f.NOTE],
    ),
    (
        "Röhre;Anz.;Zust.;S (mA/V);gepr. am;Lager;Preis;für Gerät;Bem.".split(";"),
        [f.MARK, f.QUANTITY, f.STATE, f.READING, f.TESTED_ON, f.PLACE, f.PRICE, f.FOR_SET, f.NOTE],
    ),
    (
        "Item #,Nomenclature,Order/Contract,Ser No,Mod?,Mate / chart,Got from,Date,Pd,Ins. val,"
        "Loc (bldg-room-shelf),Photo,".split(","),
        [
            f.NUMBER, f.MODEL, f.OTHER, f.SERIAL, f.OTHER, f.MATE, f.FROM, f.ACQUIRED_ON, f.PRICE, f.INSURED, f.PLACE,
            f.OTHER, f.IGNORED,
        ],
    ),
]  # fmt: skip
SINGLE = [
    ("Valve type", f.MARK),
    ("Röhrentyp", f.MARK),
    ("Lampe", f.MARK),
    ("Buis", f.MARK),
    ("Qty.", f.QUANTITY),
    ("Quantité", f.QUANTITY),
    ("Aantal", f.QUANTITY),
    ("Stück", f.QUANTITY),
    ("Zustand", f.STATE),
    ("État", f.STATE),
    ("Toestand", f.STATE),
    ("Steilheit", f.READING),
    ("Gm (umho)", f.READING),
    ("mA/V", f.READING),
    ("Min.", f.MINIMUM),
    ("Min. Gm", f.MINIMUM),
    ("Reject", f.MINIMUM),
    ("Reject point", f.MINIMUM),
    ("Mindestwert", f.MINIMUM),
    ("Seuil de rejet", f.MINIMUM),
    ("Ondergrens", f.MINIMUM),
    ("Tester", f.INSTRUMENT),
    ("Instrument", f.INSTRUMENT),
    ("Tested with", f.INSTRUMENT),
    ("Röhrenprüfgerät", f.INSTRUMENT),
    ("gepr. mit", f.INSTRUMENT),
    ("Lampemètre", f.INSTRUMENT),
    ("Getest met", f.INSTRUMENT),
    ("Tested", f.STATE),
    ("Asking price", f.ASKED),
    ("Verkaufspreis", f.ASKED),
    ("Prix demandé", f.ASKED),
    ("Vraagprijs", f.ASKED),
    ("Datum", f.DATED),
    # umlauts written out, hyphens, abbreviations; money in a heading makes a column one of prices
    ("Roehre", f.MARK),
    ("Röhren-Typ", f.MARK),
    ("Stueck", f.QUANTITY),
    ("Pruefgeraet", f.INSTRUMENT),
    ("Inv.-Nr.", f.NUMBER),
    ("Inventar-Nr.", f.NUMBER),
    ("EK €", f.PRICE),
    ("EK (EUR)", f.PRICE),
    ("EK€", f.PRICE),
    ("Laden $", f.PRICE),
    ("Kosten in EUR", f.PRICE),
    ("VK €", f.ASKED),
    ("Asking US$", f.ASKED),
    ("Wert (EUR)", f.INSURED),
    ("Value £", f.INSURED),
    ("Wert", f.READING),
    ("Em. RZG mA", f.READING),
    ("Test date", f.TESTED_ON),
    ("Getest op", f.TESTED_ON),
    ("Schublade", f.PLACE),
    ("Emplacement", f.PLACE),
    ("Plaats", f.PLACE),
    ("Price paid (DM)", f.PRICE),
    ("Prix", f.PRICE),
    ("Prijs", f.PRICE),
    ("Hersteller", f.MAKER),
    ("Fabricant", f.MAKER),
    ("Date code", f.DATE_CODE),
    ("Baujahr", f.DATE_CODE),
    ("S/N", f.SERIAL),
    ("Serien-Nr.", f.SERIAL),
    ("N° de série", f.SERIAL),
    ("Serienummer", f.SERIAL),
    ("Gerät", f.MODEL),
    ("Appareil", f.MODEL),
    ("Condition", f.CONDITION),
    ("Bemerkungen", f.NOTE),
    ("Remarques", f.NOTE),
    ("Opmerkingen", f.NOTE),
    ("Herkunft", f.FROM),
    ("Bought from", f.FROM),
    ("Kaufdatum", f.ACQUIRED_ON),
    ("Date d'achat", f.ACQUIRED_ON),
    ("Versicherungswert", f.INSURED),
    ("Sockel", f.OTHER),
    ("Farbe des Deckels", f.OTHER),
]


@pytest.mark.parametrize(("headings", "wanted"), OF_KEEPERS)
def test_the_long_headings(headings: list[str], wanted: list[str]) -> None:
    assert [one.field for one in propose(headings)] == wanted


@pytest.mark.parametrize(("heading", "field"), SINGLE)
def test_a_heading_in_four_languages(heading: str, field: str) -> None:
    (one,) = propose([heading])
    assert one.field == field and one.reason


def test_the_unit_of_a_reading_comes_with_it() -> None:
    assert propose(["S (mA/V)"])[0].unit == "mA/V"


def test_content_is_proposed_where_the_heading_is_silent() -> None:
    rows = [["6SN7GT", "3", "$5", "box 3", "o.k."], ["6V6", "4", "$1", "box 2", "weak"], ["807", "25+", "", "B-3", "?"]]
    found = propose(["", "", "", "", "zzz"], rows)
    assert [one.field for one in found] == [f.MARK, f.QUANTITY, f.PRICE, f.PLACE, f.STATE]
    assert not any(one.sure for one in found)
    assert all("look like" in one.reason for one in found)


def test_cells_that_speak_against_the_heading_make_it_unsure() -> None:
    (one,) = propose(["Tube"], [["3"], ["4"], ["12"], ["8"]])
    assert one.field == f.MARK and not one.sure and "quantity" in one.reason


def test_a_field_goes_to_one_column() -> None:
    one, other = propose(["Qty", "Count"])
    assert (one.field, other.field) == (f.QUANTITY, f.OTHER)
    assert "already" in other.reason


def test_a_bare_date_belongs_to_what_it_stands_beside() -> None:
    assert [one.field for one in propose(["Tube", "Reading", "Date"])][2] == f.TESTED_ON
    assert [one.field for one in propose(["Model", "From", "Date"])][2] == f.ACQUIRED_ON
    assert propose(["Date"])[0].field == f.DATED
    assert [one.field for one in propose(["Valve", "Tester", "Datum"])][2] == f.TESTED_ON


def fields(headings: list[str], *rows: list[str]) -> list[str]:
    return [one.field for one in propose(headings, rows)]


def test_tested_beside_a_column_of_states_is_a_day() -> None:
    assert fields(["Tube", "State", "Tested"]) == [f.MARK, f.STATE, f.TESTED_ON]
    assert fields(["Röhre", "Geprüft", "Zust."]) == [f.MARK, f.TESTED_ON, f.STATE]
    (tested,) = [one for one in propose(["Tube", "State", "Tested"]) if one.field == f.TESTED_ON]
    assert not tested.sure and "states" in tested.reason


def test_tested_alone_is_what_its_cells_say() -> None:
    assert fields(["Tube", "Tested"], ["807", "good"], ["807", "weak"]) == [f.MARK, f.STATE]
    assert fields(["Tube", "Tested"], ["807", "2007-08-12"], ["807", "May 1998"]) == [f.MARK, f.TESTED_ON]
    assert fields(["Tube", "Tested on"], ["807", "club tester"], ["807", "Crane's tester"]) == [f.MARK, f.INSTRUMENT]
    # words of a verdict under Tested stay a verdict, also beside another column of states
    assert fields(["Tube", "State", "Tested"], ["807", "", "good"], ["807", "", "weak"])[2] != f.TESTED_ON


def test_an_instrument_by_the_words_in_its_cells() -> None:
    rows = [["807", "Ebb Street club tester"], ["811", "Röhrenprüfgerät Nr. 2"], ["838", "Quay bench bridge"]]
    assert fields(["Tube", ""], *rows) == [f.MARK, f.INSTRUMENT]


def test_figures_right_of_the_readings_and_below_them_may_be_their_minimum() -> None:
    rows = [["807", "2250", "1200"], ["811", "2400", "1200"], ["838", "1900", "1150"]]
    found = propose(["Tube", "Gm", ""], rows)
    assert found[2].field == f.MINIMUM and not found[2].sure
    assert fields(["Tube", "Gm", ""], *rows, ["845", "1000", "1200"])[2] != f.MINIMUM


def test_two_columns_of_dates_are_both_dates() -> None:
    assert fields(["Tube", "Colour", "Notes", "Date", "Datum"])[3:] == [f.DATED, f.DATED]


def test_nothing_at_all() -> None:
    assert propose([]) == ()
    (one,) = propose([], [["knob"]])
    assert one.field == f.OTHER and "kept as text" in one.reason


def test_a_test_named_after_its_instrument_is_a_reading_where_figures_stand_below() -> None:
    """Most testers are named so in German lists: common practice, no source."""
    figures = [["6SN7GT", "55/57"], ["6J5", "62"], ["6K7", "2450/2500"]]
    (_, one) = propose(["Röhre", "Pruefung QX-7"], figures)
    assert (one.field, one.sure) == (f.READING, False)
    (_, words) = propose(["Röhre", "Pruefung QX-7"], [["6SN7GT", "bestanden"], ["6J5", "mit Vorbehalt"]])
    assert words.field == f.OTHER
    (_, one, other) = propose(["Röhre", "Em. RZG mA", "Gm QX-10"], [["6SN7GT", "12", "2600"]])
    assert one.field == other.field == f.READING


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Notes (paid EUR)", f.NOTE),
        ("Maker (USD)", f.MAKER),
        ("Qty $", f.QUANTITY),
        ("Box €", f.PLACE),
        ("Condition/$", f.CONDITION),
        ("Bemerkungen €", f.NOTE),
    ],
)
def test_money_does_not_speak_over_a_word_that_is_known(heading: str, field: str) -> None:
    (one,) = propose([heading])
    assert (one.field, one.sure) == (field, False)


def test_cells_that_are_prices_and_a_word_that_is_taken_leave_money_its_price() -> None:
    assert fields(["Röhre", "Stück", "Stück €"]) == [f.MARK, f.QUANTITY, f.PRICE]
    assert fields(["Tube", "Tube €", "Notes €"], ["807", "12.50", "crazed"]) == [f.MARK, f.PRICE, f.NOTE]
    assert fields(["Tube", "Qty $"], ["807", "3"], ["811", "12"]) == [f.MARK, f.QUANTITY]
    assert fields(["Tube", "Qty $"], ["807", "$3"], ["811", "12.50"]) == [f.MARK, f.PRICE]


@pytest.mark.parametrize("heading", ["Bought (EUR)", "Gekauft am €", "Total €", "$", "(USD)"])
def test_money_beside_a_day_or_nothing_known_is_a_price(heading: str) -> None:
    assert propose([heading])[0].field == f.PRICE


def test_money_beside_an_unknown_word_is_a_price_where_no_other_column_is() -> None:
    (alone,) = propose(["Total €"])
    assert (alone.field, alone.sure) == (f.PRICE, False)
    total, each = propose(["Total €", "Preis €"])
    assert (total.field, each.field, each.sure) == (f.OTHER, f.PRICE, True)
