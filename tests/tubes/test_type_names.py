"""A type's page lies under its name, so a name that no address holds is refused before it is written."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import clear_script_prefix, reverse, set_script_prefix

from tests.factories import TubeTypeFactory
from tubes.actions import save_type
from tubes.models import TubeType

pytestmark = pytest.mark.django_db

UNSEEN = ["QX1\nQX2", "QX1\r\nQX2", "QX\t1", "QX\u20281", "QX\u200b1", "QX\x7f"]
LEADS_ELSEWHERE = [
    ".",
    "..",
    "../QX1",
    "QX1/..",
    "QX1//2",
    "/QX1",
    "QX1/",
    "add",
    "QX1/mark",
    "QX1/figures",
    "QX1/change",
]


@pytest.mark.parametrize("name", UNSEEN)
def test_a_sign_that_is_not_seen_is_refused_and_named(as_keeper, name):
    answer = as_keeper.post("/types/add/", {"name": name, "hazard": ""})
    assert answer.status_code == 422
    (told,) = answer.context["form"].errors["name"]
    assert "a sign that is not seen" in told and "in one line" in told
    assert not TubeType.objects.filter(name__startswith="QX").exists()


@pytest.mark.parametrize("name", LEADS_ELSEWHERE)
def test_a_name_that_leads_elsewhere_is_refused(as_keeper, name):
    answer = as_keeper.post("/types/add/", {"name": name, "hazard": ""})
    assert answer.status_code == 422 and answer.context["form"].errors["name"]
    assert not TubeType.objects.filter(name=name).exists()


@pytest.mark.parametrize("name", ["QX1", "QX1/2 M", "6Ж8Ю", "QX 100%?#&+;", "QX1/marks", "QX'\"<1>"])
def test_any_other_name_has_its_page(as_keeper, reference, name):
    answer = as_keeper.post("/types/add/", {"name": name, "hazard": ""})
    assert answer.status_code == 302
    page = as_keeper.get(answer.url)
    assert page.status_code == 200 and page.context["card"].name == name


def test_every_type_of_the_tables_has_its_page(keeper, reference):
    for row in TubeType.objects.all():
        save_type(row, by=keeper)


@pytest.mark.parametrize("prefix", ["/tubes-house/", "/Röhren haus/"])
def test_names_are_checked_where_the_site_lies_under_a_prefix(keeper, prefix):
    set_script_prefix(prefix)
    try:
        assert save_type(TubeType(name="QX1/2 M"), by=keeper).pk
        for name in LEADS_ELSEWHERE:
            with pytest.raises(ValidationError):
                save_type(TubeType(name=name), by=keeper)
    finally:
        clear_script_prefix()


def test_a_type_that_is_renamed_is_checked_too(as_keeper, keeper):
    row = TubeTypeFactory(name="QX1", origin="keeper")
    row.name = "QX1\nQX2"
    with pytest.raises(ValidationError, match="not seen"):
        save_type(row, by=keeper)
    assert as_keeper.get(reverse("tubes:type-change", args=["QX1"])).status_code == 200
