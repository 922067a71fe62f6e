"""Every heater voltage and base that a row of the AVO Valve Data Manual (avo-vdm23) covers agrees, or is listed.

Compared here without the rules: plain cells of the two tables against each other.
"""

import pytest

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.handbook import Handbook
from tubes.rules.named_in_notes import marks_named, named_by_none
from tubes.rules.rows_of_tables import book_rows_of
from tubes.rules.text import fold_key

#: Looked at: why each stands is told by ``check_reference`` (``tubes.rules.explained``).
LISTED = {
    ("12AT6", "heater_v"), ("20", "heater_v"), ("24", "heater_v"), ("24", "base"), ("2E30", "heater_v"),
    ("42", "heater_v"), ("42", "base"), ("49", "kind"), ("805", "heater_v"), ("805", "base"),
}  # fmt: skip
ALIKE = {"UX7-medium": "UX7", "UX7-small": "UX7", "UX4-small": "UX4"}


def by_key() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name in rated():
        found.setdefault(fold_key(name), []).append(name)
    return found


def test_every_heater_voltage_agrees_or_is_listed() -> None:
    compared, off = 0, set()
    for row in tables().rows["handbook_tests.csv"]:
        for name in by_key().get(fold_key(row.cells["type"]), ()):
            volts = [rated()[name].number("heater_v"), rated()[name].number("alt_heater_v")]
            theirs = row.figures.get("heater_v")
            if theirs is None or not any(volts) or row.cells["remarks"]:
                continue
            compared += 1
            if not any(v and abs(theirs - v) <= 0.06 * v for v in volts):
                off.add((name, "heater_v"))
    assert compared > 150 and off == {at for at in LISTED if at[1] == "heater_v"}


def test_every_basing_agrees_or_is_listed() -> None:
    """Pins and bases as the rule compares them: what does not agree is listed, and every base that is another, too."""
    book = Handbook(book_rows_of(tables()))
    told = [book.told(one, bench().basings.get(one.word("basing"))) for one in rated().values()]
    said = [one for of in told for one in of.said]
    assert {(one.type, one.field) for one in said if not one.agrees} == LISTED
    assert sum(one.field == "basing" for one in said) > 80
    rows = {fold_key(row.cells["type"]): row for row in tables().rows["handbook_tests.csv"]}
    covered = {
        (name, ALIKE.get(one.word("base"), one.word("base")), ALIKE.get(row.cells["base"], row.cells["base"]))
        for name, one in rated().items()
        if (row := rows.get(fold_key(name))) and one.word("base") and not row.cells["remarks"]
    }
    off = {at for at in covered if at[1] != at[2] and "special" not in at[1] and "handbook code" not in at[2]}
    assert {name for name, *_ in off} <= {name for name, field in LISTED if field == "base"}


STEP = {"gm_umho": (100, 50, 10), "plate_ma_typ": (1, 0.1, 0.01), "heater_v": (1, 0.1, 0.01)}


def test_a_figure_that_names_the_handbook_stands_in_its_row() -> None:
    """To half a unit of the last place that the row states; a heater may be set 6 % beside it."""
    book, compared, off = Handbook(book_rows_of(tables())), 0, []
    for name, one in rated().items():
        rows, _ = book.rows_of(name)
        for field, of_row in (("heater_v", "heater_v"), ("gm_umho", "gm_umho"), ("plate_ma_typ", "plate_ma")):
            figure = one.numbers.get(field)
            theirs = [said for row in rows if (said := getattr(row, of_row))]
            if figure is None or figure.source != "avo-vdm23" or not theirs:
                continue
            compared += 1
            half = {said: next((step for step in STEP[field] if not said % step), 0) / 2 for said in theirs}
            most = {said: 0.06 * said if field == "heater_v" else half[said] + 1e-9 for said in theirs}
            if not any(abs(figure.value - said) <= most[said] for said in theirs):
                off.append((name, field, figure.value, theirs))
    assert off == [] and compared > 150


def test_no_note_of_the_tables_names_a_mark_without_a_row() -> None:
    rows = [row.cells for name in ("designations.csv", "relations.csv", "ratings.csv") for row in tables().rows[name]]
    known = {fold_key(row[key]) for row in rows for key in ("type", "designation", "other") if row.get(key)}
    known |= {fold_key(row.cells["type"]) for row in tables().rows["handbook_tests.csv"]}
    assert list(named_by_none(((row["type"], row["note"]) for row in rows), known)) == []


@pytest.mark.parametrize(
    ("note", "marks"),
    [
        ("12.6 V form of 7R7", ["7R7"]), ("also branded 6AS6WA; compact", ["6AS6WA"]), ("same as 0G3", ["0G3"]),
        ("loctal kin of 6J8G; gm is conversion", ["6J8G"]), ("near the 6T8", ["6T8"]), ("also QV03-12", ["QV03-12"]),
        ("pins as 9AJ", []), ("looks like 6C4C", []), ("typical at 250 V, 6.3 V", []), ("used in the BC-457", []),
    ],
)  # fmt: skip
def test_marks_that_a_note_names_as_kin(note: str, marks: list[str]) -> None:
    assert marks_named(note) == marks
