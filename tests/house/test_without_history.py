"""Rows that nobody wrote by a page, such as those of the made-up collection, have no history: every page answers."""

import re
from collections import Counter
from html import unescape

import pytest
from django.apps import apps
from django.core.management import call_command
from django.urls import resolve

from inventory.house.areas import areas
from tests.house.world import ADDRESSES, FILES, POST_ONLY, World

PAGES = [name for name in ADDRESSES if name not in POST_ONLY and name not in FILES]
A_FEW = 3  # of each kind of page, as found by following the links


@pytest.fixture
def world(db):
    """One thing of every sort, and no history of any."""
    made = World()
    for area in areas():
        for model in apps.get_app_config(area).get_models():
            if model.__name__.startswith("Historical"):
                model.objects.all().delete()
    return made


def test_every_page_of_rows_without_history_answers(world, as_keeper):
    as_keeper.raise_request_exception = False
    answered = {name: as_keeper.get(world.address(name)).status_code for name in PAGES}
    assert {name: code for name, code in answered.items() if code not in (200, 302)} == {}


@pytest.mark.django_db
def test_every_kind_of_page_of_the_made_collection_answers(as_keeper, today):
    """Follows the links from the first page on, a few pages of each kind."""
    call_command("make_collection", tubes=120, chassis=6, units=12, events=40, today=str(today), verbosity=0)
    as_keeper.raise_request_exception = False
    seen, wait, of_kind, failed = set(), ["/"], Counter(), []
    while wait:
        address = wait.pop()
        match = resolve(address.partition("?")[0])
        if address in seen or of_kind[match.view_name] >= A_FEW or match.view_name in FILES:
            continue
        seen.add(address)
        of_kind[match.view_name] += 1
        answer = as_keeper.get(address)
        if answer.status_code not in (200, 302, 405):
            failed.append((address, answer.status_code))
        text = answer.content.decode()
        wait += [unescape(link) for link in re.findall(r'(?:href|action)="(/[^"#]*)"', text) if "/static/" not in link]
    assert not failed
    assert {"holdings:tube", "sets:chassis", "sets:unit", "pairing:pair", "running:chassis"} <= set(of_kind)
