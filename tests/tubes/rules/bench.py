"""The reference tables as the judge takes them, without a database."""

from functools import cache
from pathlib import Path

from tubes.rules.figures import TypeFigures
from tubes.rules.forms import as_form, with_figures, with_forms
from tubes.rules.judge import Bench, judge
from tubes.rules.judge_parts import Conditions, Judgement
from tubes.rules.limits import Limit, Limits
from tubes.rules.relations import Kinship, kinship, own_type_marks, pair_sources
from tubes.rules.rows_of_tables import agreed_in, basings_of, figures_of, told_in
from tubes.rules.tables import FILES, Tables, mark_of, read_tables

FOLDER = Path(__file__).parents[3] / "fixtures" / "reference"


@cache
def tables() -> Tables:
    found = read_tables({name: (FOLDER / name).read_text(encoding="utf-8-sig") for name in FILES})
    assert found.faults == ()
    return found


@cache
def bench() -> Bench:
    rows = tables().rows
    limits = Limits(
        {
            row.cells["key"]: Limit(
                row.cells["key"], row.figures["value"], row.cells["unit"], row.cells["meaning"], row.cells["source"]
            )
            for row in rows["limits.csv"]
        }
    )
    basings = basings_of(tables())
    marks = [(mark_of(row), row) for name in ("designations.csv", "relations.csv") for row in rows[name]]
    named = {row.cells["type"] for name in ("designations.csv", "ratings.csv") for row in rows[name]}
    plain = [mark for mark, _ in marks]
    kin = kinship(plain, named - own_type_marks(plain, named))
    sources = pair_sources([(mark, row.citations[0].key) for mark, row in marks], kin)
    return Bench(limits, basings, kin, sources)


@cache
def rated() -> dict[str, TypeFigures]:
    """Every type of ratings.csv."""
    return figures_of(tables(), agreed_in(told_in(tables())))


@cache
def formed() -> dict[str, TypeFigures]:
    """Every type of the tables, forms with what they lack taken from the type they are forms of."""
    kin = bench().kin
    assert isinstance(kin, Kinship)
    return with_forms({name: rated().get(name) or TypeFigures(name) for name in kin.classes}, kin.forms)


def as_judged(wanted: str, candidate: str, **conditions: object) -> Judgement:
    """As ``judged``, for any type of the tables and for forms that are in none."""
    rated_ones = with_figures(formed())
    pair = [formed().get(n) or as_form(TypeFigures(n), bench().kin.forms, rated_ones) for n in (wanted, candidate)]
    return judge(*pair, Conditions(**conditions), bench())  # type: ignore[arg-type]


def judged(wanted: str, candidate: str, **conditions: object) -> Judgement:
    return judge(rated()[wanted], rated()[candidate], Conditions(**conditions), bench())  # type: ignore[arg-type]
