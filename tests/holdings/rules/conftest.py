"""The tables of ``fixtures/reference`` for rules that take them, without Django."""

import csv
from pathlib import Path

import pytest

from inventory.holdings.rules.markings.tables import read_tables

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "reference"


def rows(name):
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def tables():
    names = ("marking_colours", "marking_colour_words", "marking_letters", "marking_styles", "wire_gauges")
    return read_tables(*map(rows, names), rows("marking_sources"))
