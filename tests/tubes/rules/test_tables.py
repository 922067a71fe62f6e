"""Reading the reference tables: each kind of fault on a tiny table of its own; the real tables have none."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tubes.rules.basing import NAMES
from tubes.rules.sources import Citation
from tubes.rules.tables import COLUMNS, FIGURES, FILES, OPTIONAL, Fault, Tables, read_tables

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
RATED = ",".join(COLUMNS["ratings.csv"])
TEXTS = "key,title,publisher,year,location,read_at\n"
#: Invented texts and types: only the form of the tables is tested here.
TINY = {
    "sources.csv": TEXTS + "book-1,First book,,1941,,\nfrom memory,From memory,,,,\n",
    "ratings_sources.csv": TEXTS + "sheet-1,First sheet,,1943,,\nfrom memory,From memory,,,,\n"
    '"practice, no text",Practice,,,,\n',
    "jan_makers.csv": "code,maker,source\nCQQ,Quarry Valve Works,book-1\n",
    "designations.csv": "type,scheme,designation,relation,note,source\n9Q9,uk-cv,CV99999,same,,book-1\n",
    "relations.csv": "type,other,relation,note,source\n9Q9,9Q8,variant,a later build,book-1\n",
    "cautions.csv": "type,caution,source\n9Q8,Mercury vapour: keep upright.,sheet-1\n",
    "ratings.csv": "",  # filled below: the columns are many
    "limits.csv": 'key,value,unit,meaning,source\njudge.a_pct,5,%,how much,"practice, no text"\n',
    "basings.csv": "code,socket,pins,source\n9ZZ,octal,2=H 3=P 7=H 8=K,sheet-1\n",
}


def rated(**cells: str) -> str:
    """One line of ratings.csv by column names."""
    row = {"type": "9Q9", "kind": "triode", "cathode": "oxide-indirect", "source": "sheet-1"} | cells
    return ",".join(row.get(column, "") for column in COLUMNS["ratings.csv"])


TINY["ratings.csv"] = f"{RATED}\n{rated(heater_v='6.3', mu='20', cap='none')}\n"


def read(**changed: str) -> Tables:
    """The tiny tables with some of them changed; file names without their ending."""
    return read_tables(TINY | {f"{name}.csv": text for name, text in changed.items()})


def faults(**changed: str) -> list[str]:
    return [str(fault) for fault in read(**changed).faults]


def with_line(name: str, line: str) -> dict[str, str]:
    return {name: TINY[f"{name}.csv"] + line + "\n"}


def test_good_tables() -> None:
    tables = read()
    assert tables.faults == ()
    assert {name: len(rows) for name, rows in tables.rows.items()} == {
        "sources.csv": 2,
        "ratings_sources.csv": 3,
        "jan_makers.csv": 1,
        "designations.csv": 1,
        "relations.csv": 1,
        "cautions.csv": 1,
        "ratings.csv": 1,
        "limits.csv": 1,
        "basings.csv": 1,
        "handbook_tests.csv": 0,
        "recall_doubts.csv": 0,
    }
    assert tables.rows["limits.csv"][0].figures == {"value": 5.0}
    assert tables.rows["limits.csv"][0].citations == (Citation("practice, no text"),)
    row = tables.rows["ratings.csv"][0]
    assert (row.line, row.figures, row.citations) == (2, {"heater_v": 6.3, "mu": 20.0}, (Citation("sheet-1"),))
    assert row.cells["cap"] == "none"


def test_a_byte_order_mark_blank_lines_gaps_and_other_line_ends_do_no_harm() -> None:
    text = "\ufeff" + TINY["jan_makers.csv"].replace("\n", "\r\n") + "\r\n , ,\r\n CQR , Quarry Two , book-1 \r\n"
    tables = read(jan_makers=text)
    assert tables.faults == ()
    assert [row.cells["code"] for row in tables.rows["jan_makers.csv"]] == ["CQQ", "CQR"]
    assert tables.rows["jan_makers.csv"][1].line == 5


def test_cautions_may_be_missing() -> None:
    assert read_tables({file: text for file, text in TINY.items() if file != "cautions.csv"}).faults == ()


@pytest.mark.parametrize("name", [name for name in FILES if name not in OPTIONAL])
def test_a_missing_file(name: str) -> None:
    texts = {file: text for file, text in TINY.items() if file != name}
    tables = read_tables(texts)
    assert str(tables.faults[0]) == f"{name}:0: file: not found, expected a table of this name"
    assert tables.rows[name] == ()


def test_a_wrong_heading() -> None:
    assert faults(jan_makers="code,name,source\nCQQ,Quarry,book-1\n") == [
        "jan_makers.csv:1: heading: 'code,name,source', expected 'code,maker,source'"
    ]
    assert faults(jan_makers="") == ["jan_makers.csv:1: heading: '', expected 'code,maker,source'"]


@pytest.mark.parametrize(
    ("name", "line", "expected"),
    [
        ("jan_makers", "CQR,Quarry Two", "jan_makers.csv:3: row: 2 cells, expected 3"),
        ("jan_makers", "CQR,Quarry, Two,book-1", "jan_makers.csv:3: row: 4 cells, expected 3"),
        ("jan_makers", "CQQ,Other,book-1", "jan_makers.csv:3: code: 'CQQ' again, expected it once (line 2)"),
        ("jan_makers", "CQR,,book-1", "jan_makers.csv:3: maker: empty, expected a value"),
        ("jan_makers", "CQR,Quarry Two,", "jan_makers.csv:3: source: empty, expected a value"),
        (
            "jan_makers",
            "CQR,Quarry Two,book-9",
            "jan_makers.csv:3: source: 'book-9', expected a key of the source tables",
        ),
        (
            "jan_makers",
            "CQR,Quarry Two,sheet-1",
            "jan_makers.csv:3: source: 'sheet-1', expected a key of the source tables",
        ),
        (
            "jan_makers",
            "CQR,Quarry Two,Book 1!",
            "jan_makers.csv:3: source: 'Book 1!', expected key or key[column+column]",
        ),
        (
            "jan_makers",
            "CQR,Quarry Two,book-1[mu]",
            "jan_makers.csv:3: source: book-1[mu], expected a column of this file",
        ),
        ("sources", "book-1,Again,,,,", "sources.csv:4: key: 'book-1' again, expected it once (line 2)"),
        ("sources", "book-2,,,,,", "sources.csv:4: title: empty, expected a value"),
        ("ratings_sources", ",Sheet,,,,", "ratings_sources.csv:5: key: empty, expected a value"),
        (
            "limits",
            "judge,5,%,how much,sheet-1",
            "limits.csv:3: key: 'judge', expected a name after one of "
            "judge., supply., life., test., match., activity., hours., spares., rectifier.",
        ),
        (
            "limits",
            "judge.b,five,%,how much,sheet-1",
            "limits.csv:3: value: 'five', expected a figure of 0 or more, or nothing",
        ),
        ("limits", "judge.b,,%,how much,sheet-1", "limits.csv:3: value: empty, expected a value"),
        ("limits", "judge.b,1,%,,sheet-1", "limits.csv:3: meaning: empty, expected a value"),
        (
            "limits",
            "judge.a_pct,1,%,again,sheet-1",
            "limits.csv:3: key: 'judge.a_pct' again, expected it once (line 2)",
        ),
        ("limits", "judge.b,1,%,x,nobody", "limits.csv:3: source: 'nobody', expected a key of the source tables"),
        (
            "basings",
            "8ZZ,octal,1=Q,sheet-1",
            "basings.csv:3: pins: 'Q' is no electrode; expected one of " + ", ".join(NAMES),
        ),
        ("basings", "8ZZ,,1=P,sheet-1", "basings.csv:3: socket: empty, expected a value"),
        (
            "designations",
            "9Q9,uk-cv,CV99999,near,,book-1",
            "designations.csv:3: type: '9Q9 uk-cv CV99999' again, expected it once (line 2)",
        ),
        ("designations", ",uk-cv,CV99998,same,,book-1", "designations.csv:3: type: empty, expected a value"),
        ("designations", "9Q9,uk-cv,,same,,book-1", "designations.csv:3: designation: empty, expected a value"),
        (
            "designations",
            "9Q9,uk-cv,CV99998,equal,,book-1",
            "designations.csv:3: relation: 'equal', expected one of same, ruggedized, variant, near",
        ),
        ("ratings", rated(), "ratings.csv:3: type: '9Q9' again, expected it once (line 2)"),
        (
            "ratings",
            rated(type="9Q8", cathode="warm"),
            "ratings.csv:3: cathode: 'warm', expected one of "
            "oxide-indirect, oxide-direct, thoriated-tungsten, tungsten, cold",
        ),
        ("ratings", rated(type="9Q8", cap="screen"), "ratings.csv:3: cap: 'screen', expected one of none, plate, grid"),
        ("ratings", rated(type="9Q8", kind=""), "ratings.csv:3: kind: empty, expected a value"),
        (
            "ratings",
            rated(type="9Q8", source="book-1"),
            "ratings.csv:3: source: 'book-1', expected a key of the source tables",
        ),
        (
            "ratings",
            rated(type="9Q8", source="sheet-1[volts]"),
            "ratings.csv:3: source: sheet-1[volts], expected a column of this file",
        ),
        *(
            (
                "ratings",
                rated(type="9Q8", heater_v=bad),
                f"ratings.csv:3: heater_v: {bad!r}, expected a figure of 0 or more, or nothing",
            )
            for bad in ("6.3 V", "-6.3", "abc", "nan", "inf", "1e12", "6..3", "6.3/12.6")
        ),
    ],
)
def test_each_kind_of_fault(name: str, line: str, expected: str) -> None:
    assert faults(**with_line(name, line)) == [expected]
    # The bad line is left out, the good one before it is kept; only an unknown key shows after the reading.
    kept = read(**with_line(name, line)).rows[f"{name}.csv"]
    assert kept[0].line == 2


def test_unknown_scheme_and_kind_name_the_choices() -> None:
    assert faults(**with_line("designations", "9Q9,uk,CV99998,same,,book-1"))[0].startswith(
        "designations.csv:3: scheme: 'uk', expected one of us-signal-corps-vt, us-navy, uk-cv,"
    )
    assert faults(**with_line("ratings", rated(type="9Q8", kind="Triode")))[0].startswith(
        "ratings.csv:3: kind: 'Triode', expected one of triode, duotriode,"
    )


def test_an_open_quote_is_a_fault_of_its_row() -> None:
    (fault,) = faults(**with_line("jan_makers", 'CQR,"Quarry Two,book-1'))
    assert fault.startswith("jan_makers.csv:3: row: ")
    assert fault.endswith("expected comma-separated text")


def test_all_faults_of_a_row_and_of_all_files_are_told_in_order() -> None:
    found = faults(
        **with_line("ratings", rated(type="9Q8", kind="x", mu="y", source="?")),
        **with_line("jan_makers", ",,"),
    )
    assert [text.split(": ")[0:2] for text in found] == [
        ["ratings.csv:3", "kind"],
        ["ratings.csv:3", "mu"],
        ["ratings.csv:3", "source"],
    ]  # a line of nothing but commas is blank


def test_a_fault_is_printed_like_a_compiler_does() -> None:
    assert str(Fault("a.csv", 7, "mu", "'x', expected y")) == "a.csv:7: mu: 'x', expected y"


# --- Cases where a bad cell passes, or the place named is not the place


def test_a_slip_of_the_decimal_point_is_no_figure() -> None:
    assert len(faults(**with_line("ratings", rated(type="9Q8", heater_v="6_3")))) == 1


def test_a_fault_of_a_row_over_two_lines_names_its_first_line() -> None:
    assert faults(**with_line("jan_makers", 'CQR,"Quarry\nTwo",')) == [
        "jan_makers.csv:3: source: empty, expected a value"
    ]


def test_line_numbers_are_those_of_an_editor() -> None:
    text = 'code,maker,source\nCQQ,"Quarry\u2028Works",book-1\nCQR,,book-1\n'
    assert faults(jan_makers=text) == ["jan_makers.csv:3: maker: empty, expected a value"]


def test_a_figure_without_a_source_is_a_fault() -> None:
    assert (
        len(faults(**with_line("ratings", rated(type="9Q8", heater_v="6.3", mu="20", source="sheet-1[heater_v]")))) == 1
    )


def test_a_missing_source_table_is_one_fault() -> None:
    texts = {file: text for file, text in TINY.items() if file != "sources.csv"}
    assert len(read_tables(texts).faults) == 1


def test_a_bad_line_of_a_source_table_is_one_fault() -> None:
    text = TEXTS + "book-1,,,1941,,\n"
    assert faults(sources=text) == ["sources.csv:2: title: empty, expected a value"]


# --- Properties


@settings(max_examples=200, deadline=None, database=None)
@given(st.sampled_from(FILES), st.text(max_size=80), st.booleans())
def test_no_text_at_all_stops_the_reading(name: str, text: str, after_heading: bool) -> None:
    tables = read_tables(TINY | {name: (TINY.get(name, "") if after_heading else "") + text})
    for fault in tables.faults:
        assert fault.file in FILES
        assert fault.column
        assert "expected" in fault.text


@settings(max_examples=200, deadline=None, database=None)
@given(st.sampled_from(FIGURES), st.floats(0, 1e8, allow_nan=False))
def test_a_figure_is_read_as_written(column: str, value: float) -> None:
    tables = read(ratings=f"{RATED}\n{rated(**{column: repr(value)})}\n")
    assert tables.faults == ()
    assert tables.rows["ratings.csv"][0].figures == {column: value}


# --- The real tables


def real_tables() -> Tables:
    return read_tables({name: (REFERENCE / name).read_text(encoding="utf-8") for name in FILES})


def test_the_real_tables_have_no_fault() -> None:
    assert [str(fault) for fault in real_tables().faults] == []


@pytest.mark.parametrize("name", FILES)
def test_no_line_of_the_real_tables_is_lost(name: str) -> None:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        lines = sum(1 for row in csv.reader(file) if any(row)) - 1
    assert len(real_tables().rows[name]) == lines > 0


def test_figures_of_the_real_tables_that_are_well_known() -> None:
    """From memory: the 6SN7GT takes 6.3 V 0.6 A and has mu 20; the 801-A 7.5 V 1.25 A; the 211 10 V 3.25 A."""
    rows = {row.cells["type"]: row.figures for row in real_tables().rows["ratings.csv"]}
    assert (rows["6SN7GT"]["heater_v"], rows["6SN7GT"]["heater_a"], rows["6SN7GT"]["mu"]) == (6.3, 0.6, 20)
    assert (rows["801A"]["heater_v"], rows["801A"]["heater_a"]) == (7.5, 1.25)
    assert (rows["211"]["heater_v"], rows["211"]["heater_a"]) == (10, 3.25)
