"""Pages of lists that come in: upload, columns, trial, writing, questions, undo; who may, what grows."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.holdings.models import Item, Place, Tube
from inventory.lists.actions import progress
from inventory.lists.actions.progress import told_of
from inventory.lists.actions.take_in import Work
from inventory.lists.actions.trial import keep_upload, try_out, write_run
from inventory.lists.models import ImportMapping, ImportRow, ImportRun
from tests.counting import asked
from tests.lists.importing_lists import MIXED, press_write, reading, take
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def upload(client, text=MIXED, name="shelf.csv", **more):
    raw = text.encode() if isinstance(text, str) else text
    return client.post(reverse("lists:list-add"), {"file": SimpleUploadedFile(name, raw), **more})


def columns_of(run, **changed):
    """What the columns page posts."""
    from inventory.lists.rules.columns import in_order

    columns = in_order(run.heading, run.columns) | changed
    return {f"column_{at}": field for at, field in enumerate(columns.values())}


def on_trial(by, text=MIXED):
    return keep_upload(io.BytesIO(text.encode()), name="shelf.csv", by=by)


def test_a_list_from_upload_to_undo(as_keeper):
    answer = upload(as_keeper)
    run = ImportRun.objects.get()
    assert answer.url == reverse("lists:list-columns", args=[run.pk])
    page = page_text(as_keeper.get(answer.url))
    assert "the heading says &#x27;Tube&#x27;" in page and "6SN7GT" in page and "13 rows" in page
    answer = as_keeper.post(answer.url, columns_of(run) | {"dollar": "usd", "order": "day", "keep_as": "my shelf"})
    assert (answer.status_code, answer.url) == (302, reverse("lists:list-in", args=[run.pk]))
    assert ImportMapping.objects.get(name="my shelf").options == {"dollar": "USD", "order": "day"}
    assert not Item.objects.exists()
    page = page_text(as_keeper.get(answer.url))
    assert "Trial run" in page and "two types in one cell" in page and "25 tubes" in page
    assert "two types" not in page_text(as_keeper.get(answer.url, {"show": "held"}))
    answer = press_write(as_keeper, run)
    assert answer.url.endswith("?show=held") and Item.objects.count() == 27
    assert Tube.objects.get(item__tag="T-0001").item.facts.get(about="paid").currency == "USD"
    held = run.rows.get(row=2)
    as_keeper.post(reverse("lists:list-answer", args=[run.pk, 2]), {"answer": held.question["choices"][0]["key"]})
    assert Item.objects.count() == 29
    tube = page_text(as_keeper.get(reverse("holdings:tube", args=["T-0001"])))
    assert "row 1 (line 2)" in tube and "$5 ea" in tube
    refused = b"".join(as_keeper.get(reverse("lists:list-refused", args=[run.pk])).streaming_content).decode(
        "utf-8-sig"
    )
    assert refused.splitlines()[0] == "Tube,Qty,State,Reading,Box,Paid,Serial,Notes,why" and refused.count("\n") == 3
    gone = as_keeper.post(reverse("lists:list-undo", args=[run.pk]), follow=True)
    told = "Out of the register: 27 tubes, 1 lot of parts, 1 chassis, with 5 facts told of them."
    assert told in page_text(gone)
    run.refresh_from_db()
    assert run.state == "undone" and not Item.objects.exists()
    assert "Undone" in page_text(as_keeper.get(reverse("lists:list-in", args=[run.pk])))


def test_the_pages_write_what_the_command_writes(keeper, today):
    run = on_trial(keeper)
    try_out(run, today=today)
    found = write_run(run, by=keeper, today=today)
    rows = list(found.report())
    counts = found.counts()
    from inventory.lists.actions.undo import undo

    undo(found.run, by=keeper)
    again, reports = take(MIXED, by=keeper, name="shelf.csv")
    assert again.counts() == counts
    assert [(r["row"], r["line"], r["outcome"], r["remarks"]) for r in rows] == [
        (r["row"], r["line"], r["outcome"], r["remarks"]) for r in reports
    ]


def test_a_column_is_changed_by_the_keeper(as_keeper, keeper):
    run = on_trial(keeper, "what,how,where\n807,3,Bin 1\n")
    page = reverse("lists:list-columns", args=[run.pk])
    as_keeper.post(page, columns_of(run, what="mark", how="quantity", where="note"))
    press_write(as_keeper, run)
    assert [tube.note for tube in Tube.objects.all()] == ["Bin 1"] * 3
    assert as_keeper.get(page).status_code == 302  # written: its columns stay


def test_a_kept_mapping_is_used_or_said_not_to_fit(as_keeper):
    mapping = ImportMapping.objects.create(name="m", columns={"a": "mark", "b": "quantity"}, options={"kind": "tubes"})
    upload(as_keeper, "a,b\n807,2\n", mapping=mapping.pk)
    run = ImportRun.objects.get()
    assert run.columns == {"a": "mark", "b": "quantity"} and run.options == {"kind": "tubes"}
    upload(as_keeper, "c,d\n807,2\n", mapping=mapping.pk)
    answer = as_keeper.get(reverse("lists:list-columns", args=[ImportRun.objects.first().pk]))
    assert "was not used" in answer.content.decode()


def test_the_same_file_again_is_refused_on_the_page(as_keeper, keeper):
    take(MIXED, by=keeper)
    answer = upload(as_keeper)
    assert answer.status_code == 422 and "The same file was taken in on" in answer.content.decode()
    assert ImportRun.objects.count() == 1


def test_written_twice_at_once_writes_once(as_keeper, keeper, today):
    first, second = on_trial(keeper), on_trial(keeper)
    for run in (first, second):
        try_out(run, today=today)
        seen = {"reading": reading(as_keeper, run)}
        as_keeper.post(reverse("lists:list-write", args=[run.pk]), seen)
    as_keeper.post(reverse("lists:list-write", args=[first.pk]), seen)
    assert Item.objects.count() == 27
    assert [run.state for run in ImportRun.objects.order_by("pk")] == ["written", "trial"]


@pytest.mark.parametrize(("raw", "words"), [(b"", "empty"), (b"PK\x03\x04xx", "damaged"), (b" \n \n", "no filled row")])
def test_a_file_that_is_no_list(as_keeper, raw, words):
    answer = upload(as_keeper, raw)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not ImportRun.objects.exists()


def test_what_the_columns_page_refuses(as_keeper, keeper):
    run = on_trial(keeper)
    page = reverse("lists:list-columns", args=[run.pk])
    answer = as_keeper.post(page, columns_of(run) | {"dollar": "dollars", "column_0": "fish"})
    assert answer.status_code == 422 and "Three letters such as USD" in answer.content.decode()
    run.refresh_from_db()
    assert not run.counts.get("tried")
    as_keeper.post(reverse("lists:list-write", args=[run.pk]))
    assert not Item.objects.exists()  # not before it was tried out


def test_a_helper_does_not_replace_a_kept_mapping(as_helper, helper):
    ImportMapping.objects.create(name="m", columns={"a": "mark"})
    run = on_trial(helper)
    answer = as_helper.post(reverse("lists:list-columns", args=[run.pk]), columns_of(run) | {"keep_as": "m"})
    assert answer.status_code == 422 and "There is a mapping m already" in answer.content.decode()
    assert ImportMapping.objects.get().columns == {"a": "mark"}


def test_a_trial_is_forgotten(as_helper, helper):
    run = on_trial(helper)
    as_helper.post(reverse("lists:list-drop", args=[run.pk]))
    assert not ImportRun.objects.exists() and not ImportRow.objects.exists()
    found, _ = take(MIXED, by=helper)
    as_helper.post(reverse("lists:list-drop", args=[found.run.pk]))
    assert ImportRun.objects.exists()


def test_a_row_that_is_a_want_goes_on_the_want_list_by_hand(as_helper, helper, today):
    """Nothing is made of it by itself: what a list wants may long be found."""
    run = on_trial(helper, "Tube,Qty\nVT-231,2!\n807,3\n")
    try_out(run, today=today)
    write_run(run, by=helper, today=today)
    first = run.rows.get(row=1)
    assert [one["code"] for one in first.remarks] == ["want"]
    (remark,) = first.remarks
    first.remarks = [{**remark, "reason": "said in other words"}]
    assert first.thing_wanted == "VT-231"
    first.remarks = [{**remark, "code": "", "reason": "2!: a want, not a thing owned"}]
    assert first.thing_wanted == ""  # the words decide nothing
    wants = [row.thing_wanted for row in run.rows.order_by("row")]
    assert wants == ["VT-231", ""] and Tube.objects.count() == 3
    page = as_helper.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    assert f"{reverse('holdings:want-add')}?thing=VT-231" in page


def test_counting_on_the_page(as_helper, as_keeper, helper):
    found, _ = take("Tube,Qty\n5U4G,a few\n807,about 3\n", by=helper)
    page = reverse("lists:lists-to-count")
    assert as_helper.get(page).content.decode().count("<tr>") == 3
    as_helper.post(reverse("lists:list-count", args=[found.run.pk, 1]), {"count": "5"})
    empty = as_helper.post(reverse("lists:list-count", args=[found.run.pk, 2]), follow=True)
    assert "Give a number" in empty.content.decode()
    told = as_keeper.post(reverse("lists:list-count", args=[found.run.pk, 2]), {"count": "2"}, follow=True)
    assert "Row 2: 2 counted, not there and out of the register: T-0003" in told.content.decode()
    assert Tube.objects.filter(marked="5U4G").count() == 5
    assert "Nothing waits" in as_helper.get(page).content.decode()


def test_a_count_goes_before_columns_of_bounds(as_helper, helper):
    """A column of least counts beside the counts: what is not known is asked for once, and written when counted."""
    mapping = {"Tube": "mark", "Qty": "quantity", "Least": "least", "Most": "most"}
    text = "Tube,Qty,Least,Most\n6SN7GT,7,,\n5U4G,a few,,\n807,,2,\n6V6GT,,,9\n"
    found, rows = take(text, by=helper, mapping=mapping)
    assert [len(row["made"]) for row in rows] == [7, 0, 2, 0]
    page = reverse("lists:lists-to-count")
    assert as_helper.get(page).content.decode().count("<tr>") == 4
    for row, count in ((2, 3), (4, 0)):
        as_helper.post(reverse("lists:list-count", args=[found.run.pk, row]), {"count": count})
    as_helper.post(reverse("lists:list-count", args=[found.run.pk, 3]), {"count": 2})
    assert Tube.objects.filter(marked="5U4G").count() == 3 and not Tube.objects.filter(marked="6V6GT").exists()
    assert "Nothing waits" in as_helper.get(page).content.decode()


def test_refused_rows_of_the_page_and_of_the_command_are_one_file(as_keeper, keeper):
    text = "Tube,=Qty\n807,-3,more,cells\n807,1,,,,,,wide but written\n5U4G,=2\n"
    found, _ = take(text, by=keeper)
    address = reverse("lists:list-refused", args=[found.run.pk])
    sent = b"".join(as_keeper.get(address).streaming_content).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(sent, newline="")))
    assert rows == list(found.refused_rows())
    assert rows[0] == ["Tube", "'=Qty", "", "", "why"] and [len(row) for row in rows] == [5, 5, 5]
    assert rows[1][:4] == ["807", "'-3", "more", "cells"] and rows[2][1] == "'=2"


def test_progress_is_told_while_a_list_is_read_and_written(as_visitor, keeper, today, monkeypatch):
    """What another page sees meanwhile, also while the register is being written, and nothing before or after."""
    run = on_trial(keeper)
    page = reverse("lists:list-progress", args=[run.pk])
    said = []
    told_by = progress.Telling.of

    def of(self, what):
        tell = told_by(self, what)

        def tell_and_look(count):
            tell(count)
            said.append(as_visitor.get(page).content.decode())

        return tell_and_look

    monkeypatch.setattr(progress.Telling, "of", of)
    assert as_visitor.get(page).content.strip() == b""
    try_out(run, today=today)
    assert "13 of 13 rows read." in said[0] and "13 of 13 rows tried out." in said[-1]
    write_run(run, by=keeper, today=today)
    assert "13 of 13 rows written." in said[-1] and 'value="13"' in said[-1]
    assert as_visitor.get(page).content.strip() == b""


def test_a_work_that_fails_tells_nothing_afterwards(as_visitor, keeper, today, monkeypatch):
    run = on_trial(keeper)

    def fail(*_args, **_more):
        raise RuntimeError("the lamp went out")

    monkeypatch.setattr(Work, "written", fail)
    with pytest.raises(RuntimeError, match="lamp"):
        write_run(run, by=keeper, today=today)
    assert told_of(run) is None


def test_notes_that_cannot_be_written_hinder_nothing(keeper, today, settings, tmp_path):
    (tmp_path / "file").write_text("no folder")
    settings.CACHES = settings.CACHES | {
        "progress": {"BACKEND": "django.core.cache.backends.filebased.FileBasedCache", "LOCATION": tmp_path / "file"}
    }
    run = on_trial(keeper)
    try_out(run, today=today)
    write_run(run, by=keeper, today=today)
    assert run.state == ImportRun.WRITTEN and told_of(run) is None


@pytest.mark.parametrize("name", ["list-add", "list-columns", "list-write", "list-drop", "list-answer", "list-count"])
def test_a_visitor_takes_nothing_in(name, as_visitor, keeper, snapshot):
    run = on_trial(keeper)
    args = {"list-add": [], "list-answer": [run.pk, 2], "list-count": [run.pk, 2]}.get(name, [run.pk])
    before = snapshot()
    assert as_visitor.post(reverse(f"lists:{name}", args=args), {}).status_code == 403
    assert snapshot() == before


def test_only_a_keeper_undoes(as_helper, as_visitor, keeper):
    found, _ = take("Tube\n807\n", by=keeper)
    for client in (as_helper, as_visitor):
        assert client.post(reverse("lists:list-undo", args=[found.run.pk])).status_code == 403
    assert Item.objects.count() == 1
    for name, status in (("list-in", 200), ("list-refused", 403)):  # prices stand among the cells of a row
        assert as_visitor.get(reverse(f"lists:{name}", args=[found.run.pk])).status_code == status


def test_an_undo_that_is_refused_names_what_changed(as_keeper, keeper):
    found, (row,) = take("Tube\n807\n", by=keeper)
    tube = Tube.objects.get()
    tube.state = "weak"
    tube.save()
    answer = as_keeper.post(reverse("lists:list-undo", args=[found.run.pk]))
    assert answer.status_code == 422 and f"{row['made'][0]} was changed" in answer.content.decode()


def test_what_a_list_says_never_becomes_markup(as_keeper, keeper):
    nasty = "<script>'x'&"
    found, _ = take(f"Tube,Qty,{nasty}\n807,1,{nasty}\n{nasty},1,x\n5U4G,some,{nasty}\n", by=keeper, name=nasty)
    run = on_trial(keeper, f"Tube,{nasty}\n807,{nasty}\n")
    for name, args in (
        ("list-in", [found.run.pk]), ("lists-in", []), ("lists-to-count", []), ("list-columns", [run.pk]),
    ):  # fmt: skip
        text = as_keeper.get(reverse(f"lists:{name}", args=args)).content.decode()
        assert nasty not in text and "&lt;script&gt;" in text, name
    text = as_keeper.get(reverse("holdings:tube", args=["T-0001"])).content.decode()
    assert nasty not in text and "&lt;script&gt;" in text


@pytest.mark.parametrize("name", ["lists-in", "list-in", "lists-to-count", "list-columns", "list-refused"])
def test_pages_do_not_grow(name, as_keeper, keeper, today):
    def fill(count, mark):
        row = "807,2,Bin 1\n5U4G,a few,Bin 2\nVT-60,1,Bin 3\n-,-,\nEF80,-3,x\n"
        text = "Tube,Qty,Box\n" + f"{row}" * count + f"6SN7GT,{mark},\n"
        run = on_trial(keeper, text)
        if name != "list-columns":
            write_run(run, by=keeper, today=today)
        return run

    few, many = fill(2, 1), fill(8, 2)
    args = [[], []] if name in ("lists-in", "lists-to-count") else [[few.pk], [many.pk]]
    first = asked(as_keeper, reverse(f"lists:{name}", args=args[0]))
    if not args[0]:
        fill(8, 3)
    assert asked(as_keeper, reverse(f"lists:{name}", args=args[1])) == first


def test_a_trial_names_the_new_places(as_visitor, keeper, today):
    """Before anything is written, spellings that would make two places of one can be seen."""
    run = on_trial(
        keeper, "Tube,Qty,Box\n807,1,Barn/Shelf 2\n6V6GT,2,Barn/Shelf 2/\n5U4G,1,Barn \\ Shelf 3\n807,1,Bin 9\n"
    )
    try_out(run, today=today)
    page = as_visitor.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    places = run.counts["new_places"]
    assert places == ["Barn", "Barn / Shelf 2", "Barn / Shelf 3", "Bin 9"]
    assert "New places" in page and "Barn / Shelf 3" in page
    write_run(run, by=keeper, today=today)
    assert sorted(Place.objects.values_list("path", flat=True)) == sorted(places)


def test_an_undone_list_had_made_what_it_made(as_keeper, keeper):
    found, _ = take("Tube\n807\n", by=keeper)
    address = reverse("lists:list-in", args=[found.run.pk])
    assert "<dt>Made</dt>" in as_keeper.get(address).content.decode()
    as_keeper.post(reverse("lists:list-undo", args=[found.run.pk]))
    assert "<dt>Had made</dt>" in as_keeper.get(address).content.decode()
