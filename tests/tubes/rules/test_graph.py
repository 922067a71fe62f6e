"""Contradictions and cycles of reference rows, each made here from a few rows."""

from tubes.rules.graph import FigureFact, Findings, MarkFact, check_rows


def mark(type_: str, designation: str, relation: str = "same", note: str = "", scheme: str = "maker") -> MarkFact:
    return MarkFact(type_, scheme, designation, relation, note, "from memory", "table")


def figure(type_: str, field: str, value: float | str) -> FigureFact:
    return FigureFact(type_, field, value, "from memory", "table")


def check(*marks: MarkFact, figures: tuple[FigureFact, ...] = ()) -> Findings:
    return check_rows(marks, figures, {row.type for row in marks})


def kinds(found: Findings) -> list[str]:
    return [one.kind for one in found.contradictions]


def test_rows_that_agree() -> None:
    found = check(
        mark("6SN7GT", "6SN7WGT", "ruggedized"), mark("6SN7GT", "VT-231", scheme="us-signal-corps-vt"),
        mark("5692", "5692", scheme="eia-industrial"),
    )  # fmt: skip
    assert (found.cycles, found.contradictions) == ((), ())
    assert (found.rows, found.leads, found.types, found.classes) == (3, 0, 2, 2)


def test_ruggedized_both_ways_is_a_cycle() -> None:
    one, other = mark("6AK5", "5654", "ruggedized"), mark("5654", "6AK5", "ruggedized")
    (cycle,) = check(one, other).cycles
    assert set(cycle.types) == {"6AK5", "5654"} and set(cycle.rows) == {one, other}


def test_a_longer_cycle_and_one_within_a_class() -> None:
    rows = [mark("A", "B", "ruggedized"), mark("B", "C", "ruggedized"), mark("C", "A", "ruggedized")]
    (cycle,) = check(*rows).cycles
    assert len(cycle.types) == 3 and set(cycle.rows) == set(rows)
    (own,) = check(mark("A", "A", "ruggedized")).cycles
    assert own.types == ("A",)


def test_one_mark_of_two_types_that_are_told_apart() -> None:
    """VT-62 stands for 801 and 801A in the tables, and a row calls the 801 `near` the 801A."""
    found = check(
        mark("801", "VT-62", scheme="us-signal-corps-vt"),
        mark("801A", "VT-62", scheme="us-signal-corps-vt"),
        mark("801A", "801", "near", "earlier issue", scheme="obsolete-civil"),
    )
    assert kinds(found) == ["one mark, two types", "same and told apart"]
    assert found.contradictions[1].types == ("801", "801A") and len(found.contradictions[1].rows) == 3


def test_one_mark_in_two_relations_to_one_tube() -> None:
    found = check(mark("12AX7", "5751", "near"), mark("12AX7", "5751", "ruggedized", scheme="eia-industrial"))
    assert kinds(found) == ["one mark, two relations"]
    assert "near and ruggedized to 12AX7" in found.contradictions[0].text


def test_figures_that_one_tube_cannot_have_two_of() -> None:
    marks = (mark("EL84", "6BQ5"), mark("6BQ5", "6BQ5X", "variant"))
    other = (figure("EL84", "heater_v", 6.3), figure("6BQ5", "heater_v", 6.0), figure("EL84", "mu", 19))
    found = check(*marks, figures=other)
    assert kinds(found) == ["figures differ"]
    assert found.contradictions[0].rows == other[:2]
    assert kinds(check(*marks, figures=(figure("EL84", "base", "noval"), figure("6BQ5", "base", "noval")))) == []
    alike = (figure("EL84", "plate_w_max", 12), figure("6BQ5", "plate_w_max", 13))
    assert kinds(check(*marks, figures=alike)) == []  # makers printed several maximum ratings


def test_leads_accuse_nobody() -> None:
    found = check(
        mark("6AK5", "5654", "ruggedized"), mark("5654", "6AK5", "ruggedized", "unchecked: no text"),
        mark("12AX7", "5751", "near"), mark("12AX7", "5751", "ruggedized", "unchecked: no text", "eia-industrial"),
    )  # fmt: skip
    assert (found.cycles, found.contradictions, found.leads) == ((), (), 2)


def test_a_soviet_mark_in_latin_letters_is_another_tube() -> None:
    assert kinds(check(mark("6SA7", "6A7", scheme="soviet"), mark("6SA7", "6A7", "near", "American"))) == []
