"""Cells that were changed here and in a list that came back: answered on its page, written in one step, taken back in
one.
"""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.actions import change_tube
from inventory.holdings.models import Tube
from inventory.lists.actions.conflicts import settle_conflicts
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from tests.lists.test_coming_back import as_file, brought_back, cells_told, edit, shelf, taken_out, upload  # noqa: F401
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def said(tag, keeper, **cells):
    tube = Tube.objects.get(item__tag=tag)
    for name, cell in cells.items():
        setattr(tube, name, cell)
    change_tube(tube, by=keeper)


@pytest.fixture
def both(shelf, as_keeper, keeper):  # noqa: F811
    """The rows of a list in which three makers and a condition were changed here too, and one cell was not."""
    rows = taken_out(as_keeper)
    for tag in shelf:
        rows = edit(rows, tag, Maker="Acme")
        said(tag, keeper, maker="Brown")
    said(shelf[0], keeper, condition="dusty")
    return edit(rows, shelf[0], Condition="clean", State="dud")


def makers():
    return list(Tube.objects.order_by("item__tag").values_list("maker", flat=True))


def settle(client, run, answer, column, row=""):
    where = reverse("lists:came-back-settle", args=[run.pk])
    return page_text(client.post(where, {"answer": answer, "column": column, "row": row}, follow=True))


def test_on_trial_they_are_answered_and_written_with_the_rest(shelf, both, as_keeper, keeper):  # noqa: F811
    upload(as_keeper, both)
    run = ImportRun.objects.get()
    page = page_text(as_keeper.get(reverse("lists:list-in", args=[run.pk])))
    assert "Changed here and in the list" in page and run.counts["conflicts_cells"] == 4
    assert "3 cells of Maker: what the list says stands, once" in settle(as_keeper, run, "list", "Maker")
    page = settle(as_keeper, run, "here", "Maker", "2")
    assert "1 cell of Maker: what is here stands" in page and "kept as here" in page
    assert makers() == ["Brown"] * 3
    run.refresh_from_db()
    assert (run.counts["changed_cells"], run.counts["conflicts_cells"], run.counts["kept_cells"]) == (3, 1, 1)
    as_keeper.post(reverse("lists:came-back-write", args=[run.pk]))
    assert makers() == ["Brown", "Acme", "Acme"] and Tube.objects.get(item__tag=shelf[0]).state == "dud"
    run.refresh_from_db()
    assert undo(run, by=keeper)["cells"] == 3 and makers() == ["Brown"] * 3


def test_of_a_written_list_they_are_written_at_once_and_taken_back_with_it(shelf, both, as_keeper, keeper):  # noqa: F811
    run = brought_back(both, by=keeper).run
    assert run.counts["conflicts_cells"] == 4 and run.counts["changed_cells"] == 1
    said(shelf[0], keeper, note="seen")  # between the two steps
    assert "1 cell of Condition: what is here stands" in settle(as_keeper, run, "here", "Condition")
    assert "3 cells of Maker: what the list says stands: 3 changed" in settle(as_keeper, run, "list", "Maker")
    assert makers() == ["Acme"] * 3
    run.refresh_from_db()
    assert (run.counts["changed_cells"], run.counts["conflicts_cells"], run.counts["kept_cells"]) == (4, 0, 1)
    page = page_text(as_keeper.get(reverse("lists:list-in", args=[run.pk])))
    assert "Changed here and in the list" not in page and "kept as here" in page
    answer = undo(run, by=keeper)
    assert (answer["cells"], answer["stays"], makers()) == (4, [], ["Brown"] * 3)
    tube = Tube.objects.get(item__tag=shelf[0])
    assert (tube.state, tube.note, tube.condition) == ("good", "seen", "dusty")


def test_what_was_changed_once_more_is_a_conflict_again(shelf, both, keeper, today):  # noqa: F811
    run = brought_back(both, by=keeper).run
    said(shelf[1], keeper, maker="Cole")
    count, found = settle_conflicts(run, "list", by=keeper, today=today, column="Maker")
    assert count == 3 and cells_told(found.conflicts) == [(shelf[1], "Maker", "Cole", "Acme")]
    assert makers() == ["Acme", "Cole", "Acme"]
    run.refresh_from_db()
    assert run.counts["conflicts_cells"] == 2  # the one, and the condition
    count, found = settle_conflicts(run, "list", by=keeper, today=today, row=3, column="Maker")
    assert count == 1 and makers() == ["Acme"] * 3


def test_what_does_not_wait_is_not_answered(shelf, both, as_keeper, as_helper, keeper, today):  # noqa: F811
    run = brought_back(both, by=keeper).run
    for answer, more in (("both", {"column": "Maker"}), ("list", {"column": "Note"}), ("list", {"row": 99})):
        with pytest.raises(ValidationError):
            settle_conflicts(run, answer, by=keeper, today=today, **more)
    where = reverse("lists:came-back-settle", args=[run.pk])
    assert as_helper.post(where, {"answer": "list", "column": "Maker"}).status_code == 403
    assert "Name the cell" in settle(as_keeper, run, "list", "Maker", "x")
    undo(run, by=keeper)
    assert "Nothing of this list waits" in settle(as_keeper, run, "list", "Maker")
    assert makers() == ["Brown"] * 3
