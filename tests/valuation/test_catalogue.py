"""The catalogue: chapters by kind or place, pictures, and values only where they are asked for."""

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Paper
from inventory.house.pdf_pages import NOT_THERE, TOO_LARGE, picture, unknown_signs
from inventory.valuation.queries.catalogue import catalogue
from inventory.valuation.wording.papers.catalogue import catalogue_printed
from tests.counting import cost
from tests.factories import FittingFactory, PlaceFactory, PlugInUnitFactory, TubeFactory, TubeTypeFactory
from tests.house.world import a_picture
from tests.pages import page_text
from tests.valuation.test_schedule import sales, valued

pytestmark = pytest.mark.django_db


def shown(**said):
    return catalogue(valued(basis="fair-market"), timezone.localdate(), **said)


def pictured(thing):
    body = ContentFile(a_picture(), "one.jpg")
    return Paper.objects.create(item=thing.item, kind="photograph", file=body, digest=str(thing.pk), caption="front")


def test_sets_come_first_and_like_tubes_stand_in_one_entry():
    kind, hall = TubeTypeFactory(name="ZZ-like"), PlaceFactory(code="Hall")
    for _ in range(3):
        TubeFactory(type=kind, item__place=hall)
    fitting = FittingFactory(until=None, tube__type=kind)
    found = shown()
    assert [title for title, _ in found.chapters] == ["chassis", "tube"]
    (_, ((_, entries),)) = found.chapters[1]
    assert sorted(len(entry.pieces) for entry in entries) == [1, 3]
    (of_set,) = found.chapters[0][1][0][1]
    assert of_set.holds == (f"{fitting.position.mark} ZZ-like",)
    assert "value" not in str(found.as_dict())
    assert {title for title, _ in shown(by="place").chapters} == {"Hall", "no place"}


def test_a_column_of_pictures_is_there_only_where_there_is_a_picture(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    tube, unit = TubeFactory(), PlugInUnitFactory()
    pictured(tube)
    printed = {section.title: section.blocks[0] for section in catalogue_printed(shown()).sections}
    assert printed["Tubes"].heads[0] == "Photograph" and printed["Tubes"].rows[0][0].picture.caption == "front"
    assert "Photograph" not in printed["Plug-in units"].heads and unit.tag


def test_pictures_are_drawn_and_one_that_is_lost_or_too_large_says_so(as_visitor, settings, tmp_path, monkeypatch):
    """Pillow refuses a picture of more than twice its limit of pixels, whatever its file holds."""
    settings.MEDIA_ROOT = tmp_path
    kept, lost = pictured(TubeFactory()), pictured(TubeFactory())
    address = reverse("valuation:paper-pdf", args=["catalogue"])
    lost.file.storage.delete(lost.file.name)
    body = as_visitor.get(address).content
    assert body.count(b"/Subtype /Image") == 1 and kept.pk
    assert picture((lost.thumbnail, lost.file), 80).text == f"<b>{NOT_THERE}</b>"
    monkeypatch.setattr("PIL.Image.MAX_IMAGE_PIXELS", 1)
    assert picture((kept.thumbnail, kept.file), 80).text == f"<b>{TOO_LARGE}</b>"
    assert as_visitor.get(address).content.count(b"/Subtype /Image") == 0


def test_signs_that_the_letters_of_a_paper_lack_are_told():
    assert unknown_signs(["Радиолампа Ωμέγα 50 µA ⚠\n", "東京"]) == {"東", "京"}


def test_values_are_told_where_they_are_asked_for(as_helper):
    kind = TubeTypeFactory()
    sales(kind, 40)
    TubeFactory(type=kind, state="good")
    address = reverse("valuation:paper", args=["catalogue"])
    plain, valued_page = page_text(as_helper.get(address)), page_text(as_helper.get(address, {"values": "on"}))
    assert "No values are in it" in plain and "40.00" not in plain
    assert "40.00" in valued_page and "not a certified appraisal" in valued_page


def test_more_things_ask_no_more_questions():
    def more():
        for _ in range(3):
            TubeFactory(item__place=PlaceFactory())
            FittingFactory(until=None)
            PlugInUnitFactory()

    more()
    first = cost(shown)
    more()
    assert cost(shown) == first
