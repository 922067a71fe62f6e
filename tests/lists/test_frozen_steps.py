"""Migrations stand by themselves: whatever the program becomes, an old database is brought up to date the same way."""

import ast
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.models import Fact
from inventory.lists.migrations import _digest_of_rows as frozen
from inventory.lists.models import ImportMade
from inventory.lists.queries.uncounted import uncounted_of
from inventory.lists.rules.columns import column_keys
from inventory.lists.rules.same_rows import row_digest
from tests.lists.importing_lists import take

HERE = Path(settings.BASE_DIR) / "inventory" / "lists" / "migrations"
OWN = "inventory.lists.migrations."


@pytest.mark.parametrize("file", sorted(file.name for file in HERE.glob("*.py")))
def test_a_step_stands_on_django_and_on_what_lies_beside_it(file):
    tree = ast.parse((HERE / file).read_text(encoding="utf-8"))
    named = [one.module or "" for one in ast.walk(tree) if isinstance(one, ast.ImportFrom)]
    named += [name.name for one in ast.walk(tree) if isinstance(one, ast.Import) for name in one.names]
    assert [name for name in named if name.startswith(("inventory", "tubes")) and not name.startswith(OWN)] == []


CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["$5.00", "5", ".50", "50 %", "0.5", "01432", "3. März 1944", "1944-03-12", "'=1", "−3", "VT–60"]),
    st.dates().map(str),
    st.floats(0, 1e6).map(str),
)


@given(st.lists(st.tuples(st.text(max_size=15), CELLS), max_size=5))
def test_the_digest_of_that_step_is_still_the_one_in_use(row):
    """Where this fails, rows of before need a step that digests them anew; then this test goes."""
    headings, cells = [heading for heading, _ in row], [cell for _, cell in row]
    keys = column_keys(headings, len(cells))
    assert frozen.column_keys(headings, len(cells)) == keys
    assert frozen.row_digest(keys, cells) == row_digest(keys, cells)


@pytest.mark.django_db
def test_rows_of_before_are_named_when_everything_is_migrated(reference, keeper):
    taken, _ = take("Tube,Qty\nVT-231,a few\n807,1\n", by=keeper)
    row = taken.run.rows.get(row=1)
    row.question = {key: row.question[key] for key in ("about", "to_count", "made", "answers")}
    row.uncounted = ""
    row.save()
    assert uncounted_of(["6SN7GT"]) == []
    for _ in range(2):  # again changes nothing
        call_command("migrate", verbosity=0)
        assert [one.words for one in uncounted_of(["6SN7GT"])] == ["a few"]


def step(name):
    return import_module(f"inventory.lists.migrations.{name}").fill


@pytest.mark.django_db
def test_numbers_of_before_are_told_by_their_step(reference, keeper):
    taken, _ = take("No.,Tube,Qty\nH-17,VT-231,2\nH-18,807,1\n", by=keeper)
    rows = Fact.objects.filter(about="number").order_by("pk")
    now = list(rows.values_list("item__tag", "text", "per", "of_count", "from_list"))
    assert len(now) == 3
    for made in ImportMade.objects.filter(row__run=taken.run):  # as lists were kept then
        made.facts = {**made.facts, "number": "H-17" if made.row.row == 1 else "H-18"}
        made.save()
    rows.delete()
    for _ in range(2):
        step("0005_own_numbers")(apps, None)
        assert list(rows.all().values_list("item__tag", "text", "per", "of_count", "from_list")) == now


@pytest.mark.django_db
def test_wants_of_before_get_their_code_by_their_step(reference, keeper):
    taken, _ = take("Tube,Qty\nVT-231,2!\n807,3\n", by=keeper)
    row = taken.run.rows.get(row=1)
    now, row.remarks = row.remarks, [{key: text for key, text in one.items() if key != "code"} for one in row.remarks]
    row.save()
    step("0006_name_wants")(apps, None)
    row.refresh_from_db()
    assert row.remarks == now and row.thing_wanted == "VT-231"
