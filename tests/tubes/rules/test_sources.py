"""The grammar of a source cell, and which text stands for which figure."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tubes.rules.sources import (
    DERIVED,
    FROM_MEMORY,
    GRADES,
    STATED,
    Citation,
    FieldSource,
    SourceFault,
    field_sources,
    grade_of,
    parse_source,
)


@pytest.mark.parametrize(
    ("cell", "citations"),
    [
        ("si-vt2", [Citation("si-vt2")]),
        ("from memory", [Citation("from memory")]),
        (" from memory ; si-vt2 ", [Citation("from memory"), Citation("si-vt2")]),
        ("pcsig-1432[heater_v+heater_a]", [Citation("pcsig-1432", ("heater_v", "heater_a"))]),
        ("pcsig-1432 [ heater_v + heater_a ]", [Citation("pcsig-1432", ("heater_v", "heater_a"))]),
        ("from memory[rest]", [Citation("from memory", (), True)]),
        ("a.b_c-1[mu]; from memory[rest]", [Citation("a.b_c-1", ("mu",)), Citation("from memory", (), True)]),
    ],
)
def test_cells_that_follow_the_grammar(cell: str, citations: list[Citation]) -> None:
    assert parse_source(cell) == tuple(citations)


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("", "''"),
        ("   ", "''"),
        ("a;", "''"),
        (";a", "''"),
        ("a;;b", "''"),
        ("A", "'A'"),
        ("[mu]", "'[mu]'"),
        ("a[]", "'a[]'"),
        ("a[mu", "'a[mu'"),
        ("a mu]", "'a mu]'"),
        ("a[mu][rest]", "'a[mu][rest]'"),
        ("a[mu]b", "'a[mu]b'"),
        ("a[mu,gm]", "'a[mu,gm]'"),
        ("a, b", "'a, b'"),
        ("-a", "'-a'"),
    ],
)
def test_cells_that_do_not_say_what_was_found_and_expected(cell: str, found: str) -> None:
    with pytest.raises(SourceFault) as fault:
        parse_source(cell)
    assert str(fault.value) == f"{found}, expected key or key[column+column]"


@pytest.mark.parametrize("cell", ["a[+]", "a[ ]", "a[mu+]", "a[+mu]", "a[mu++gm_umho]"])
def test_brackets_name_columns_or_the_cell_is_faulty(cell: str) -> None:
    with pytest.raises(SourceFault):
        parse_source(cell)


@pytest.mark.parametrize(
    ("key", "grade"), [("from memory", FROM_MEMORY), ("derived", DERIVED), ("derived-cgp", DERIVED), ("si-vt2", STATED)]
)
def test_grades(key: str, grade: str) -> None:
    assert grade_of(key) == grade
    assert grade in GRADES


def test_a_key_alone_stands_for_all_and_rest_for_what_nobody_named() -> None:
    filled = ["mu", "gm_umho", "cgp_pf"]
    assert field_sources(parse_source("a"), filled) == tuple(FieldSource(name, "a", STATED) for name in filled)
    assert field_sources(parse_source("a[mu]; b[gm_umho+mu]; from memory[rest]"), filled) == (
        FieldSource("mu", "a", STATED),
        FieldSource("gm_umho", "b", STATED),
        FieldSource("mu", "b", STATED),
        FieldSource("cgp_pf", "from memory", FROM_MEMORY),
    )


def test_rest_of_nothing_and_columns_that_are_empty_give_nothing() -> None:
    assert field_sources(parse_source("a[mu]; b[rest]"), ["mu"]) == (FieldSource("mu", "a", STATED),)
    assert field_sources(parse_source("a[mu]"), []) == ()
    assert field_sources(parse_source("a[mu]"), ["gm_umho"]) == ()


def test_a_column_named_twice_by_one_text_is_one_source() -> None:
    assert field_sources(parse_source("a[mu+mu]"), ["mu"]) == (FieldSource("mu", "a", STATED),)


# --- Properties

LETTERS = "abcdefghijklmnopqrstuvwxyz0123456789"
INNER = st.text(LETTERS + " ._-", max_size=10)
KEYS = st.sampled_from(LETTERS) | st.tuples(st.sampled_from(LETTERS), INNER, st.sampled_from(LETTERS)).map("".join)
FIELDS = st.lists(
    st.tuples(st.sampled_from(LETTERS[:26] + "_"), st.text(LETTERS + "_", max_size=8))
    .map("".join)
    .filter(lambda n: n != "rest"),
    max_size=4,
    unique=True,
)
CITATIONS = st.one_of(
    st.builds(lambda key, fields: Citation(key, tuple(fields)), KEYS, FIELDS),
    st.builds(lambda key: Citation(key, (), True), KEYS),
)
often = settings(max_examples=300, deadline=None, database=None)


def written(citation: Citation) -> str:
    columns = "rest" if citation.rest else "+".join(citation.fields)
    return f"{citation.key}[{columns}]" if columns else citation.key


@often
@given(st.lists(CITATIONS, min_size=1, max_size=5), st.sampled_from(["; ", ";", " ; "]))
def test_a_written_cell_reads_back(citations: list[Citation], parting: str) -> None:
    assert parse_source(parting.join(map(written, citations))) == tuple(citations)


@often
@given(st.text(alphabet=LETTERS + "[]+;._- A\u00e9\n", max_size=30))
def test_any_text_is_read_or_refused(cell: str) -> None:
    try:
        citations = parse_source(cell)
    except SourceFault as fault:
        assert "expected key or key[column+column]" in str(fault)
    else:
        assert len(citations) == cell.count(";") + 1


@often
@given(st.lists(CITATIONS, max_size=4), FIELDS)
def test_rest_leaves_no_filled_column_without_a_text(citations: list[Citation], filled: list[str]) -> None:
    found = field_sources([*citations, Citation(FROM_MEMORY, (), True)], filled)
    assert {one.field for one in found} == set(filled)
