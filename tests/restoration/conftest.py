"""The receiver of these tests and its plan; a file that needs others makes its own."""

import pytest

from tests.restoration.receiver import a_receiver, its_plan


@pytest.fixture
def model():
    return a_receiver()


@pytest.fixture
def plan(model):
    return its_plan(model)
