"""A database that the area's forerunner ``exchange`` filled comes over with its rows, permissions and content types."""

from io import StringIO

import pytest
from django.contrib.auth.models import Group, Permission
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from inventory.lists.models import ImportMade, ImportMapping, ImportRow, ImportRun
from inventory.lists.queries.uncounted import uncounted_of
from tests.lists.importing_lists import take

pytestmark = pytest.mark.django_db(transaction=True)  # tables are renamed outside any transaction
MODELS = (ImportMapping, ImportRun, ImportRow, ImportMade)
STEPS = ("0001_initial", "0002_rows_alike", "0003_uncounted")


def back_to_the_forerunner(step):
    """Tables, content types and remembered migrations as the forerunner left them after its ``step`` (1 to 3)."""
    call_command("migrate", "lists", STEPS[step - 1], verbosity=0)
    with connection.schema_editor() as editor:
        for model in MODELS:
            editor.alter_db_table(model, model._meta.db_table, f"exchange_{model._meta.model_name}")
    ContentType.objects.filter(app_label="lists").update(app_label="exchange")
    ContentType.objects.clear_cache()
    recorder = MigrationRecorder(connection)
    recorder.migration_qs.filter(app="lists").delete()
    for name in STEPS[:step]:
        recorder.record_applied("exchange", name)


@pytest.fixture
def kept(transactional_db):
    call_command("load_reference", stdout=StringIO())
    return take("Tube,Qty,Box\n807,2,Bin 1\nVT-231,a few,Bin 7\nnonsense?,,\n")[0].run


@pytest.mark.parametrize("step", [1, 2, 3])
def test_an_old_database_comes_over(kept, step):
    ImportRow.objects.update(understood={}, core="")  # rows of before say nothing of it
    before = {model: list(model.objects.order_by("pk").values()) for model in MODELS}
    rights = set(Permission.objects.filter(content_type__app_label="lists").values_list("pk", "codename"))
    if step < 3:  # then nobody had written down what the rows to count are of
        for row in kept.rows.exclude(uncounted=""):
            row.question = {key: row.question[key] for key in ("about", "to_count", "made", "answers")}
            row.save()
    back_to_the_forerunner(step)
    call_command("migrate", verbosity=0)
    for model in MODELS:
        assert list(model.objects.order_by("pk").values()) == before[model], model
    assert set(Permission.objects.filter(content_type__app_label="lists").values_list("pk", "codename")) == rights
    assert Group.objects.get(name="helper").permissions.filter(content_type__app_label="lists").count() == 8
    assert not ContentType.objects.filter(app_label="exchange").exists()
    remembered = {app for app, _ in MigrationRecorder(connection).applied_migrations()}
    assert "lists" in remembered and "exchange" not in remembered
    assert [one.place for one in uncounted_of(["6SN7GT"])] == ["Bin 7"]
    take("Tube,Qty,Box\n6V6GT,1,Bin 2\n")  # and the next list goes in beside them
    assert ImportRun.objects.count() == 2
