"""Pages of the limits that rules judge by, and of a type with its base in words."""

import pytest
from django.urls import reverse

from tests.factories import ChassisFactory, PositionFactory, SourceFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.tubes.rules.bench import bench
from tubes.models import KEEPER, TABLE, Limit
from tubes.queries.judging import limits
from tubes.rules.limits import value_fault
from tubes.wording.template_filters import arrows, rated

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def address(name, key="judge.mu_low"):
    return reverse(f"tubes:limit-{name}", args=[key])


def test_every_limit_is_listed_with_its_text(as_visitor):
    page = as_visitor.get(reverse("tubes:limit-list"))
    rows = page.context["rows"]
    assert {row.key for row, _ in rows} == set(limits()) and all(row.source for row, _ in rows)
    assert "Write your own" not in page.content.decode()


def test_writing_one_and_taking_it_back(as_keeper, as_helper, keeper):
    source = SourceFactory(title="Own bench notes, leaf 12")
    cells = {"value": "0.7", "source": source.pk}
    assert as_helper.get(address("change")).status_code == as_helper.post(address("change"), cells).status_code == 403
    assert as_keeper.get(address("change")).context["form"]["value"].value() == 0.8  # the tables', to begin from
    assert as_keeper.post(address("change"), cells).status_code == 302
    row = Limit.objects.get(key="judge.mu_low", origin=KEEPER)
    assert (limits()["judge.mu_low"], row.history.first().history_user) == (0.7, keeper)
    page = as_keeper.get(reverse("tubes:limit-list"))
    first, table = page.context["rows"][0]
    assert (first.key, first.value, table) == ("judge.mu_low", 0.7, 0.8)  # own ones first
    assert "tables: 0.8" in page_text(page) and "Own bench notes, leaf 12" in page_text(page)
    assert "Take yours back" in page_text(as_keeper.get(address("change")))
    cells |= {"value": "0.75"} | seen_at(as_keeper, address("change"))
    assert as_keeper.post(address("change"), cells).status_code == 302
    assert Limit.objects.filter(key="judge.mu_low").count() == 2
    assert as_helper.post(address("drop")).status_code == 403 and as_keeper.get(address("drop")).status_code == 405
    assert as_keeper.post(address("drop")).status_code == 302 and limits()["judge.mu_low"] == 0.8
    assert as_keeper.post(address("drop")).status_code == 404  # a page that stood open meanwhile
    assert Limit.objects.filter(key="judge.mu_low", origin=TABLE).exists()


@pytest.mark.parametrize("value", ["", "six", "nan", "inf", "-1", "1e9", "1.3"])
def test_a_value_that_cannot_be(as_keeper, value):
    """1.3 as the lower bound of what counts as alike lies above the upper one, 1.25."""
    answer = as_keeper.post(address("change"), {"value": value, "source": SourceFactory().pk})
    assert answer.status_code == 422 and list(answer.context["form"].errors) == ["value"]
    assert not Limit.objects.filter(origin=KEEPER).exists()


def test_a_limit_needs_its_text_and_must_be_one(as_keeper):
    assert list(as_keeper.post(address("change"), {"value": "0.7"}).context["form"].errors) == ["source"]
    assert as_keeper.get(address("change", "judge.nothing")).status_code == 404


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("life.thoriated_halving_pct", 0, "0.1 to 50"),
        ("life.thoriated_halving_pct", 1e-6, "0.1 to 50"),
        ("life.tungsten_doubling_pct", 100, "0.1 to 50"),
        ("life.lamp_high", 1e6, "0 to 100"),
        ("judge.heater_low_pct.oxide", 12, "wider bound judge.heater_care_low_pct.oxide"),
        ("judge.heater_care_low_pct.oxide", 2, "narrower bound judge.heater_low_pct.oxide"),
        ("judge.gm_care_high", 1.1, "narrower bound judge.gm_high"),
        ("supply.inrush_high", 1, "narrower bound supply.inrush_low"),
    ],
)
def test_bounds_keep_their_order(key, value, words):
    assert words in value_fault(key, value, bench().limits)


def test_the_limits_of_the_tables_are_in_order():
    assert [key for key in bench().limits if value_fault(key, bench().limits[key], bench().limits)] == []


def test_figures_in_a_keepers_units():
    """1000 micromho are 1 mA/V; a megohm is 1,000,000 ohm (definitions)."""
    assert rated(2600.0, "gm_umho") == "2,600 (2.6 mA/V)"
    assert rated(1500000.0, "rp_ohm") == "1,500,000 (1.5 megohm)"
    assert rated(7700.0, "rp_ohm") == "7,700" and rated(0.005, "cgp_pf") == "0.005"
    assert rated("octal", "base") == "octal"


def test_moved_pins_have_arrows():
    assert arrows("grid 1 3 -> 5") == "grid 1 3\u00a0\u2192 5"


def test_the_page_of_a_type(as_visitor):
    position = PositionFactory(type=TubeTypeFactory(name="6SN7GT"), mark="V9", role="speech amplifier")
    ChassisFactory(model=position.set_model)
    words = as_visitor.get(reverse("tubes:type", args=["6SN7GT"])).content.decode()
    assert "2,600 (2.6 mA/V)" in words and "pin 7" in words and "cathode of section 2" in words
    assert reverse("sets:position", args=[position.pk]) in words and "(1 here)" in words
    assert reverse("tubes:type-instead", args=["6SN7GT"]) in words
    bare = as_visitor.get(reverse("tubes:type", args=[TubeTypeFactory(name="ZZ bare").name])).content.decode()
    assert "No set model names it" in bare and "pin 7" not in bare
