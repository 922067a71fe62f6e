"""The search gives the same verdicts as the plain judge, for the tables and for made types."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tubes.rules.bench import bench, formed, rated
from tubes.rules.figures import Figure, TypeFigures
from tubes.rules.judge import judge
from tubes.rules.judge_parts import Conditions
from tubes.rules.judge_search import TypeTable, verdict_ranks

NAMES = sorted(rated())
VALUES = st.sampled_from([1.0, 2.0, 5.0, 6.3, 12.6, 20.0, 25.0, 100.0, 250.0, 300.0, 0.15, 0.3])


@pytest.fixture(scope="module")
def table() -> TypeTable:
    return TypeTable.build([rated()[name] for name in NAMES], bench().limits)


@pytest.fixture(scope="module")
def table_of_forms() -> TypeTable:
    return TypeTable.build(list(formed().values()), bench().limits)


def loop(wanted: TypeFigures, conditions: Conditions, types: list[TypeFigures]) -> list[int]:
    return [judge(wanted, one, conditions, bench()).rank for one in types]


@pytest.mark.parametrize(
    "wanted",
    [
        "6SN7GT",
        "12AU7",
        "807",
        "829B",
        "5U4G",
        "0D3",
        "6SA7",
        "0Z4",
        "6E5",
        "2D21",
        "15E",
        "866A",
        "3B28",
        "6SK7",
        "6146",
        "45",
    ],
)
@pytest.mark.parametrize(
    "conditions",
    [
        Conditions(),
        Conditions(series=True),
        Conditions(supply_v=6.3, plate_v=250, plate_w=2, screen_v=200, output_ma=60, frequency_mhz=7),
        Conditions(series=True, supply_v=117, string_a=0.3, neutralized=True),
        Conditions(budget_a=0.9, tuned=True),
        Conditions(screen_w=2, switched_together=True),
        Conditions(on_side=True),
        Conditions(gain_controlled=False),
        Conditions(supply_v=12.6),
    ],
)
def test_over_the_tables(wanted: str, conditions: Conditions, table: TypeTable) -> None:
    types = [rated()[name] for name in NAMES]
    assert verdict_ranks(rated()[wanted], conditions, table, bench()).tolist() == loop(
        rated()[wanted], conditions, types
    )


@pytest.mark.parametrize("wanted", "6SK7 6SK7GT 6J5GT 5U4G 12AX7WA EF50 VT-52 6H6 866 6SN7GT".split())
@pytest.mark.parametrize("conditions", [Conditions(), Conditions(neutralized=True, tuned=True), Conditions(plate_v=9)])
def test_over_forms(wanted: str, conditions: Conditions, table_of_forms: TypeTable) -> None:
    """All types of the tables, also those that take figures from the type they are forms of or have none."""
    found = verdict_ranks(formed()[wanted], conditions, table_of_forms, bench())
    assert found.tolist() == loop(formed()[wanted], conditions, list(formed().values()))


MODELS = st.sampled_from(NAMES)


@cache
def changes_of(name: str) -> st.SearchStrategy[tuple[dict[str, float], set[str]]]:
    """Figures of a type given another value, and names of figures and words left out."""
    model = rated()[name]
    changed = st.dictionaries(st.sampled_from(sorted(model.numbers) or ["mu"]), VALUES, max_size=5)
    dropped = st.sets(st.sampled_from([*sorted(model.numbers), *sorted(model.words)]), max_size=2)
    return st.tuples(changed, dropped)


@cache
def some_of(names: tuple[str, ...]) -> st.SearchStrategy[set[str]]:
    return st.sets(st.sampled_from(names), max_size=2)


@st.composite
def made_type(draw: st.DrawFn, number: int) -> TypeFigures:
    """A type of the tables with figures changed, added and left out."""
    model = rated()[draw(MODELS)]
    changed, dropped = draw(changes_of(model.name))
    numbers = {**model.numbers, **{name: Figure(value) for name, value in changed.items()}}
    borrowed = draw(some_of(tuple(sorted(numbers)) or ("mu",))) & numbers.keys()
    numbers |= {name: replace(numbers[name], via="its type", taken=True) for name in borrowed}
    return replace(
        model,
        name=f"made {number}",
        borrows=(borrows := draw(st.booleans())),
        taken_from="its type" if borrows or borrowed else "",
        numbers={name: figure for name, figure in numbers.items() if name not in dropped},
        words={name: word for name, word in model.words.items() if name not in dropped},
    )


CONDITIONS = st.builds(
    Conditions,
    series=st.booleans(),
    supply_v=st.none() | st.sampled_from([300.0, 350.0, 1000.0]),
    string_a=st.none() | VALUES,
    budget_a=st.none() | VALUES,
    plate_v=st.none() | VALUES,
    plate_w=st.none() | VALUES,
    screen_v=st.none() | VALUES,
    screen_w=st.none() | VALUES,
    output_ma=st.none() | VALUES,
    frequency_mhz=st.none() | VALUES,
    neutralized=st.booleans(),
    tuned=st.booleans(),
    switched_together=st.booleans(),
    on_side=st.booleans(),
    gain_controlled=st.none() | st.booleans(),
)


@settings(deadline=None)
@given(st.tuples(*(made_type(number) for number in range(6))), CONDITIONS)
def test_over_made_types(types: tuple[TypeFigures, ...], conditions: Conditions) -> None:
    table = TypeTable.build(types, bench().limits)
    assert verdict_ranks(types[0], conditions, table, bench()).tolist() == loop(types[0], conditions, list(types))


def test_conditions_that_cannot_be_are_refused_alike(table: TypeTable) -> None:
    with pytest.raises(ValueError, match="alone"):
        verdict_ranks(rated()["12SK7"], Conditions(series=True, supply_v=5), table, bench())
