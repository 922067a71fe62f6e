"""Headings in nine languages, tester names, months and figures. Common practice, no source; months and number forms
against the Unicode CLDR (package Babel). Names of testers are invented.
"""

from datetime import date
from decimal import Decimal

import pytest
from babel.dates import format_date
from babel.numbers import format_currency, format_decimal

from inventory.holdings.rules.dates import read_date
from inventory.holdings.rules.prices import read_price
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import check_naming
from inventory.lists.rules.headings import propose

TODAY = date(2026, 11, 30)
LANGUAGES = ("en", "de", "fr", "nl", "it", "es", "pl", "cs", "ru")
TUBES = (f.MARK, f.QUANTITY, f.STATE, f.PLACE, f.PRICE, f.NOTE)


def fields(headings, rows=()):
    return tuple(one.field for one in propose(headings.split(";"), rows))


@pytest.mark.parametrize(
    "headings",
    [
        "Type / VT;Qty;State;Box;Price;Notes",
        "VT;Have;Tested?;Shelf;Paid;Remarks",
        "Röhre;Anzahl;Zustand;Schublade;Preis;Bemerkung",
        "Lampe;Qté;État;Boîte;Prix payé;Remarques",
        "Buis;Aantal;Staat;Doos;Prijs;Opmerkingen",
        "Valvola;Quantità;Stato;Scatola;Prezzo;Note",
        "Válvula;Cantidad;Estado;Caja;Precio;Observaciones",
        "Lampa;Ilość;Stan;Pudełko;Cena;Uwagi",
        "Elektronka;Počet;Stav;Krabice;Cena;Poznámka",
        "Лампа;Кол-во;Состояние;Полка;Цена;Примечание",
    ],
)
def test_the_same_list_in_many_languages(headings):
    assert fields(headings) == TUBES
    assert fields(headings.upper()) == TUBES


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Type / VT", f.MARK), ("Type/VT", f.MARK), ("VT", f.MARK), ("VT no.", f.MARK), ("Tube / Valve", f.MARK),
        ("My no.", f.OWN_NUMBER), ("My No", f.OWN_NUMBER), ("Mon n°", f.OWN_NUMBER), ("Mijn nr.", f.OWN_NUMBER),
        ("NOS/Used", f.CONDITION), ("NOS / used", f.CONDITION), ("Neu/Gebraucht", f.CONDITION),
        ("JAN code", f.MAKER), ("Maker code", f.MAKER), ("Зав. №", f.SERIAL), ("Matricola", f.SERIAL),
        ("Výrobce", f.MAKER), ("Rok produkcji", f.DATE_CODE), ("Год выпуска", f.DATE_CODE), ("Seuil", f.MINIMUM),
        ("Data zakupu", f.ACQUIRED_ON), ("Provenienza", f.FROM), ("Lampemètre", f.INSTRUMENT), ("№", f.NUMBER),
    ],
)  # fmt: skip
def test_a_heading(heading, field):
    assert fields(f"Tube;{heading}" if field != f.MARK else heading)[-1] == field


def test_figures_under_the_name_of_a_tester_are_its_readings():
    rows = [["6V6GT", "3", "62", "58 (min 40)"], ["6V6GT", "2", "61", "57?"], ["6V6GT", "1", "60/40", "55"]]
    found = propose(["Tube", "Qty", "QX-7", "QX-8 mA/V"], rows)
    assert [one.field for one in found] == [f.MARK, f.QUANTITY, f.READING, f.READING]
    assert not found[2].sure
    assert fields("Tube;Qty;QX-7", [["6V6GT", "3", "blue"], ["6V6GT", "1", "red"]])[-1] == f.OTHER


def test_a_list_that_names_no_tube_is_told_once():
    with pytest.raises(ValueError, match=r"No column names the tube.* Qty \(quantity\), Box \(place\)"):
        check_naming({"Qty": f.QUANTITY, "Box": f.PLACE})
    check_naming({"Tube": f.MARK, "Box": f.PLACE})
    check_naming({"What": f.KIND, "Value": f.VALUE})


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("month", range(1, 13))
def test_days_as_nine_languages_write_them(language, month):
    """Medium and long dates of the CLDR; in short ones Italian and French months have no full stop."""
    day = date(1987, month, 14)
    for text in (format_date(day, "d MMMM yyyy", language), format_date(day, "d MMM yyyy", language)):
        assert read_date(text, TODAY).first == day, text
    whole = read_date(format_date(day, "LLLL yyyy", language), TODAY)
    assert (whole.first.year, whole.first.month, whole.precision) == (1987, month, "month")


@pytest.mark.parametrize("text", ["12 мая 1987 г.", "12 de mayo de 1987", "am 12. Mai 1987", "dne 12. května 1987"])
def test_words_round_a_day(text):
    assert read_date(text, TODAY).first == date(1987, 5, 12)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("amount", ["12.50", "1234.50", "0.95", "12345.00"])
def test_amounts_as_nine_languages_write_them(language, amount):
    for code in ("EUR", "GBP", "USD"):
        found = read_price(format_currency(Decimal(amount), code, locale=language), currency=code)
        assert (found.amount, found.currency) == (Decimal(amount), code)
    plain = read_price(format_decimal(Decimal(amount), "#,##0.00", locale=language), currency="EUR")
    assert plain.amount == Decimal(amount)


@pytest.mark.parametrize(
    "heading",
    ["Bought from", "Gekauft bei", "Gekauft von", "Lieferant", "Acheté auprès de", "Gekocht bij", "Acquistato presso",
     "Comprado en", "Kupione u", "Koupeno u", "Куплено у", "Поставщик"],
)  # fmt: skip
def test_of_whom_a_thing_was_bought(heading):
    assert fields(f"Type;{heading}") == (f.MARK, f.FROM)


def test_readings_with_their_minimum_below_the_name_of_a_tester_are_readings():
    rows = [("807", "62 (min 40)"), ("807", "52 over 32"), ("807", "55"), ("807", "")]
    assert fields("Type;QX-7", rows) == (f.MARK, f.READING)
    assert fields("Type;QX-7", [("807", "loose base"), ("807", "blue")]) == (f.MARK, f.OTHER)


@pytest.mark.parametrize("cell", ["300 р.", "300 р", "300 руб", "300 ₽"])
def test_roubles_as_they_are_written_short(cell):
    read = read_price(cell)
    assert (read.amount, read.currency, read.remark) == (Decimal(300), "RUB", None)
