"""The stamp reader against the published designations and against marks as they stand on tubes.

A source key (fixtures/reference/sources.csv) or "common practice, no source" stands beside each group of checks.
"""

import csv
import json
import string
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tubes.rules.stamp import DesignationRow, StampAnswer, StampTables, fold_key, read_stamp

REFERENCE = Path(__file__).resolve().parents[3] / "fixtures" / "reference"


def read_csv(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


ROWS = [
    DesignationRow(row["type"], row["scheme"], row["designation"], row["relation"], row["note"])
    for row in read_csv("designations.csv")
]
TYPES = sorted({row.type for row in ROWS} | {row["type"] for row in read_csv("ratings.csv")})
MAKERS = {row["code"]: row["maker"] for row in read_csv("jan_makers.csv")}
NAMES = sorted({row.designation for row in ROWS} | set(TYPES))
KEYS = {fold_key(name) for name in NAMES}


@cache
def tables() -> StampTables:
    return StampTables.build(ROWS, MAKERS, TYPES)


def read(text: str) -> StampAnswer:
    return read_stamp(text, tables())


def short(answer: StampAnswer) -> list[tuple[str, str, str | None, str | None]]:
    """Readings as (scheme, designation, maker code, type)."""
    return [(r.scheme, r.designation, r.maker_code, r.type) for r in answer.readings]


def found(text: str, row: DesignationRow) -> bool:
    return any(r.scheme == row.scheme and r.type == row.type for r in read(text).readings)


# --- every row, four ways -------------------------------------------------------------------------------------------
WAYS: dict[str, Callable[[str], str]] = {
    "as published": lambda name: name,
    "lower case": str.lower,
    "no hyphens": lambda name: name.replace("-", ""),
    "spaces": lambda name: name.replace("-", " "),
}


@pytest.mark.parametrize("way", WAYS)
def test_every_row_is_found(way: str) -> None:
    assert ROWS and [row for row in ROWS if not found(WAYS[way](row.designation), row)] == []


# --- one number or mark, all its readings ---------------------------------------------------------------------------
US, UK, CV, NAVY = "us-signal-corps-vt", "uk-services", "uk-cv", "us-navy"
PE, EIA, OLD = "pro-electron", "eia-industrial", "obsolete-civil"
READINGS: list[tuple[str, list[tuple[str, str, str | None, str | None]]]] = [
    # JAN and Navy strings: common practice, no source; CW-931: si-vt2
    ("JAN-CHS-6SN7GT", [("jan", "6SN7GT", "CHS", "6SN7GT")]),
    ("JANCHS6SN7GT", [("jan", "6SN7GT", "CHS", "6SN7GT")]),
    ("jan chs 6sn7 gt", [("jan", "6SN7GT", "CHS", "6SN7GT")]),
    ("J.A.N.-CHS-6SN7GT", [("jan", "6SN7GT", "CHS", "6SN7GT")]),
    ("JAN CRC 807", [("jan", "807", "CRC", "807")]),
    ("JAN-807", [("jan", "807", None, "807")]),
    ("JAN6AK5W", [("jan", "6AK5W", None, "5654"), ("jan", "6AK5W", None, "6AK5")]),
    ("JAN-CRC-5670", [("jan", "5670", "CRC", "5670"), ("jan", "5670", "CRC", "2C51")]),
    ("JAN-CRC-VT-231", [(US, "VT-231", "CRC", "6SN7GT")]),
    ("JAN-CV138", [(CV, "CV138", None, "6AM6")]),
    ("JAN-CXYZ-807", [("jan", "807", "CXYZ", "807")]),
    ("JAN-CHS-6SN7GTD", [("jan", "6SN7GTD", "CHS", None)]),
    ("JANCHS6SN7GTD", [("jan", "6SN7GTD", "CHS", None)]),
    ("JAN-6V6GT/G", [("jan", "6V6GT/G", None, "6V6GT")]),
    ("JAN-CRC-59", [("jan", "59", "CRC", None)]),
    ("JAN-6K7", [("jan", "6K7", None, "6K7")]),
    ("JAN-6A7", [("jan", "6A7", None, None)]),
    ("JAN-45", [("jan", "45", None, "45")]),
    ("JAN-CK1005", [("jan", "CK1005", None, "CK1005")]),
    ("USN-CRC-38111A", [(NAVY, "38111A", "CRC", None)]),
    ("USNCRC38111A", [(NAVY, "38111A", "CRC", None)]),
    ("U.S.N.-CRC-38111A", [(NAVY, "38111A", "CRC", None)]),
    ("U.S. NAVY CRC-38111A", [(NAVY, "38111A", "CRC", None)]),
    ("USN 38111A", [(NAVY, "38111A", None, None)]),
    ("CRC-38111A", [(NAVY, "38111A", "CRC", None)]),
    ("CW-931", [(NAVY, "CW-931", "CW", "WE-205B")]),
    ("C.W.931", [(NAVY, "CW-931", "CW", "WE-205B")]),
    ("USN-CW-931", [(NAVY, "CW-931", "CW", "WE-205B")]),
    ("CW-930", [(NAVY, "CW-930", "CW", None)]),
    ("CRC 807", [("plain", "807", "CRC", "807")]),
    ("CRC807", [("plain", "807", "CRC", "807")]),
    ("CHS-6SN7GT", [("plain", "6SN7GT", "CHS", "6SN7GT")]),
    ("USA-CHS-6SN7GT", [("plain", "6SN7GT", "CHS", "6SN7GT")]),
    ("USN-6SN7GT", [("plain", "6SN7GT", None, "6SN7GT")]),
    # Signal Corps: rtype-vt for the two VT series; rows as marked in the table
    ("VT-65-A", [(US, "VT-65-A", None, "6C5G"), (US, "VT-65-A", None, "6C5")]),
    ("VT-28", [(US, "VT-28", None, "24"), (US, "VT-28", None, "24A")]),
    ("VT-60", [(US, "VT-60", None, "850"), (UK, "VT60", None, "807")]),
    ("VT60A", [(UK, "VT60A", None, "807")]),
    ("VT501", [(UK, "VT501", None, "TT11")]),
    ("VT-299", [(US, "VT-299", None, None), (UK, "VT299", None, None)]),
    ("VT 299", [(US, "VT-299", None, None), (UK, "VT299", None, None)]),
    ("VT-350", [(UK, "VT350", None, None)]),
    ("VT-94-E", [(US, "VT-94-E", None, None), (UK, "VT94E", None, None)]),
    ("VT 94 E", [(US, "VT-94", None, "6J5"), (US, "VT-94-E", None, None)]),
    # British services and stores references: bvws-valvenos
    ("VR135", [(UK, "VR135", None, "E1148")]),
    ("NR 80", [(UK, "NR80", None, "E1148")]),
    ("10E/392", [(UK, "10E/392", None, "E1148")]),
    ("10 E / 392", [(UK, "10E/392", None, "E1148")]),
    ("10E/392A", [(UK, "10E/392A", None, None)]),
    ("10E/11392", [(UK, "10E/11392", None, None)]),
    ("ZA3055", [(UK, "ZA3055", None, "E1148")]),
    ("CV1135", [(CV, "CV1135", None, "E1148")]),
    ("CV 9999", [(CV, "CV9999", None, None)]),
    ("CV181", [(CV, "CV181", None, "ECC32"), (CV, "CV181", None, "6SN7GT")]),
    ("CV 138 (=EF91)", [(CV, "CV138", None, "6AM6"), (PE, "EF91", None, "6AM6")]),
    # regulators: common practice, no source
    ("VR-150/30", [(OLD, "VR150-30", None, "0D3")]),
    ("VR 150 30", [(OLD, "VR150-30", None, "0D3")]),
    ("VR-150/30 (OD3)", [(OLD, "VR150-30", None, "0D3"), (OLD, "OD3", None, "0D3")]),
    ("VR77", [(UK, "VR77", None, None), (OLD, "VR77", None, None)]),
    # industrial and European: ge-fivestar, wiki-ja-gtr, tcuk-tx
    ("5670", [("plain", "5670", None, "5670"), (EIA, "5670", None, "2C51")]),
    ("5814WD", [(EIA, "5814WD", None, None)]),
    ("EL34", [(PE, "EL34", None, "6CA7"), ("plain", "EL34", None, "EL34")]),
    ("QE05/40", [(PE, "QE05/40", None, "6146")]),
    ("QE05 / 40", [(PE, "QE05/40", None, "6146")]),
    ("QB4/1200", [(PE, "QB4/1200", None, None)]),
    ("QQV02-7", [(PE, "QQV02-7", None, None)]),
    ("EF999", [(PE, "EF999", None, None)]),
    ("EL 12", [(PE, "EL12", None, None)]),
    ("EF 22", [("plain", "22", None, "22"), (PE, "EF22", None, None)]),
    ("GE 807", [("plain", "807", None, "807")]),
    ("5B/254M", [("plain", "5B/254M", None, "5B/254M"), ("maker", "5B/254M", None, "807")]),
    ("TB2.5/300", [("plain", "TB2.5/300", None, "TB2.5/300")]),
    # American: tcuk-retma, wiki-list for the suffix letters
    ("6146", [("plain", "6146", None, "6146")]),
    ("6146B", [("plain", "6146B", None, "6146B")]),
    ("6SN7GTD", [("plain", "6SN7GTD", None, None)]),
    ("6SN7 GTB", [("plain", "6SN7GTB", None, "6SN7GTB")]),
    ("6SN7 GTY", [("plain", "6SN7GTY", None, None)]),
    ("6SN7GT D", [("plain", "6SN7GT", None, "6SN7GT"), ("plain", "6SN7GTD", None, None)]),
    ("807Q", [("plain", "807Q", None, None)]),
    ("6V6GT/G", [("plain", "6V6GT/G", None, "6V6GT")]),
    ("6SN7 GT/G", [("plain", "6SN7GT/G", None, "6SN7GT")]),
    ("6BX7GT/G", [("plain", "6BX7GT/G", None, None)]),
    ("6BX7GT", [("plain", "6BX7GT", None, None)]),
    ("59", [("plain", "59", None, None)]),
    ("OA2", [(OLD, "OA2", None, "0A2")]),
    ("'2E26", [("plain", "2E26", None, "2E26")]),
    ("4125A", [("plain", "4-125A", None, "4-125A")]),
    ("UX-299", [(OLD, "UX-299", None, None)]),
    ("WE-300B", [("maker", "WE-300B", None, None)]),
    # maker's marks in front: ccmp-will, ge-etm
    ("RCA-6SN7GT", [("plain", "6SN7GT", None, "6SN7GT")]),
    ("RCA6SN7GT", [("plain", "6SN7GT", None, "6SN7GT")]),
    ("RCA-807", [(OLD, "RCA-807", None, "807")]),
    ("GL-5670", [("maker", "GL-5670", None, "5670")]),
    ("WL-866A", [("maker", "WL-866A", None, "866A")]),
    # dual marks: maarc-1991 for 39/44
    ("VT-231/6SN7GT", [(US, "VT-231", None, "6SN7GT"), ("plain", "6SN7GT", None, "6SN7GT")]),
    ("39/44", [("plain", "39", None, "39"), (OLD, "44", None, "39"), ("plain", "44", None, "44")]),
    ("6AC7/1855", [("plain", "6AC7", None, "6AC7"), (EIA, "1855", None, None)]),
    ("VT-2 44", [(US, "VT-2", None, "WE-205B"), (OLD, "44", None, "39"), ("plain", "44", None, "44")]),
    # Soviet: wiki-6sn7, ruwiki-6p3s, tubes-ru-gu13
    ("6Н8С", [("soviet", "6N8S", None, "6SN7GT"), ("soviet", "6H8C", None, "6SN7GT")]),
    ("6Н8C", [("soviet", "6N8S", None, "6SN7GT"), ("soviet", "6H8C", None, "6SN7GT")]),
    ("6H8C", [("soviet", "6H8C", None, "6SN7GT")]),
    ("6К7", [("soviet", "6K7", None, "6K7"), ("plain", "6K7", None, "6K7")]),
    ("6K7", [("plain", "6K7", None, "6K7"), ("soviet", "6K7", None, "6K7")]),
    ("6П3С-Е", [("soviet", "6P3S-E", None, "6L6G")]),
    ("Г-807", [("soviet", "G-807", None, "807")]),
    ("ГУ-13", [("soviet", "GU-13", None, "813")]),
    ("6Ж99П", [("soviet", "6Zh99P", None, None)]),
    ("6SN7GТ", [("plain", "6SN7GT", None, "6SN7GT")]),  # the last letter is Cyrillic
    # spacing, dashes and what cannot be seen: common practice, no source
    ("VT\u2013231", [(US, "VT-231", None, "6SN7GT")]),
    ("VT\u00a0231", [(US, "VT-231", None, "6SN7GT")]),
    ("V\u200bT - 231", [(US, "VT-231", None, "6SN7GT")]),
    ("VT-23l", [(US, "VT-23-L", None, None), (UK, "VT23L", None, None)]),  # a small L is never read as a figure 1
    ("VT_231", [(US, "VT-231", None, "6SN7GT")]),
    # tied together, and neither half is read alone
    ("6SN7GT-44", []),
    ("VT-2-31", []),
]


@pytest.mark.parametrize(("text", "readings"), READINGS, ids=[text for text, _ in READINGS])
def test_readings(text: str, readings: list[tuple[str, str, str | None, str | None]]) -> None:
    assert short(read(text)) == readings


# --- what is left over: common practice, no source -------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "designations", "leftover"),
    [
        ("6SN7GT JAN 1944", ["6SN7GT"], "JAN 1944"),
        ("JAN 44", [], "JAN 44"),
        ("JAN 6SN7GT JAN 44", ["6SN7GT"], "JAN 44"),
        ("TUBE ELECTRON VT-231 U.S. ARMY", ["VT-231"], "TUBE ELECTRON U.S. ARMY"),
        ("MADE IN U.S.A. 807", ["807"], "MADE IN U.S.A."),
        ("U.S. NAVY 6SN7GT", ["6SN7GT"], "U.S. NAVY"),
        ("807 3-44", ["807"], "3-44"),
        ("807 44-12", ["807"], "44-12"),
        ("807 1944", ["807"], "1944"),
        ("807 4/44", ["807"], "4/44"),
        ("3/15/44 807", ["807"], "3/15/44"),
        ("807 Mar 44", ["807"], "Mar 44"),
        ("10 MAR 44", [], "10 MAR 44"),
        ("MAR '44 807", ["807"], "MAR '44"),
        ("807-NOS", ["807"], "NOS"),
        ("Sylvania 6SN7GT tested", ["6SN7GT"], "Sylvania tested"),
        ("QTY 10 807", ["807"], "QTY 10"),
        ("250V 807", ["807"], "250V"),
        ("10PCS 807", ["807"], "10PCS"),
        ("SIGNAL CORPS JAN-CKR-807 44-12 ORDER NO. 2134-X-44", ["807"], "SIGNAL CORPS 44-12 ORDER NO. 2134-X-44"),
        ("hello", [], "hello"),
    ],
)
def test_leftover(text: str, designations: list[str], leftover: str) -> None:
    answer = read(text)
    assert [r.designation for r in answer.readings] == designations
    assert answer.leftover == leftover
    assert answer.refused is None


# --- ambiguous: rtype-vt, bvws-valvenos for the two VT series --------------------------------------------------------
@pytest.mark.parametrize(
    "text",
    [
        *("VT-52", "VT-60", "VT-75", "VT-105", "VT-299", "VT 94 E", "6SN7GT D", "VT-231/6SL7GT", "VT-231 (6SL7GT)"),
        *("VT60A", "VT52", "VR90", "VR75", "VR 105", "vr-150", "VT61A", "VR90 NOS", "VT90", "vt 25", "VT62 NOS"),
        *("VT90 RAF", "RAF VT25", "VT90 MULLARD", "VT51 GEC", "VR90 MULLARD", "VR150 RAF", "VT60A U.S.A."),
    ],
)
def test_ambiguous(text: str) -> None:
    assert read(text).ambiguous


@pytest.mark.parametrize(
    "text",
    [
        *("VT-65-A", "5670", "EL34", "VT-28", "CV181", "VT-231/6SN7GT", "39/44", "24/24A", "6Н8С", "6K7", "7C5"),
        *("VR-150/30", "CV 138 (=EF91)", "6SN7GT, 6SL7GT", "6SN7GTY", "1625/VT-136", "VT109", "6AC7/1852"),
        *("VR90/0B3", "OD3/VR150", "VR-150-30", "VR90 MADE IN U.S.A.", "VR91", "VR65", "VT501", "JAN-VR150"),
        *("VT-90", "vt - 25", "VT90 6H6", "VT90 U.S.A.", "VT231", "VT66", "VT94D", "VT60A RAF", "VT90 SYLVANIA"),
    ],
)
def test_not_ambiguous(text: str) -> None:
    assert not read(text).ambiguous


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("VT109", "a British VT109 would be another tube (not in the tables)"),
        ("VT60A", "a U.S. VT-60-A would be another tube"),
        ("VT90", "(not in the tables); the R.A.F. had a VT90 (from memory)"),
        ("VR105", "a British VR105 would be another tube"),
        ("VT-231/6SL7GT", "the two marks disagree"),
        ("6SN7GTD", "6SN7GT is, but a suffix makes a different tube"),
        ("VT-94-E", "VT-94 is, but a suffix makes a different tube"),
        ("6SN7", "6SN7GT"),
        ("6V6GT/G", "GT/G: made as the GT, serves for the G as well (common practice, no source)"),
        ("RCA-6SN7GT", "RCA-"),
        ("6A7", "an American 6A7 would be another tube"),
        ("JAN-45", "January 1945"),
    ],
)
def test_notes(text: str, note: str) -> None:
    assert note in read(text).readings[0].note


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("5960-00-000-4004", "country 00, and the United Kingdom is 99"),
        ("5950-99-000-4004", "group 5950, and electron tubes are 5960"),
        ("5960-99-037-4004", "037-4004, and a CV number stands behind 000"),
        ("5960/99/999/4004", "999-4004, and a CV number stands behind 000"),
        ("5960/33/000/4024", "country 33, and the United Kingdom is 99"),
    ],
)
def test_a_stock_number_of_another_country_or_group_is_told_and_not_read(text: str, why: str) -> None:
    """Make-up of NATO stock numbers: group, country, seven figures (common practice, no source)."""
    answer = read(text)
    assert not answer.readings and answer.refused is not None and why in answer.refused
    assert answer.leftover == text
    assert [r.designation for r in read("5960-99-000-4004").readings] == ["CV4004"]


# --- refused: rewritten by a spreadsheet, or a figure lost: common practice, no source -------------------------------
@pytest.mark.parametrize(
    "text", ["2.00E+26", "2,00E+26", "2E+26", "2.0e+26", "200000000000000000000000000", "2.00Е+26"]
)
def test_rewritten_number_is_refused_and_named(text: str) -> None:
    answer = read(text)
    assert answer.readings == ()
    assert answer.leftover == text
    assert answer.refused is not None and "likely 2E26" in answer.refused and "20E25" in answer.refused


@pytest.mark.parametrize("text", ["#REF!", "#NAME?", "#N/A", "#VALUE!", "########", "2.00E-26", "1" * 40])
def test_original_is_lost(text: str) -> None:
    answer = read(text)
    assert answer.readings == ()
    assert answer.refused is not None and "the original number is lost" in answer.refused


def test_other_rewritten_numbers() -> None:
    assert "likely 6E5" in (read("6.00E+05").refused or "")
    assert "likely 4E27" in (read("4.00E+27").refused or "")
    assert "3E28 or 30E27" in (read("3.00E+28").refused or "")
    assert "12E25 or 120E24" in (read("1.20E+26").refused or "")
    assert short(read("2.00E+26 / 807")) == [("plain", "807", None, "807")]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("VT-2?1", "VT-201, VT-221, VT-231, VT-251, VT-281"),
        ("VT 2?1", "VT-201, VT-221, VT-231, VT-251, VT-281"),
        ("VT-2 ?1", "VT-201, VT-221, VT-231, VT-251, VT-281"),
        ("VT-2!1", "VT-201, VT-221, VT-231, VT-251, VT-281"),
        ("VT ? 31", "VT-131, VT-231"),
        ("VT_31", "VT-131, VT-231"),
        ("6SN_GT", "6SN7GT"),
        ("6S*7", "6SA7, 6SC7, 6SF7, 6SG7, 6SH7, 6SJ7 and"),
        ("6_K7", "6SK7"),
        ("JAN-CHS-6S?7GT", "6SA7GT"),
        ("10E/3?2", "10E/392"),
        ("QE0?/40", "QE05/40"),
        ("6SN7GT?", "a figure is lost"),
    ],
)
def test_lost_figure_is_not_guessed(text: str, named: str) -> None:
    answer = read(text)
    assert answer.readings == ()
    assert answer.leftover == text
    assert answer.refused is not None and named in answer.refused


def test_the_sound_part_is_kept() -> None:
    answer = read("VT-2?1 6SN7GT NOS")
    assert short(answer) == [("plain", "6SN7GT", None, "6SN7GT")]
    assert answer.leftover == "VT-2?1 NOS"
    assert answer.refused is not None


@pytest.mark.parametrize("text", ["", "   ", "\u200b", "\n\t"])
def test_nothing_to_read(text: str) -> None:
    assert read(text).refused == "nothing to read"
    assert read(text).readings == ()


def test_a_sign_alone_has_a_reason() -> None:
    answer = read("\u2603")
    assert answer.readings == () and answer.refused == "no letter and no figure to read"


def test_only_the_beginning_of_a_long_text_is_read() -> None:
    answer = read("807 " + "word " * 100)
    assert answer.refused is not None and "200" in answer.refused
    assert [r.type for r in answer.readings] == ["807"]
    cut = read("x" * 189 + " 6SN7GTD and more")  # the limit falls between 6SN7GT and D or thereabouts
    assert all(r.type is None for r in cut.readings)


def test_a_stock_number_of_a_british_tube_ends_in_its_cv_number() -> None:
    """NATO stock numbers: group 5960 electron tubes, country 99 the United Kingdom (common practice, no source)."""
    plain = read("CV4004").readings
    for text in ("5960-99-000-4004", "5960 99 000 4004", "5960/99/000/4004", "5960990004004 NEW"):
        answer = read(text)
        assert [(r.scheme, r.designation, r.type) for r in answer.readings] == [
            (r.scheme, r.designation, r.type) for r in plain
        ]
        assert plain and all("NATO stock number" in r.note for r in answer.readings) and answer.stamp == text
    for other in ("5960-00-000-4004", "5961-99-000-4004", "15960-99-000-4004"):
        assert not any(r.scheme == "uk-cv" for r in read(other).readings)


def test_german_military_numbers_with_tenths_of_a_volt() -> None:
    """RV2,4P700: filament of 2.4 V; the comma parts no list there (common practice, no source)."""
    for text in ("RV2,4P700", "RV 2,4 P 700", "RV12P2000", "RV 12 P 2000"):
        assert len({r.type for r in read(text).readings}) == 1 and read(text).readings[0].type, text
    assert [(r.scheme, r.type) for r in read("RV12P4321").readings] == [("german-military", None)]
    assert [r.type for r in read("807,813").readings] == ["807", "813"]


def test_answer_as_dict() -> None:
    answer = read("JAN-CHS-6SN7GT NOS").as_dict()
    assert answer == {
        "stamp": "JAN-CHS-6SN7GT NOS",
        "readings": [
            {
                "scheme": "jan",
                "designation": "6SN7GT",
                "maker_code": "CHS",
                "maker": "Sylvania Electric Products (formerly Hygrade Sylvania)",
                "type": "6SN7GT",
                "relation": "same",
                "note": "",
            }
        ],
        "leftover": "NOS",
        "ambiguous": False,
        "refused": None,
    }
    json.dumps(answer)


def test_same_comes_first() -> None:
    assert [r.relation for r in read("VT-65-A").readings] == ["same", "variant"]
    assert [r.relation for r in read("5670").readings] == ["same", "ruggedized"]


def test_empty_tables() -> None:
    nothing = StampTables.build([], {}, [])
    assert short(read_stamp("JAN-CHS-6SN7GT", nothing)) == [("jan", "6SN7GT", "CHS", None)]


# --- properties ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("mark", ["", "-", "."])
def test_a_suffix_never_falls_back(mark: str) -> None:
    """No designation of the tables is read out of itself with a letter or figure more (design, section 4)."""
    for name in NAMES:
        for extra in string.ascii_uppercase + string.digits:
            if fold_key(name + extra) not in KEYS:
                wrong = [
                    r
                    for r in read(name + mark + extra).readings
                    if r.type and fold_key(r.designation) == fold_key(name)
                ]
                assert not wrong, (name + mark + extra, wrong)


@pytest.mark.parametrize("mark", ["?", "*", "_", "\ufffd"])
def test_a_lost_figure_is_never_filled_in(mark: str) -> None:
    for name in NAMES:
        for index, char in enumerate(name):
            if char.isalnum():
                damaged = name[:index] + mark + name[index + 1 :]
                assert not [r for r in read(damaged).readings if r.type], damaged


DASHES = st.sampled_from([*"-\u2010\u2011\u2012\u2013\u2014\u2212\uff0d", " ", "\u00a0", "\u2009", " - ", "\u200b-"])


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(ROWS), st.data())
def test_dashes_spaces_and_case_never_lose_a_row(row: DesignationRow, data: st.DataObject) -> None:
    text = ""
    for char in row.designation:
        if char == "-":
            text += data.draw(DASHES)
        else:
            text += char.lower() if data.draw(st.booleans()) else char
        text += data.draw(st.sampled_from(["", "", "", "\u200b", "\u00ad", "\ufeff"]))
    assert found(text, row)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(ROWS))
def test_letter_o_and_figure_0(row: DesignationRow) -> None:
    assert found(row.designation.replace("0", "O"), row)
    assert found(row.designation.replace("O", "0"), row)


STAMPISH = st.text(alphabet=" -/.,()=?*_#+'JANCRHSVT6SN7GTB0123456789EOАВСПЖ\u2013\u00a0\u200b", max_size=60)


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=250), STAMPISH))
def test_any_text_is_read_without_error_and_always_alike(text: str) -> None:
    answer = read(text)
    assert answer == read(text)
    json.dumps(answer.as_dict())
    assert all((r.type is None) == (r.relation is None) for r in answer.readings)


@pytest.mark.parametrize(
    "text",
    [
        "A" * 5000,
        "-" * 5000,
        "6?7 " * 60,
        "1 " * 100,
        "6*" * 100,
        "VT-2?1/" * 30,
        "\ufdfa" * 200,
        "C" * 199 + "8",
        "1/" * 99,
        "JAN" * 66,
        "E+" * 100,
        "1.0E" * 50,
        "#" * 200,
        "6SN7GT/" * 28,
        "VT " * 66,
        "\ud800",
        "e\u0301" * 100,
    ],
)
def test_hostile_text_takes_little_work(text: str) -> None:
    """Counted in function calls, which no busy machine changes."""
    assert calls_of(read, text) <= 5_000 + 1_000 * min(len(text), 1_000)


def calls_of(function, *arguments) -> int:
    """How many functions it takes to answer."""
    count = 0

    def seen(frame, event, argument) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(seen)
    try:
        function(*arguments)
    finally:
        sys.setprofile(None)
    return count


def test_a_read_takes_no_more_work_with_more_rows() -> None:
    few = StampTables.build(ROWS[:50], MAKERS, TYPES)
    all_rows = StampTables.build(ROWS, MAKERS, TYPES)
    for row in ROWS[:50]:
        text = "JAN-CRC " + row.designation + " NOS 3-44"
        assert calls_of(read_stamp, text, all_rows) <= 3 * calls_of(read_stamp, text, few) + 200


def test_two_marks_tied_by_a_hyphen_are_a_dual_mark() -> None:
    """Common practice, no source: dealers write both numbers with one dash between them."""
    answer = read("VT-231-6SN7GT")
    assert [(r.scheme, r.type) for r in answer.readings] == [("us-signal-corps-vt", "6SN7GT"), ("plain", "6SN7GT")]
    assert not answer.ambiguous
    assert read("VT-231-6SL7GT").readings == ()  # they do not bear each other out
    assert [r.type for r in read("6SN7GT-GTB").readings] == [None]
