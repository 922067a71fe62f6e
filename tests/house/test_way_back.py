"""Where a form leads back to: a page of this house, never out of it.

Addresses that lead out are those of OWASP's Unvalidated Redirects and Forwards cheat sheet, with other hosts.
"""

import pytest
from django.test import RequestFactory

from inventory.house.edit_pages import way_back

INSIDE = ["/", "/tubes/", "/restorations/7/", "/tubes/?state=dud&page=2"]
OUTSIDE = [
    "", "https://elsewhere.example/", "//elsewhere.example/", "///elsewhere.example", "/\\elsewhere.example",
    "\\/elsewhere.example", "javascript:alert(1)", "elsewhere.example", "/no-such-page/", " //elsewhere.example",
    "/\t/elsewhere.example", "/restorations/x/",
]  # fmt: skip


@pytest.mark.parametrize("asked", INSIDE)
def test_a_page_of_the_house(asked):
    assert way_back(RequestFactory().get("/tubes/", {"next": asked}), "/other/") == asked
    assert way_back(RequestFactory().post("/tubes/", {"next": asked}), "/other/") == asked


@pytest.mark.parametrize("asked", OUTSIDE)
def test_what_leads_out_or_nowhere(asked):
    assert way_back(RequestFactory().get("/tubes/", {"next": asked}), "/other/") == "/other/"
    assert way_back(RequestFactory().post("/tubes/", {"next": asked}), "/other/") == "/other/"


def test_nothing_was_asked():
    assert way_back(RequestFactory().get("/tubes/"), "/other/") == "/other/"
