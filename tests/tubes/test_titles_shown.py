"""A reader sees the titles of the texts that findings and limits rest on; their keys stay in JSON.

Keys and titles are those of the reference tables (``ratings_sources.csv``, ``sources.csv``).
"""

import re
from html import unescape

import pytest
from django.urls import reverse

from tests.commands import answer_of, told
from tests.factories import ChassisFactory, PositionFactory
from tests.pages import page_text
from tubes.models import Source, TubeType
from tubes.queries import knowledge
from tubes.queries.judging import limits

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")


def keys_in(text):
    """Keys of texts that stand in a text, without those that are words."""
    return {
        key for key in knowledge().titles if " " not in key and re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", text)
    }


def plain(answer):
    """What a reader sees of a page: without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", "", page_text(answer))).split())


def test_a_judgement_in_a_terminal():
    answer, _ = answer_of("judge", "5U4G", "866A")
    sources = " ".join(finding["source"] for finding in answer["findings"])
    assert "uli-866a" in sources and SLUG.search(sources)
    text = told("judge", "5U4G", "866A")
    assert keys_in(text) == set() and knowledge().titles["uli-866a"] in text


def test_findings_on_a_page(as_visitor):
    answer = as_visitor.get(reverse("tubes:type-instead", args=["5U4G"]), {"verdict": "unsuitable"})
    told_there = plain(answer)
    assert "limit: " in told_there and keys_in(told_there) == set()
    assert 'title="' in page_text(answer)


def test_marks_of_a_type(as_visitor):
    mark = next(one for one in knowledge().marks if one.relation == "same" and " " not in one.source)
    for address in (reverse("tubes:type", args=[mark.type]), f"{reverse('frontpage:look-up')}?q={mark.type}"):
        assert mark.source_title in plain(as_visitor.get(address))
    text = told("lookup", mark.type)
    assert f"[{mark.source_title}]" in text and mark.source not in text
    (match, *_) = answer_of("lookup", mark.type)[0]["matches"]
    found = next(one for one in match["designations"] if one["designation"] == mark.designation)
    assert found["source"] == mark.source


def test_mercury_on_a_page_in_a_terminal_and_in_json(as_visitor):
    position = PositionFactory(mark="V5", type=TubeType.objects.get(name="866A"))
    chassis = ChassisFactory(model=position.set_model)
    title = Source.objects.get(key="uli-866a").title
    assert title in plain(as_visitor.get(reverse("sets:chassis", args=[chassis.tag])))
    assert title in told("on_air", chassis.tag, "--frequency", "3.6 Mc")
    mercury = answer_of("on_air", chassis.tag, "--frequency", "3.6 Mc")[0]["mercury"]
    assert "uli-866a" in mercury["source"] and title in mercury["source_title"]
    warned = " ".join(answer_of("filament_supply", "--circuit", "866A | 866A", "--supply", "2.5 V")[0]["warnings"])
    assert title in warned and keys_in(warned) == set()


def test_a_limit_says_what_it_rests_on():
    row = limits().row("match.tolerance_pct")
    assert row.source == "matching-10" and row.source_told == row.source_title == knowledge().titles["matching-10"]
    assert limits().row("judge.gm_low").source_told.startswith("Tests like new")
    own = limits().row("test.borderline_pct")
    assert own.source_told == own.source == "common practice, no source"
