"""Checks of the text folding; the transliteration against the `stamped ...` notes of the designation table."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tubes.rules.text import all_cyrillic, fold_key, light, strict_key, to_latin, to_soviet

TABLE = Path(__file__).resolve().parents[3] / "fixtures" / "reference" / "designations.csv"


def stamped_rows() -> list[tuple[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["note"].startswith("stamped ")]
    return [(row["note"].split()[1].strip(";,"), row["designation"]) for row in rows]


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("VT-231", "VT231"),
        (" vt 231 ", "VT231"),
        ("VT\u2013231", "VT231"),  # en dash
        ("VT\u2212231", "VT231"),  # minus sign
        ("VT\u00a0231", "VT231"),  # no-break space
        ("V\u200bT-\u00ad231", "VT231"),  # zero-width space, soft hyphen
        ("\uff36\uff34\uff0d\uff12\uff13\uff11", "VT231"),  # full width
        ("VT_231", "VT231"),
        ("OD3", "0D3"),
        ("QB3.5/750", "QB35750"),
        ("VT-2?1", "VT2?1"),  # a lost figure stays lost
        ("", ""),
    ],
)
def test_fold_key(text: str, key: str) -> None:
    assert fold_key(text) == key  # common practice, no source


def test_trade_signs_do_not_become_letters() -> None:
    assert light("6SN7GT\u2122") == "6SN7GT"  # common practice, no source


def test_strict_key_keeps_a_break_between_figures() -> None:
    assert strict_key(["VR150", "30"]) == "VR150-30"
    assert strict_key(["VT", "231"]) == "VT231"
    assert strict_key(["VT", "2", "44"]) == "VT2-44"


@pytest.mark.parametrize(("cyrillic", "latin"), stamped_rows())
def test_transliteration_agrees_with_the_table(cyrillic: str, latin: str) -> None:
    assert to_soviet(cyrillic.upper()) == latin  # letters as in astronix-su; rows from memory where marked so


def test_cyrillic_look_alikes() -> None:
    assert to_latin("6Н8С") == "6H8C"  # wiki-6sn7: "often read in Latin letters as 6H8C"
    assert to_soviet("6Н8C") == "6N8S"  # the last letter is a Latin C
    assert to_soviet("6SN7GT") is None
    assert all_cyrillic("6Н8С") and not all_cyrillic("6Н8C") and not all_cyrillic("6SN7")


@given(st.text(max_size=300))
def test_folding_never_fails_and_is_stable(text: str) -> None:
    key = fold_key(text)
    assert fold_key(key) == key or not key.isascii()
    assert light(light(text)) == light(text) or not text.isascii()
