"""What can hurt is told with a tube wherever it is looked up: the words of cautions.csv and the keeper's own.

Mercury vapour rectifiers stand upright and are warmed before plate voltage: 866A (uli-866a).
"""

import json

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import saved_copy
from tests.factories import TubeFactory, TubeTypeFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

UPRIGHT = "Mercury vapour: keep upright"


def row_of(copy, name):
    (row,) = [row for row in copy["types"] if name in row["names"]]
    return row


def test_the_saved_copy_holds_the_words_of_the_tables_and_the_keepers_own(today):
    kind = TubeTypeFactory(name="866A")
    TubeFactory(type=kind, marked="866A")
    assert row_of(saved_copy(today, with_places=False), "866A")["hazard"] == [kind.caution]
    assert kind.caution.startswith(UPRIGHT)
    kind.hazard = "Box of three: lift with care."
    kind.save()
    (told,) = row_of(saved_copy(today, with_places=False), "866A")["hazard"]
    assert told.startswith(UPRIGHT) and told.endswith("Box of three: lift with care.")


def test_the_saved_copy_warns_of_a_tube_that_is_not_owned(today):
    """At a swap meet it is the tube in the hand that can hurt, owned or not."""
    dangers = saved_copy(today, with_places=False)["dangers"]
    assert [(name, words[: len(UPRIGHT)]) for name, words in dangers["866A"]] == [("866A", UPRIGHT)]
    assert "6SN7GT" not in dangers


def test_the_command_prints_the_caution(capsys):
    TubeFactory(type=TubeTypeFactory(name="866A"), marked="866A")
    call_command("lookup", "866A")
    assert f"Caution: {UPRIGHT}" in capsys.readouterr().out
    call_command("lookup", "866A", "--json")
    (match,) = [one for one in json.loads(capsys.readouterr().out)["matches"] if one["type"] == "866A"]
    assert match["caution"].startswith(UPRIGHT)
    call_command("lookup", "6SN7GT", "--json")
    assert "caution" not in json.loads(capsys.readouterr().out)["matches"][0]
