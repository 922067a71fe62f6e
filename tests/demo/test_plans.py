"""Plans of the demo: one that can start, one with a substitute after two tests, one that cannot; with reasons."""

import pytest
from django.utils import timezone

from inventory.restoration.queries.answer import readiness
from inventory.restoration.rules.words import CAN_START, NOT_YET

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("demo_rows")]


def answered(name):
    return readiness(name, timezone.localdate()).cover


def test_one_can_start():
    cover = answered("Petrel for the school room")
    assert cover.count.answer == CAN_START
    covered = [line for line in cover.lines if line.status == "covered"]
    assert covered and all(line.by and line.reasons for line in covered)


def test_one_can_start_with_a_substitute_after_two_tests():
    cover = answered("Petrel from the ferry house")
    count = cover.count
    assert (count.answer, count.short, count.settle, count.before_power) == (NOT_YET, 0, 0, 0)
    assert (count.after_test, count.instead) == (2, 1)
    assert "2 to be tested first (where they prove good it can start with substitutes)" in count.text
    (instead,) = (line for line in cover.lines if line.substitute)
    assert (instead.position, instead.status, instead.substitute) == ("V6", "covered by a substitute", "6V6GT")
    assert any("approved here on 2026-08-29" in text for text in instead.entails)
    tests = [line for line in cover.lines if line.status == "covered after a test"]
    assert all("proved good at their first test here" in line.reasons[-1] for line in tests)


def test_parts_of_one_lot_go_to_the_more_urgent_plan_first():
    by = {
        name: next(line.by for line in answered(name).lines if line.kind == "weak part")
        for name in ("Petrel for the school room", "Petrel from the ferry house")
    }
    assert by["Petrel for the school room"].startswith("3 of P-0008,")
    assert {part.split(",")[0] for part in by["Petrel from the ferry house"].split("; ")} == {
        "1 of P-0008", "2 of P-0009",
    }  # fmt: skip


def test_one_cannot():
    cover = answered("Plumbline without its book")
    assert (cover.count.answer, cover.count.short) == (NOT_YET, 1)
    (short,) = (line for line in cover.lines if line.status == "short")
    assert short.need == "its calibration book" and "is not here" in short.reasons[0]
