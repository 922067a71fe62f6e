"""Lists for the tests of the import, and the ways they are taken in. Set models, serials and places are invented."""

import io

from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Item, Place
from inventory.lists.actions.take_in import take_in
from inventory.lists.models import ImportRun
from tests.lists.rules.test_rows import HEADINGS, SET_HEADINGS, SET_ROWS, SETS, SHELF, TUBE_ROWS
from tests.lists.rules.test_rows_keepers import CASES, GERMAN, LONG, SHORT

__all__ = ["CASES", "GERMAN", "HEADINGS", "LONG", "SETS", "SET_HEADINGS", "SET_ROWS", "SHELF", "SHORT", "TUBE_ROWS"]

MIXED = """Tube,Qty,State,Reading,Box,Paid,Serial,Notes
6SN7GT,3,good,,Bin 3,$5 ea,,
VT-60,2,good,,Bin 3,,,from a crate
VT-231,2 (1 dud),,1500/1200 umho,Bin 4,,,
"6SN7GT, 6SL7GT",3,,,Bin 4,,,
5U4G,a few,,,attic,,,
1625,about 20,,,under stairs,,,sealed
2.00E+26,1,good,,Bin 4,,,
Skerry 40 transmitter,,,,Hall,,01432,mercury rectifiers inside
Skerry 40 transmitter,,,,Hall,,01432,
calibration book,,,,Attic,,1190,meter is 1109
oil cap 4 mfd 600 V,about 3,,,cage,,,
Total,217,,,,340.00,,
,,,,,,,
"""


def take(text, *, by=None, trial=False, name="list.csv", **more):
    """Take a text or bytes in; gives (answer, rows of the report)."""
    raw = text.encode() if isinstance(text, str) else text
    found = take_in(io.BytesIO(raw), name=name, by=by, today=timezone.localdate(), trial=trial, **more)
    return found, list(found.report())


def reading(client, run):
    """What the form that writes a list carries."""
    page = client.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    return page.split('name="reading" value="')[1].split('"')[0]


def press_write(client, run):
    """Write a list as its page offers it."""
    return client.post(reverse("lists:list-write", args=[run.pk]), {"reading": reading(client, run)})


def list_under(heading):
    """The five rows of keepers under one of the three headings, as a file."""
    return "\n".join([heading, *(case.line for case in CASES if case.heading == heading)]) + "\n"


def register():
    """What a test compares: things, lists and places there are."""
    return Item.objects.count(), ImportRun.objects.count(), Place.objects.count()
