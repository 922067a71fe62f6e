"""Called good is not tested: a state that came with a list says nothing of a test here (common practice, no source)."""

import json

import pytest
from django.core.management import call_command

from tests.factories import FittingFactory, TubeFactory
from tests.running.rows import TubeTestFactory

pytestmark = pytest.mark.django_db


def first_page(client):
    return " ".join(client.get("/").content.decode().split())


def bench(capsys, *options):
    call_command("bench", *options)
    return capsys.readouterr().out


def test_a_fitted_tube_that_was_never_tested_is_said_to_be_so(as_visitor, capsys, today):
    tube = FittingFactory().tube
    FittingFactory(until=today)  # out again: no word about it
    words = "1 fitted tube is called good but was never tested here."
    assert words in first_page(as_visitor) and "tested and good" not in first_page(as_visitor)
    assert "Called good but never tested here: 1 tube in sets" in bench(capsys)
    assert json.loads(bench(capsys, "--json"))["fitted_never_tested_count"] == 1
    FittingFactory()
    assert "2 fitted tubes are called good but were never tested here." in first_page(as_visitor)
    FittingFactory(tube=TubeFactory(state="weak"))
    assert "2 more fitted tubes called good, never tested here." in first_page(as_visitor)
    TubeTestFactory(tube=tube)
    assert json.loads(bench(capsys, "--json"))["fitted_never_tested_count"] == 1


def test_where_each_was_tested_no_word_is_lost_about_it(as_visitor, capsys):
    test = TubeTestFactory(tube=FittingFactory().tube)
    assert "Every fitted tube is good by the register." in first_page(as_visitor)
    assert "fitted_never_tested_count" not in json.loads(bench(capsys, "--json"))
    assert "never tested" not in bench(capsys)
    test.struck = "the wrong tube"
    test.save()
    assert "called good but was never tested here" in first_page(as_visitor)
