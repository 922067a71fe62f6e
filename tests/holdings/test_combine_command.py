"""``manage.py combine``: the contract, and what is told of bad input."""

import pytest

from tests.commands import answer_of, refused, told

STOCK = "value,tolerance_pct,rating,quantity\n90 ohm,5,1 W,3\n135,10,1,2\n560,,2,0\n"


@pytest.fixture
def stock(tmp_path):
    def write(text=STOCK):
        path = tmp_path / "stock.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def asked(stock, value="270 ohm", *more):
    return ("combine", "--value", value, "--tolerance", "5", "--stock", stock, *more)


def test_the_fewest_then_the_closest(stock):
    answer, _ = answer_of(*asked(stock(), "270 ohm", "--power", "2 W"))
    assert [[part["value"] for part in one["parts"]] for one in answer["combinations"]] == [[135, 135], [90, 90, 90]]
    first = answer["combinations"][0]
    assert (first["how"], first["value"], first["error_pct"], first["power_w"]) == ("series", 270, 0, 2)
    assert "voltage_v" in first and answer["single"] == [] and answer["more"] == 0
    assert "135 ohm + 135 ohm in series" in told(*asked(stock(), "270 ohm", "--power", "2 W"))
    cut, _ = answer_of(*asked(stock(), "270 ohm", "--power", "2 W", "--most", "1"))
    assert len(cut["combinations"]) == cut["more"] == 1


def test_pieces_that_are_not_needed_can_be_left_out(stock):
    """Resistances in series add: 266 ohm serve without 4 ohm more, and 130 + 130 ohm without 4 ohm (5 % of 270 ohm)."""
    file = stock("value,tolerance_pct,rating,quantity\n266,5,2 W,1\n4,5,2 W,1\n130,5,2 W,2\n")
    every, _ = answer_of(*asked(file, "270 ohm"))
    needed, _ = answer_of(*asked(file, "270 ohm", "--needed"))
    assert len(every["combinations"]) > 1 and len(every["single"]) == 1 == len(needed["single"])
    assert [[part["value"] for part in one["parts"]] for one in needed["combinations"]] == [[130, 130]]


def test_capacitors_and_inductors(stock):
    caps = stock("value,tolerance_pct,rating,quantity\n0.02 mfd,20,400 V,2\n5000,20,600,2\n")
    answer, _ = answer_of(*asked(caps, "0.01 mfd", "--voltage", "600 V"))
    assert [(one["how"], one["voltage_v"]) for one in answer["combinations"]] == [("series", 800), ("parallel", 600)]
    coils = stock("value,tolerance_pct,rating,quantity\n2.5 mH,10,0.1 A,2\n")
    answer, _ = answer_of(*asked(coils, "5 mH", "--current", "0.1 A"))
    assert answer["combinations"][0]["current_a"] == 0.1


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffvalue;tolerance_pct;rating;quantity\n90;5;1/2 W 350 V;3\n",
        "quantity\tvalue\ttolerance_pct\trating\n3\t90 ohm\t±5%\t0,5 W, 350 V\n",
    ],
)
def test_tables_as_other_programs_write_them(stock, text):
    answer, _ = answer_of(*asked(stock(text), "270 ohm", "--power", "3/2 W", "--voltage", "400 V"))
    (one,) = answer["combinations"]
    assert (one["power_w"], one["voltage_v"], one["parts"][0]["tolerance_pct"]) == (1.5, 1050, 5)


def test_lots_of_other_kinds_are_left_out_and_told(stock):
    mixed = stock("value,tolerance_pct,rating,quantity\n135,5,1 W,2\n0.1 uF,20,400 V,5\n2.5 mH,,,1\n")
    answer, _ = answer_of(*asked(mixed, "270 ohm", "--power", "2 W"))
    assert len(answer["combinations"]) == 1 and "2 of the lots in the file are no resistors" in answer["remarks"][-1]


def test_what_is_borne_is_a_clean_figure(stock):
    """101 pF of 0.01 mfd and 100 pF in series: 505 V before the smaller is at its 500 V, and not 505.00000000000006."""
    caps = stock("value,tolerance_pct,rating,quantity\n0.01 mfd,,500 V,2\n100 pF,5,500 V,1\n")
    answer, _ = answer_of(*asked(caps, "100 pF", "--voltage", "500 V"))
    assert [one["voltage_v"] for one in answer["combinations"]] == [505, 510]


def test_nothing_serves(stock):
    assert "Nothing in this stock serves" in told(*asked(stock(), "10 ohm", "--power", "50 W"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("value,tolerance_pct,rating,quantity\n90,5,1,3\n135 V,5,1,2\n", "line 3, column value: '135 V'"),
        ("value,tolerance_pct,rating,quantity\n90,5,1 A,3\n", "line 2, column rating: '1 A'"),
        ("value,tolerance_pct,rating,quantity\n90,5,0,3\n", "line 2, column rating: 0 is no rating"),
        ("value,tolerance_pct,rating,quantity\n90,200,1,3\n", "line 2, column tolerance_pct: '200'"),
        ("value,tolerance_pct,rating,quantity\n90,5,1,-3\n", "line 2, column quantity: '-3'"),
        ("value,tolerance_pct,rating,quantity\n,5,1,3\n", "line 2, column value: empty"),
        ('value,tolerance_pct,rating,quantity\n"90,5\n', "save the table as CSV"),
        ("value,rating\n90,5\n", "line 1: no column tolerance_pct, quantity"),
        ("", "the file is empty"),
    ],
)
def test_a_bad_cell_is_named_by_line_and_column(stock, text, said):
    assert said in refused(*asked(stock(text)))


@pytest.mark.parametrize(
    ("value", "more", "said"),
    [
        ("270", (), "expected a value with its unit"),
        ("5 knobs", (), "expected a value with its unit"),
        ("1 M", (), "write K or Meg"),
        ("0.01 mf", (), "write mfd or uF"),
        ("270 ohm", ("--power", "2 V"), "--power: '2 V'"),
        ("270 ohm", ("--power", "0 W"), "expected more than 0 W"),
        ("270 ohm", ("--current", "1 A"), "--current is not asked of a resistor"),
        ("0.01 mfd", ("--power", "2 W"), "it takes --voltage"),
        ("270 ohm", ("--most", "0"), "1 or more"),
        ("270 ohm", ("--tolerance", "95"), "out of range"),
    ],
)
def test_what_cannot_be_asked(stock, value, more, said):
    assert said in refused(*asked(stock(), value, *more))


def test_a_file_that_is_not_there():
    assert "cannot be read" in refused(*asked("/nowhere/stock.csv"))
