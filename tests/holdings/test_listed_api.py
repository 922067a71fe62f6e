"""What a list as JSON cannot be asked is refused: a slip in a name would else give the whole list."""

import pytest


@pytest.mark.parametrize("name", ["tubes", "parts"])
def test_a_name_that_a_list_does_not_know_is_refused(name, db, as_keeper):
    answer = as_keeper.get(f"/api/{name}?statee=good&order=tag&page=1")
    assert answer.status_code == 400 and list(answer.json()["errors"]) == ["statee"]
    assert as_keeper.get(f"/api/{name}?order=tag&page=1&columns=tag").status_code == 200
