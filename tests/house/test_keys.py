"""Numbers of rows that no database holds are none of its rows: such a choice is refused, with what was chosen named."""

import pytest
from django.forms import ModelChoiceField
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.actions import begin_count
from inventory.house.keys import key_of
from tests import factories as make
from tests.house.world import ADDRESSES, FILES, POST_ONLY

LARGE = ("9" * 20, "9" * 25, "9" * 5000)
PAGES = [name for name in ADDRESSES if name not in POST_ONLY and name not in FILES and "api-" not in name]


@given(st.integers(min_value=0))
def test_a_number_that_fits_is_a_key(number):
    assert key_of(str(number)) == (number if number < 10**18 else None)


@given(st.text())
def test_what_is_no_number_is_no_key(text):
    key = key_of(text)
    assert key is None or (text.isascii() and text.isdecimal() and 0 <= key < 2**63)


@pytest.mark.django_db
@pytest.mark.usefixtures("reference")
def test_a_choice_beyond_the_database_is_refused(world, as_keeper):
    """Every field of every form, and of what lists are narrowed by, that chooses rows."""
    as_keeper.raise_request_exception = False
    asked, wrong = 0, []
    for name in PAGES:
        address = world.address(name)
        context = as_keeper.get(address).context or {}
        form = context.get("form") or getattr(context.get("filter"), "form", None)
        fields = [field for field, kind in form.fields.items() if isinstance(kind, ModelChoiceField)] if form else []
        asked += len(fields)
        for text in LARGE[:2] if fields else ():
            for how in (as_keeper.get, as_keeper.post):  # all at once: what one of them breaks breaks the page
                code = how(address, {form.add_prefix(field): text for field in fields}).status_code
                wrong += [(name, fields, code)] if code >= 500 else []
    assert wrong == [] and asked > 40


@pytest.mark.django_db
def test_a_choice_that_is_refused_is_named(as_keeper):
    chassis = make.ChassisFactory()
    answer = as_keeper.post("/pairings/disturb/", {"cause": "knock", "chassis": "9" * 25})
    assert answer.status_code == 422 and "chassis" in answer.context["form"].errors
    answer = as_keeper.post("/unit-models/add/", {"name": "Skerry coil drawer", "fits": ["9" * 25]})
    assert answer.status_code == 422 and "9" * 18 in answer.context["form"].errors["fits"][0]
    fits = {"name": "Skerry coil drawer", "fits": [chassis.model_id]}
    assert as_keeper.post("/unit-models/add/", fits).status_code == 302


@pytest.mark.django_db
@pytest.mark.parametrize("text", LARGE)
def test_a_stock_take_takes_no_place_and_no_line_beyond_the_database(as_keeper, keeper, today, text):
    place = make.PlaceFactory()
    tube = make.TubeFactory(place=place)
    take = begin_count(place=place, percent=None, seed=0, on=today, by=keeper)
    address = f"/stock-takes/{take.pk}/"
    assert as_keeper.get(address, {"at": text}).context["at"] is None
    for ending, sent in (("scan/", {"tag": tube.tag}), ("tick/", {"line": f"{text}:open", "outcome": "found"})):
        assert as_keeper.post(f"{address}{ending}", {**sent, "at": text}).status_code == 302
    assert take.lines.get().outcome == "found"  # by the scan
