"""Held rows answered on trial, many alike at once; rows that repeat an earlier one of their list; what was understood.

People and places are invented.
"""

import io

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.models import Item, Tube
from inventory.lists.actions import trial
from inventory.lists.actions.again import Again
from inventory.lists.actions.answers import answer_held
from inventory.lists.actions.read import Options
from inventory.lists.actions.take_in import answers_of
from inventory.lists.actions.trial_answers import answer_on_trial
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from tests import factories as make
from tests.counting import cost
from tests.lists.importing_lists import press_write, take
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

LIST = """Tube,Qty,Box,Notes
6SN7,2,Box 4,
6SN7,1,Box 5,
954/955/956 1 each,,Box 5,
600000,1,Box 5,
807 modified (cap cut),1,Box 6,
807,1,Box 6,loaned to Ostrander 2018
6V6GT,1,Box 6,sold 2020 for 30
6V6GT,1,Box 7,
6V6GT,1,Box 7,
"""


def on_trial(text, keeper, today):
    run = trial.keep_upload(io.BytesIO(text.encode()), name="l.csv", by=keeper)
    return trial.try_out(run, today=today)


def rows_of(run):
    return {row.row: row for row in run.rows.all()}


def test_held_rows_are_answered_on_trial_and_the_list_is_written_with_the_answers(keeper, today):
    run = on_trial(LIST, keeper, today)
    rows = rows_of(run)
    assert [rows[at].outcome for at in range(1, 8)] == ["held"] * 7 and rows[9].outcome == "held"
    assert rows[9].question["about"] == "repeat" and "row 8 of this list" in rows[9].question["text"]
    assert answer_on_trial(rows[1], "type:6SN7GT", today=today, alike=True) == 2
    assert answer_on_trial(rows[3], "each", today=today) == 1
    assert answer_on_trial(rows[4], "type:6E5", today=today) == 1
    assert answer_on_trial(rows[5], "no type", today=today) == 1
    assert answer_on_trial(rows[6], "lent", today=today) == 1
    assert answer_on_trial(rows[7], "leave out", today=today) == 1
    assert answer_on_trial(rows[9], "more", today=today) == 1
    assert not Item.objects.exists()
    run.refresh_from_db()
    assert run.counts["held"] == 0 and run.counts["records"]["tubes"] == 11
    rows = rows_of(run)
    assert rows[2].understood["type"] == "6SN7GT" and rows[2].understood["count"] == 1
    found = trial.write_run(run, by=keeper, today=today)
    assert found.counts()["held"] == 0
    marks = sorted(Tube.objects.values_list("marked", "type__name"))
    assert marks == [
        ("600000", "6E5"), ("6SN7", "6SN7GT"), ("6SN7", "6SN7GT"), ("6SN7", "6SN7GT"), ("6V6GT", "6V6GT"),
        ("6V6GT", "6V6GT"), ("807", "807"), ("807 modified (cap cut)", None), ("954", "954"), ("955", "955"),
        ("956", "956"),
    ]  # fmt: skip
    assert Item.objects.get(tube__marked="807").lent_to == "Ostrander"


@pytest.mark.parametrize(("name", "made"), [("6sn7wgt", "6SN7WGT"), ("6SN7 of Alder", "6SN7 of Alder")])
def test_a_type_of_ones_own_is_given_on_trial(name, made, keeper, today):
    run = on_trial("Tube,Qty\n6SN7,2\n", keeper, today)
    answer_on_trial(rows_of(run)[1], "named", today=today, name=name)
    assert not TubeType.objects.filter(name="6SN7 of Alder").exists()
    trial.write_run(run, by=keeper, today=today)
    assert set(Tube.objects.values_list("type__name", flat=True)) == {made}


def test_what_is_not_offered_is_refused(keeper, today):
    run = on_trial(LIST, keeper, today)
    rows = rows_of(run)
    for row, key, more in (
        (rows[1], "more", {}), (rows[8], "more", {}), (rows[1], "named", {}), (rows[1], "as marked", {"about": "twin"}),
    ):  # fmt: skip
        with pytest.raises(ValidationError):
            answer_on_trial(row, key, today=today, **more)
    trial.write_run(run, by=keeper, today=today)
    with pytest.raises(ValidationError, match="written already"):
        answer_on_trial(rows[1], "as marked", today=today)
    assert len(answer_held(run.rows.get(row=1), "type:6SN7GT", by=keeper, today=today)) == 2


def test_the_page_of_a_trial_takes_answers(as_keeper, keeper, today):
    run = on_trial(LIST, keeper, today)
    client = as_keeper
    page = client.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    assert "also for all rows that ask the same" in page and "understood" in page and "1 × 6V6GT" in page
    where = reverse("lists:list-answer", args=[run.pk, 1])
    answer = client.post(where, {"answer": "type:6SN7GT", "about": "mark", "alike": "1"}, follow=True)
    assert "2 rows answered; nothing is written yet." in answer.content.decode()
    press_write(client, run)
    assert Tube.objects.filter(type__name="6SN7GT").count() == 3


@pytest.mark.parametrize(
    "text",
    [
        "Tube,Qty,Box\n807,1,Box 4\n807,1,Box 4\n",
        "My no.,Tube,Qty,Box\n1,807,1,Box 4\n2,807,1,Box 4\n",
        "No,Tube,Qty,Box\n1,807,1,Box 4\n2,807,1,box 4\n",
    ],
)
def test_a_row_that_repeats_an_earlier_one_is_never_added_in_silence(text, keeper, today):
    found, rows = take(text, by=keeper)
    assert [row["outcome"] for row in rows][1] == "held" and Tube.objects.count() == 1
    second = found.run.rows.get(row=2)
    assert "row 1 of this list" in second.question["text"]
    assert len(answer_held(second, "more", by=keeper, today=today)) == 1
    assert Tube.objects.count() == 2


def test_what_was_understood_is_told_of_every_row(keeper):
    text = (
        'Tube,Qty,Reading,Paid,Box\n6V6GT,1,62 (min 40),$100 (each),Box 4\n807,4,"70, 66, 71, 44?",fl 35,Box 4\n,,,,\n'
    )
    _, rows = take(text, by=keeper, trial=True)
    assert rows[0]["understood"] == {
        "kind": "tubes", "type": "6V6GT", "mark": "6V6GT", "count": 1, "states": {"untested": 1},
        "readings": [{"value": "62", "minimum": "40"}], "minimum": "40",
        "price": {"amount": "100", "currency": "$", "per": "each"}, "place": "Box 4",
    }  # fmt: skip
    assert rows[1]["understood"]["count"] == 4 and rows[1]["understood"]["price"]["currency"] == "NLG"
    assert [one["value"] for one in rows[1]["understood"]["readings"]] == ["70", "66", "71", "44"]
    assert rows[2]["understood"] == {}


def test_each_tube_gets_its_own_reading(keeper):
    take('Tube,Qty,QX-7\n807,3,"70, 66, 71?"\n', by=keeper)
    told = [
        [(fact.about, fact.figure, fact.per) for fact in item.facts.order_by("pk")]
        for item in Item.objects.order_by("pk")
    ]
    assert told == [[("reading", "70", "")], [("reading", "66", "")], [("reading", "71", "")]]


def test_a_corrected_file_knows_a_row_whose_reading_alone_changed(keeper, today):
    take("Tube,Qty,Reading,Min,Box\n807,1,62,40,Box 4\n6V6GT,1,71,40,Box 4\n1625,2,70,,Box 4\n", by=keeper)
    text = "Tube,Qty,Reading,Min,Box\n807,1,65,42,Box 4\n6V6GT,1,71,40,Box 4\n1625,3,70,,Box 4\n6SN7GT,1,70,,Box 4\n"
    found, rows = take(text, by=keeper)
    assert [row["outcome"] == "held" for row in rows] == [True, True, False, False]
    first = found.run.rows.get(row=1)
    assert first.question["about"] == "corrected" and "the same but for its reading as list" in first.question["text"]
    assert Tube.objects.count() == 8
    assert len(answer_held(first, "more", by=keeper, today=today)) == 1


def columns_of(run, **more):
    return {**run.columns, **more}


def test_answers_do_not_outlive_the_columns_they_were_given_for(keeper, today):
    run = on_trial("A,B,Qty\n6SN7,807,1\n6SN7,6V6GT,2\n", keeper, today)
    trial.set_columns(run, columns_of(run, A="mark", B="note"), Options())
    trial.try_out(run, today=today)
    answer_on_trial(rows_of(run)[1], "type:6SN7GT", today=today, alike=True)
    run.refresh_from_db()
    trial.set_columns(run, dict(run.columns), Options())  # the same: they stand
    assert len(answers_of(run)) == 2
    with pytest.raises(ValidationError, match="try the list out again"):
        answer_on_trial(rows_of(run)[1], "as marked", today=today)
    trial.set_columns(run, columns_of(run, A="note", B="mark"), Options())
    assert answers_of(run) == {} and "The answers to 2 rows were given for other columns" in run.counts["notes"][-1]
    trial.try_out(run, today=today)
    assert "given for other columns" in run.counts["notes"][-1]
    trial.write_run(run, by=keeper, today=today)
    assert sorted(Tube.objects.values_list("type__name", flat=True)) == ["6V6GT", "6V6GT", "807"]


def test_another_type_is_a_known_one_in_any_writing(keeper, today):
    run = on_trial("Tube,Qty\n6SN7,2\n", keeper, today)
    row, count = rows_of(run)[1], TubeType.objects.count()
    with pytest.raises(ValidationError, match="6SN7GT"):  # several bear it: which
        answer_on_trial(row, "named", today=today, name="6SN7")
    assert answer_on_trial(row, "named", today=today, name="VT-231") == 1
    assert run.rows.get().answers == {"mark": "type:6SN7GT"}
    trial.write_run(run, by=keeper, today=today)
    assert TubeType.objects.count() == count and set(Tube.objects.values_list("type__name", flat=True)) == {"6SN7GT"}


def test_a_type_that_a_list_made_leaves_with_it(keeper, today):
    text = "Tube,Qty\n6SN7,2\n"
    run = on_trial(text, keeper, today)
    answer_on_trial(rows_of(run)[1], "named", today=today, name="6SN7 of Alder")
    trial.write_run(run, by=keeper, today=today)
    made = TubeType.objects.get(name="6SN7 of Alder")
    run.refresh_from_db()
    assert run.counts["made_types"] == [made.pk]
    undo(run, by=keeper)
    assert not TubeType.objects.filter(name="6SN7 of Alder").exists()
    found, _ = take(text, by=keeper)
    answer_held(found.run.rows.get(), "named", by=keeper, today=today, name="6SN7 of Alder")
    Tube.objects.create(item=make.ItemFactory(), type=TubeType.objects.get(name="6SN7 of Alder"), marked="6SN7")
    found.run.refresh_from_db()
    assert undo(found.run, by=keeper)["left"] == ["6SN7 of Alder"]


def test_a_type_of_a_list_that_was_not_written_is_not_made(keeper, today):
    run = on_trial("Tube,Qty\n6SN7,2\n", keeper, today)
    answer_on_trial(rows_of(run)[1], "named", today=today, name="6SN7 of Alder")
    ImportRun.objects.create(file_name="the same", digest=run.digest, state=ImportRun.WRITTEN)
    assert trial.write_run(run, by=keeper, today=today).again
    assert not TubeType.objects.filter(name="6SN7 of Alder").exists()


def test_what_the_trial_says_of_an_answered_row_is_what_is_written(keeper, today):
    found, _ = take("Tube,Qty,Box\n807,1,Box 4\n807,1,Box 4\n", by=keeper)
    answer_held(found.run.rows.get(row=2), "more", by=keeper, today=today)
    run = on_trial("Tube,Qty,Box\n807,1,Box 4\n807,1,Box 4\n6V6GT,1,Box 5\n", keeper, today)
    second = rows_of(run)[2]
    assert second.question["about"] == "already"
    answer_on_trial(second, "more", today=today)
    second = rows_of(run)[2]
    assert second.outcome == "held" and second.question["about"] == "repeat"
    answer_on_trial(second, "more", today=today)
    assert rows_of(run)[2].outcome == "written"
    trial.write_run(run, by=keeper, today=today)
    assert rows_of(run)[2].outcome == "written"


def test_ditto_marks_of_many_rows_cost_one_question(keeper, today):
    def some(count):
        cells = "".join(f"6SN7,1,\"''\",{number}\n" for number in range(count))
        return on_trial(f"Tube,Qty,Box,Note\n807,1,Box 4,\n{cells}", keeper, today)

    def answered(run):
        rows = list(run.rows.filter(outcome="held").order_by("row"))
        settled = Again(run, today).settle_all([(row, {"mark": "type:6SN7GT"}) for row in rows], trial=True)
        return [found.understood["place"] for _, found in settled]

    few, many = some(2), some(6)
    assert answered(many) == ["Box 4"] * 6
    assert cost(lambda: answered(many)) == cost(lambda: answered(few))


HEAD = "Tube,Qty,Reading,Box\n"


def asked_of(run):
    return [(row.question.get("about", ""), row.question.get("text", "")) for row in run.rows.order_by("row")]


def test_the_row_that_was_corrected_is_named(keeper):
    take(f"{HEAD}807,1,70,Box 4\n807,1,66,Box 4\n807,1,71,Box 4\n", by=keeper)
    found, _ = take(f"{HEAD}807,1,75,Box 4\n807,1,70,Box 4\n807,1,66,Box 4\n807,1,80,Box 4\n", by=keeper)
    first = ImportRun.objects.order_by("pk").first().pk
    about = asked_of(found.run)
    assert about[0] == ("corrected", f"the same but for its reading as list {first}, row 3, which is here")
    assert [one[0] for one in about] == ["corrected", "already", "already", ""]  # three are here; the fourth is new


def test_of_several_rows_one_is_meant(keeper):
    take(f"{HEAD}807,1,70,Box 4\n807,1,66,Box 4\n", by=keeper)
    found, _ = take(f"{HEAD}807,1,75,Box 4\n", by=keeper)
    assert "as one of list " in asked_of(found.run)[0][1] and "rows 1, 2, which are here" in asked_of(found.run)[0][1]


@pytest.mark.parametrize(
    ("text", "name", "about"),
    [
        ("Tube,Qty,Reading,Seller\n6SN7GT,1,88,\n", "fair.csv", ""),  # another list: a new tube
        ("Tube,Qty,Reading,Seller\n6SN7GT,1,88,\n", "shelf.csv", "corrected"),
        ("Tube,Qty,Reading\n6SN7GT,1,88\n", "fair.csv", "corrected"),  # the same columns
    ],
)
def test_a_tube_of_another_list_is_no_correction(keeper, text, name, about):
    take("Tube,Qty,Reading\n6SN7GT,1,70\n", by=keeper, name="shelf.csv")
    found, _ = take(text, by=keeper, name=name)
    assert asked_of(found.run)[0][0] == about


def test_each_kind_of_question_has_its_own_answer_for_all(as_keeper, keeper, today):
    take(f"{HEAD}807,1,70,Box 4\n6V6GT,1,70,Box 4\n", by=keeper)
    found, _ = take(f"{HEAD}807,1,75,Box 4\n6V6GT,1,70,Box 4\n1625,1,66,Box 5\n1625,1,66,Box 5\n", by=keeper)
    page = as_keeper.get(reverse("lists:list-in", args=[found.run.pk])).content.decode()
    assert "the same but for the reading as" in page and page.count('name="about" value="repeat"') == 3
    where = reverse("lists:list-alike", args=[found.run.pk])
    as_keeper.post(where, {"answer": "leave out", "about": "already"})
    assert [one[0] for one in asked_of(found.run)] == ["corrected", "", "", "repeat"]
    as_keeper.post(where, {"answer": "more", "about": "corrected"})
    assert [one[0] for one in asked_of(found.run)] == ["", "", "", "repeat"] and Tube.objects.count() == 4
    as_keeper.post(where, {"answer": "more", "about": "tag"})  # no such answer
    assert [one[0] for one in asked_of(found.run)][3] == "repeat"
