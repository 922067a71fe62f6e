"""Rows that are asked about, and cells in which nothing stands: the text, what it made. Common practice, no source.

People, places and set models are invented.
"""

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.odd_marks import changed, perhaps, split_of
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED, read_row
from tests.lists.rules.reference import context, tables


def row(mark="807", count="1", place="", note="", serial=""):
    fields = [f.MARK, f.QUANTITY, f.PLACE, f.NOTE, f.SERIAL]
    return read_row([mark, count, place, note, serial], fields, context())


@pytest.mark.parametrize(
    ("mark", "count", "marks", "each"),
    [
        ("954/955/956 1 each", "", ("954", "955", "956"), 1),
        ("954/955/956", "1 each", ("954", "955", "956"), 1),
        ("954, 955, 956 (2 each)", "", ("954", "955", "956"), 2),
        ("954 & 955, je 2", "", ("954", "955"), 2),
        ("6V6GT, 6SN7GT one of each", "", ("6V6GT", "6SN7GT"), 1),
        ("6V6GT + 6SN7GT", "je 2", ("6V6GT", "6SN7GT"), 2),
    ],
)
def test_several_types_with_a_count_of_each_are_offered_as_rows(mark, count, marks, each):
    split = split_of(mark, count, tables())
    assert split and (split.marks, split.each) == (marks, each)
    assert row(mark, count).outcome not in (REFUSED, NOT_AN_ITEM)


@pytest.mark.parametrize(
    ("mark", "count"),
    [("954/955", "2"), ("954/955", ""), ("954 or 955", "1 each"), ("807", "1 each"), ("6V6GT/6V6", "2")],
)
def test_nothing_is_parted_where_the_row_does_not_say_how_many_of_each(mark, count):
    assert split_of(mark, count, tables()) is None


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("600000", ("6E5",)), ("600,000", ("6E5",)), ("600 000", ("6E5",)), ("600000.0", ("6E5",)),
        ("807", ()), ("1625", ()), ("6550", ()), ("600001", ()), ("6000000", ()),
    ],
)  # fmt: skip
def test_a_number_that_a_spreadsheet_worked_out_is_perhaps_a_mark(text, marks):
    assert perhaps(text, tables()) == marks


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("807 modified (cap cut)", "modified, cap cut"), ("807 mod.", "mod"),
        ("box for 6V6GT", "box for"), ("6V6GT empty box", "empty box"), ("not a 6SN7GT", "not"),
        ("replaces 6V6GT", "replaces"), ("807 (broken)", "broken"), ("6V6GT sold", "sold"),
        ("manual for 807", "manual for"), ("6V6GT rebased", "rebased"),
        ("807 umgesockelt", "umgesockelt"), ("807 modifié", "modifié"), ("6SN7GT", ""), ("6V6GT modern box", ""),
    ],
)  # fmt: skip
def test_a_tube_that_was_changed_is_told(text, said):
    assert changed(text) == said == row(text).changed


@pytest.mark.parametrize("mark", ["leer", "-", "empty", "--", "vide", "leeg", "vuoto", "pusto", "prázdné", "пусто"])
@pytest.mark.parametrize(("count", "place"), [("", ""), ("", "Box 3"), ("0", "Box 3"), ("-", "")])
def test_an_empty_place_is_no_item(mark, count, place):
    assert row(mark, count, place).outcome == NOT_AN_ITEM


def test_a_count_of_nothing_named_is_refused():
    found = row("-", "3")
    assert (found.outcome, found.why) == (REFUSED, "nothing in the row says what it is")


@pytest.mark.parametrize(
    ("note", "who"),
    [
        ("loaned to Ostrander 2018", "Ostrander"),
        ("lent to H. Alder, 2019", "H. Alder"),
        ("on loan to the Skerry museum since 2018", "the Skerry museum"),
        ("verliehen an Alder 2019", "Alder"),
        ("prêté à Alder", "Alder"),
        ("from the attic; uitgeleend aan Alder", "Alder"),
        ("wypożyczona do Aldera", "Aldera"),
    ],
)
def test_a_loan_in_the_notes_is_told_and_offered(note, who):
    found = row(note=note)
    assert found.away and found.away.kind == "lent" and found.remarks
    assert found.away.who in who and found.away.who


@pytest.mark.parametrize(
    "note", ["sold 2020 for 30", "verkauft 2020", "vendue 2019", "was sold 2020", "given to Alder"]
)
def test_what_is_gone_by_the_notes_is_told(note):
    found = row(note=note)
    assert found.away and found.away.kind == "gone" and found.remarks


@pytest.mark.parametrize(
    "note",
    [
        "unsold in 2020",
        "sold as NOS by Alder",
        "bought, sold to me cheaply",
        "lent to Alder, back in 2019",
        "box of sold",
    ],
)
def test_words_that_say_nothing_of_where_a_thing_is(note):
    assert row(note=note).away is None


@pytest.mark.parametrize(
    ("place", "kind"),
    [
        ("sold", "gone"), ("verkauft", "gone"), ("im Gerät", "fitted"), ("in set", "fitted"),
        ("dans le poste", "fitted"), ("in toestel", "fitted"), ("в приборе", "fitted"), ("lent to Alder", "lent"),
    ],
)  # fmt: skip
def test_words_that_are_no_places(place, kind):
    found = row(place=place)
    assert found.away and found.away.kind == kind and found.places == ()
    assert "is no place" in found.remarks[0].reason


@pytest.mark.parametrize("place", ["Set 4", "Radio room", "Box 4", "Solder bench", "In tray"])
def test_places_that_only_sound_so(place):
    assert row(place=place).away is None and row(place=place).places == (place,)


@pytest.mark.parametrize("serial", ["1.43E+03", "#REF!", "1,43E+05", "1234567890123456789"])
def test_a_serial_that_a_spreadsheet_rewrote_does_not_refuse_the_thing(serial):
    found = row("6V6GT", serial=serial)
    assert found.outcome not in (REFUSED, NOT_AN_ITEM) and found.serial == "" and found.state == "untested"
    assert any("without the serial" in one.reason for one in found.remarks)


@pytest.mark.parametrize("note", ["need 4", "suche noch 2", "looking for 3", "wanted: 2", "cerco 2", "ищу 2"])
@pytest.mark.parametrize("count", ["0", ""])
def test_a_want_with_nothing_in_hand_keeps_its_type_and_offers_the_want(note, count):
    found = row("6V6GT", count, note=note)
    assert found.outcome == NOT_AN_ITEM and found.mark == "6V6GT" and found.remarks[-1].code == "want"
