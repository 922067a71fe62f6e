"""What tests look at in packed archives."""

import json
import zipfile
from io import StringIO

from django.core.management import call_command

from inventory.archive.actions.out import export_collection, media_store
from inventory.archive.actions.take_in import import_collection
from inventory.holdings.models import Paper
from tests.archive.world import empty

MANIFEST = "manifest.json"


def members(file):
    with zipfile.ZipFile(file) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def there_and_back(tmp_path):
    """Export, empty the database and the media store, import, export: both archives' members."""
    first, second = tmp_path / "a.zip", tmp_path / "b.zip"
    export_collection(first)
    empty()
    for name in Paper.objects.values_list("file", flat=True):
        media_store().delete(name)
    import_collection(first)
    export_collection(second)
    return members(first), members(second)


def same(before, after):
    """As one would see who unpacks both and compares: no date, no order, no number is left out."""
    assert sorted(before) == sorted(after)
    last = sorted(before, key=lambda name: name == MANIFEST)  # the manifest only says that something differs
    before, after = ({name: held[name] for name in last} for held in (before, after))
    for name in before:
        assert before[name] == after[name], name


def run(name, *arguments):
    out = StringIO()
    call_command(name, *map(str, arguments), "--json", stdout=out)
    return json.loads(out.getvalue())
