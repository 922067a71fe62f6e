"""A keeper's limit is taken back only where the tables' figure suits the others in force."""

import pytest
from django.urls import reverse

from tests.factories import SourceFactory
from tubes.actions import drop_limit, save_limit
from tubes.models import KEEPER, TABLE, Limit
from tubes.queries.judging import limits

pytestmark = pytest.mark.django_db


def own(key, value, keeper):
    return save_limit(Limit(key=key, value=value, source=SourceFactory()), by=keeper)


def test_the_tables_figure_must_suit_the_others(keeper, refused, as_keeper):
    """Tables: judge.mu_low 0.8, judge.mu_care_low below it (fixtures/reference/limits.csv)."""
    first = own("judge.mu_care_low", 0.3, keeper)
    table = Limit.objects.get(key="judge.mu_care_low", origin=TABLE).value
    own("judge.mu_low", (0.3 + table) / 2, keeper)
    with refused("value", "cannot stand again"):
        drop_limit(first, by=keeper)
    answer = as_keeper.post(reverse("tubes:limit-drop", args=["judge.mu_care_low"]), follow=True)
    assert answer.status_code == 200 and "cannot stand again" in answer.content.decode()
    assert limits()["judge.mu_care_low"] == 0.3


def test_a_limit_that_the_tables_have_no_more(keeper, as_keeper):
    own("judge.mu_low", 0.7, keeper)
    Limit.objects.filter(key="judge.mu_low", origin=TABLE).delete()
    assert "judge.mu_low" not in limits()
    page = as_keeper.get(reverse("tubes:limit-list")).content.decode()
    assert "nothing goes by it" in page and reverse("tubes:limit-change", args=["judge.mu_low"]) not in page
    assert as_keeper.post(reverse("tubes:limit-drop", args=["judge.mu_low"])).status_code == 302
    assert not Limit.objects.filter(key="judge.mu_low", origin=KEEPER).exists()
