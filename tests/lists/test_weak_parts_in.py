"""Lists of weak parts: what is written, what is refused and where, what is there already. All names are invented."""

import io
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.weak_lists import read_weak_list, take_in_weak_list
from inventory.lists.queries.out import LISTS
from inventory.restoration.models import WeakPart, WeakSaid
from tests.commands import answer_of
from tests.counting import cost_once
from tests.factories import SetModelFactory
from tests.pages import page_text

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 30)
HEADING = "set model,mark,part,quantity,goes wrong,on whose word,word,source,page,date,says"
FIVE = "Marram RX,C12,paper capacitors,3,they leak,own bench,always fails,bench book,leaf 4,2025-03-02,five of five"
FORTY = "marram rx,C12,Paper  capacitors,3,,,leave alone,letter of T. Lunt,,,four of forty"


@pytest.fixture
def model():
    return SetModelFactory(name="Marram RX")


def take(*rows, heading=HEADING):
    return take_in_weak_list(file(*rows, heading=heading), "weak.csv", today=TODAY, by=None)


def file(*rows, heading=HEADING):
    return io.BytesIO("\n".join((heading, *rows)).encode())


def test_two_words_on_one_part_are_both_written(model):
    found = take(FIVE, FORTY, "Marram RX,R7,screen resistor,,,,,,,,")
    assert (found.parts, found.words, found.refused) == (2, 2, [])
    part = WeakPart.objects.get(mark="C12")
    assert (part.set_model, part.quantity, part.why, part.standing.differs) == (model, 3, "they leak", True)
    assert WeakSaid.objects.get(page="leaf 4").history.get().history_change_reason == "list weak.csv"


def test_what_is_there_already_stays_out_and_is_told(model):
    take(FIVE)
    found = take(
        FIVE, FORTY, FORTY, "Marram RX,C12,paper capacitors,,,,,,,,", "Skua,C1,filter,,,,,,,,", "Skua,,,,,,,,,,"
    )
    assert (found.parts, found.words) == (0, 1)
    told = {(one["line"], one["column"]): one["reason"] for one in found.as_dict()["refused"]}
    assert told == {
        (2, "row"): "there already, in the register", (4, "row"): "there already, in line 3 of this file",
        (5, "row"): "there already, in the register",
        (6, "set model"): "no set model of that name is here; add it first", (7, "part"): "no part is written",
    }  # fmt: skip


def test_what_a_row_says_otherwise_of_a_part_is_told(model):
    take(FIVE)
    found = take(
        FORTY.replace(",3,,,", ",4,they short,a letter,"),
        "Marram RX,R7,screen resistor,2,it drifts,,check,bench book,,,",
        "Marram RX,R7,screen resistor,5,IT  drifts,own word,leave alone,letter of T. Lunt,,,",
        "Marram RX,C12,paper capacitors,9,,,,,,,",
    )
    assert (found.parts, found.words) == (1, 3)
    told = [(one["line"], one["remark"]) for one in found.as_dict()["remarks"]]
    assert [line for line, _ in told] == [2, 2, 2, 4, 4]
    assert told[0][1] == "quantity 4 here, 3 in the register: that stands, and this is not written"
    assert "goes wrong 'they short' here, 'they leak' in the register" in told[1][1]
    assert "quantity 5 here, 2 in line 3 of this file" in told[3][1] and "own word" in told[4][1]
    assert "in the register; quantity 9 here, 3 in the register" in found.refused[0].faults[0].reason
    assert WeakPart.objects.get(mark="C12").quantity == 3


def test_words_that_state_a_part_in_full_give_it_its_kind(model):
    """By its kind a part of the stock is found for it (common practice, no source)."""
    found = take(
        "Marram RX,C40,8 mfd 1050 V oil capacitor,2,,,,,,,", "Marram RX,R40,100 kohm 20 W resistor,,,,,,,,",
        "Marram RX,C41,40/40 mfd 450 V,,,,,,,,", "Marram RX,C12,paper capacitors,3,,,,,,,",
    )  # fmt: skip
    assert found.as_dict()["kinds_read"] == 2
    kinds = {part.mark: part.type and (part.type.kind, part.type.value) for part in WeakPart.objects.all()}
    assert kinds == {"C40": ("capacitor", 8e6), "R40": ("resistor", 1e5), "C41": None, "C12": None}
    again = take("Marram RX,C12,paper capacitors,,they short,,,,,,")
    assert "'they short' here, nothing in the register" in again.refused[0].faults[0].reason


def test_a_word_that_was_struck_out_can_come_back_and_is_told(model):
    take(FIVE)
    WeakSaid.objects.update(struck="misread")
    found = take(FIVE)
    assert found.words == 1 and "was struck out in the register (misread)" in found.rows[0].remarks[0]
    assert "there already" in take(FIVE).refused[0].faults[0].reason
    struck = take(f"{FIVE},misread", heading=f"{HEADING},struck out because")
    assert (struck.refused[0].faults[0].column, struck.words) == ("struck out because", 0)


def test_of_set_models_that_differ_by_letters_alone_none_is_chosen(model):
    other = SetModelFactory(name="MARRAM RX")
    found = take(FIVE.replace("Marram RX", "MARRAM RX"), FIVE, FORTY)
    assert [part.set_model for part in WeakPart.objects.order_by("pk")] == [other, model]
    assert "can be 'MARRAM RX', 'Marram RX'" in found.refused[0].faults[0].reason


def test_what_is_taken_out_is_all_there_already(model):
    take(FIVE, FORTY)
    out = LISTS["weak-parts"]
    rows = [",".join("" if cell is None else str(cell) for cell in row) for row in out.all_rows()]
    found = read_weak_list(file(*rows, heading=",".join(out.headings)), "out.csv", today=TODAY)
    assert len(found.rows) == 2 and not found.taken


def test_no_such_list_is_refused(model):
    with pytest.raises(FileRefused, match="No heading with set model, part"):
        take("x,y", heading="what,how")
    with pytest.raises(FileRefused, match="No row stands below"):
        take()


def test_looking_through_more_rows_costs_no_more_queries(model):
    def look(count):
        rows = [FIVE.replace("leaf 4", f"leaf {number}") for number in range(count)]
        return cost_once(lambda: read_weak_list(file(*rows), "weak.csv", today=TODAY))

    assert look(5) == look(50)


def test_the_command(model, tmp_path):
    path = tmp_path / "weak.csv"
    path.write_text("\n".join((HEADING, FIVE, FORTY)), encoding="utf-8")
    trial, _ = answer_of("import_weak_parts", str(path), "--trial")
    assert (trial["taken"], trial["words_written"], WeakPart.objects.count()) == (2, 0, 0)
    done, _ = answer_of("import_weak_parts", str(path))
    assert (done["parts_written"], done["words_written"]) == (1, 2)


def test_the_page_shows_first_and_writes_what_was_shown(model, as_helper):
    content = "\n".join((HEADING, FIVE, FORTY.replace("leave alone", "burn it"))).encode()
    trial = as_helper.post(reverse("restoration:weak-parts-in"), {"file": SimpleUploadedFile("weak.csv", content)})
    page = page_text(as_helper.get(trial.url))
    assert "1 can be taken, 1 not" in page and "expected always fails, check, leave alone" in page
    assert not WeakPart.objects.exists()
    done = as_helper.post(reverse("restoration:weak-parts-in"), {"list": trial.url.partition("=")[2]})
    assert "1 weak part and 1 word written; 1 row not taken." in page_text(as_helper.get(done.url))
    gone = as_helper.post(reverse("restoration:weak-parts-in"), {"list": "0" * 64}, follow=True)
    assert "choose the file again" in page_text(gone)
