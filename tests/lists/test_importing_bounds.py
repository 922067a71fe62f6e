"""Lists that are long for nothing: blank rows, names of places cut to one code. Common practice, no source."""

import io

import pytest
from django.urls import reverse

from inventory.lists.actions import places, read
from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.trial import keep_upload
from inventory.lists.models import ImportRow, ImportRun
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def kept(text):
    return keep_upload(io.BytesIO(text.encode()), name="shelf.csv", by=None)


def test_a_long_blank_end_is_not_kept(monkeypatch, keeper):
    monkeypatch.setattr(read, "MOST_ROWS", 1000)
    text = "Tube,Qty\n807,2\n" + "\n" * 6000
    run = kept(text)
    assert ImportRow.objects.count() == run.counts["rows"] == 1 + read.KEPT_BLANK
    assert run.counts["notes"] == ["5500 of 6000 blank rows at the end are left out."]
    found, rows = take(text, by=keeper)
    assert len(rows) == run.counts["rows"] and found.notes == run.counts["notes"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Tube\n" + "807\n" * 1001, "more than 1000 rows; take it in by parts"),
        ("Tube\n" + "\n" * 3000, "more than 2500 lines"),
        ("Tube\n807\n" + "\n" * 600 + "808\n", "600 blank rows stand above line 603"),
        ("\n" * 2000, "no filled row"),
    ],
    ids=["rows", "lines", "gap", "nothing"],
)
def test_more_rows_than_a_list_has_are_refused_before_anything_is_kept(monkeypatch, text, words):
    for name, most in (("MOST_ROWS", 1000), ("MOST_LINES", 2500), ("LONGEST_GAP", 500)):
        monkeypatch.setattr(read, name, most)
    with pytest.raises(FileRefused, match=words):
        kept(text)
    with pytest.raises(FileRefused, match=words):
        take(text)
    assert not ImportRun.objects.exists() and not ImportRow.objects.exists()


def test_a_blank_end_as_lists_have_it_stays(as_keeper):
    run = kept("Tube,Qty\n807,2\n,\n,\n")
    assert [row.plain_cells for row in run.rows.order_by("row")] == [["807", "2"], ["", ""], ["", ""]]
    assert "blank rows" not in as_keeper.get(reverse("lists:list-columns", args=[run.pk])).content.decode()


def test_places_of_one_beginning_are_not_counted_from_one_again(monkeypatch):
    asked = []
    real = places.Places._path
    monkeypatch.setattr(places.Places, "_path", staticmethod(lambda code, above: asked.append(1) or real(code, above)))
    here, many = places.Places.load(), 1200
    found = [here.find(f"Cabinet by the eastern window {number}")[0] for number in range(many)]
    assert len({spot.path for spot in found}) == many and len(asked) <= 5 * many
    assert max(len(spot.code) for spot in found) <= places.LONGEST_CODE
    assert [spot.code for spot in found[:3]] == ["Cabinet by the easte", "Cabinet by the e~2", "Cabinet by the e~3"]
    assert found[-1].code == "Cabinet by the~1200"
