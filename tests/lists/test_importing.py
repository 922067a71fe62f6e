"""Lists into the register and out of it again. What is expected of the rows: common practice, no source."""

import csv
import io
import json

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from inventory.holdings.actions import change_tube, lend, mark_seen, move, save_place
from inventory.holdings.models import HazardMark, Item, Movement, PartLot, Place, TagSeries, Tube
from inventory.house.records.actions import strike_out
from inventory.lists.actions import write
from inventory.lists.actions.answers import answer_count, answer_held
from inventory.lists.actions.read import Options
from inventory.lists.actions.take_in import named_mapping
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportMade, ImportMapping, ImportRun
from inventory.lists.queries.uncounted import rows_to_count
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN
from inventory.pairing.models import Companion
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel
from tests import factories as make
from tests.holdings.rows import check_of
from tests.lists.importing_lists import (
    CASES,
    GERMAN,
    HEADINGS,
    LONG,
    MIXED,
    SET_HEADINGS,
    SET_ROWS,
    SETS,
    SHELF,
    SHORT,
    TUBE_ROWS,
    list_under,
    register,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.mark.parametrize("heading", [SHORT, GERMAN, LONG], ids=["short", "german", "long"])
def test_the_rows_of_keepers_through_the_whole_path(heading, keeper):
    found, rows = take(list_under(heading), by=keeper)
    cases = [case for case in CASES if case.heading == heading]
    assert [row["line"] for row in rows] == [2, 3, 4, 5, 6]
    for case, row in zip(cases, rows, strict=True):
        # what only the register can know (a place, a model that is new) adds a remark, never takes one away
        assert row["outcome"] in {case.outcome, REMARKED} if case.outcome == WRITTEN else row["outcome"] == case.outcome
        said = " | ".join(one["reason"] for one in row["remarks"]).lower()
        assert all(word.lower() in said for word in case.words)
        made = 1 if case.kind == "parts" else sum(count for count, _ in case.groups)
        assert len(row["made"]) == made
    counts = found.counts()
    assert counts["rows"] == 5 == counts["written"] + counts["held"] + counts["refused"] + counts["not_items"]
    assert sum(counts["records"].values()) == Item.objects.count() == ImportMade.objects.count()


def test_what_the_long_list_makes(keeper):
    take(list_under(LONG), by=keeper)
    first, meter = Chassis.objects.order_by("item__tag")
    assert (first.model.name, first.serial, first.serial_reading) == ("BC-9012-N", "", "missing")
    assert (meter.model.name, meter.serial, meter.model.kind) == ("Kelvane 18", "1190", "other")
    assert "mate: book is 1109 !!" in meter.note and "Order/Contract: NXsr-?" in meter.note
    assert PlugInUnit.objects.get(model__name="TU-917").serial == "612"  # digit for digit, without the #
    assert PartLot.objects.get().name == "DM-935, spare"
    facts = meter.item.import_made.facts
    assert {"price", "reading", "serial"}.isdisjoint(facts)  # a fact or a column of its own holds these
    paid = meter.item.facts.get(about="paid")
    assert paid.value == 40 and "gas" in paid.text
    acquired = meter.item.facts.get(about="acquired")
    assert acquired.text and acquired.precision in ("month", "")
    assert dict(meter.item.import_made.row.named_cells)["Photo"] == "DSC0042"
    (twice,) = [r for r in meter.item.import_made.row.run.rows.get(row=4).remarks if "stands on row" in r["reason"]]
    assert twice["found"] == "102"


@pytest.mark.parametrize(
    ("rows", "headings", "mapping"),
    [(TUBE_ROWS, HEADINGS, SHELF), (SET_ROWS, SET_HEADINGS, SETS)],
    ids=["shelf", "sets"],
)
def test_the_invented_rows_through_the_database(rows, headings, mapping, keeper):
    """The outcomes are those of the rules; only these differ, since the register knows more."""
    for code in {case.line.split("|")[4 if headings is HEADINGS else 3].strip() for case in rows} - {""}:
        if not Place.objects.filter(path__iexact=code).exists() and code not in ("place", "room"):
            make.PlaceFactory(code=code, path=code)
    text = io.StringIO()
    out = csv.writer(text, delimiter="|", lineterminator="\n")
    out.writerow(headings)
    out.writerows(case.line.split("|") for case in rows)
    columns = dict(zip(headings, mapping, strict=True))
    _, report = take(text.getvalue(), by=keeper, mapping=columns)
    assert len(report) == len(rows)
    differ = {
        case.line.split("|")[0]: row for case, row in zip(rows, report, strict=True) if row["outcome"] != case.outcome
    }
    # no set model is named beside the book, so it is asked which one it belongs to
    assert {what: row["outcome"] for what, row in differ.items()} in ({}, {"calibration book": HELD})
    for case, row in zip(rows, report, strict=True):
        if case.kind == "tubes" and row["outcome"] in (WRITTEN, REMARKED):
            assert len(row["made"]) == (case.count or 0), case
    duds = Tube.objects.filter(marked="6V6GT", state="dud")
    if headings is HEADINGS:  # 2 (1 dud), 3+1 good / dud, 4 taub
        assert duds.count() == 6
        assert HazardMark.objects.filter(hazard="mercury").count() == 2
        assert HazardMark.objects.get(hazard="PCB oil").standing == "proposed"


def test_types_states_and_words_of_tubes(keeper):
    _, rows = take(MIXED, by=keeper)
    first = Tube.objects.select_related("type", "item__place").get(item__tag=rows[0]["made"][0])
    assert (first.type.name, first.state, first.item.place.path) == ("6SN7GT", "good", "Bin 3")
    assert first.item.seen_on is None  # a list is no look at the shelf
    good, dud = Tube.objects.filter(item__tag__in=rows[2]["made"]).order_by("item__tag")
    assert (good.state, dud.state, good.type.name) == ("untested", "dud", "6SN7GT")
    asked = good.item.facts.get(about="reading")  # of two double tubes: a minimum, or another's reading?
    assert (asked.text, asked.figure) == ("1500/1200 umho", "")
    assert len(rows[5]["made"]) == 20
    move_row = Movement.objects.get(item=first.item)
    assert (move_row.from_path, move_row.to_path, move_row.by) == ("", "Bin 3", keeper)
    for row in (first, first.item):
        (kept,) = row.history.all()
        assert (kept.history_type, kept.history_user) == ("+", keeper)
    assert [row["outcome"] for row in rows] == [
        REMARKED, HELD, REMARKED, REFUSED, REMARKED, REMARKED, REFUSED, REMARKED, HELD, HELD, REMARKED, NOT_AN_ITEM,
        NOT_AN_ITEM,
    ]  # fmt: skip
    lot = PartLot.objects.get()
    assert (lot.name, lot.least, lot.most, lot.to_count) == ("oil cap 4 mfd 600 V", 3, 3, True)
    assert Chassis.objects.get().item.hazards.get().hazard == "mercury"


def test_unknown_is_not_zero(keeper):
    _, (tubes, parts) = take("Tube,Qty\n5U4G,a few\nknobs,some\n", by=keeper)
    assert tubes["made"] == [] and ImportRun.objects.get().rows.get(row=1).question["to_count"] == "a few"
    lot = PartLot.objects.get(item__tag=parts["made"][0])
    assert (lot.least, lot.most, lot.to_count) == (None, None, True)


def test_a_trial_writes_nothing(keeper, snapshot):
    before = snapshot()
    found, rows = take(MIXED, by=keeper, trial=True)
    assert snapshot() == before
    real, written = take(MIXED, by=keeper)
    assert found.counts() == real.counts()
    assert [row["outcome"] for row in rows] == [row["outcome"] for row in written]


def test_the_same_file_twice(keeper):
    take(MIXED, by=keeper)
    before = register()
    found, rows = take(MIXED, by=keeper, name="another name.csv")
    assert register() == before
    counts = found.counts()
    assert (counts["rows"], counts["written"], sum(counts["records"].values())) == (13, 0, 0)
    assert all("the same file was taken in on" in row["remarks"][0]["reason"] for row in rows)
    undo(found.run, by=keeper)
    again, _ = take(MIXED, by=keeper)
    assert again.counts()["written"] > 0


def test_all_or_nothing(keeper, snapshot, monkeypatch):
    before = snapshot()
    calls = []

    def fail(self, *args):
        calls.append(1)
        if len(calls) == 3:
            raise RuntimeError("the lamp went out")
        return real(self, *args)

    real = write.Writer._around
    monkeypatch.setattr(write.Writer, "_around", fail)
    with pytest.raises(RuntimeError):
        take("Tube,Qty,Box\n" + "".join(f"807,1,Box {n}\n" for n in range(1700)), by=keeper)
    assert len(calls) == 3 and snapshot() == before


# --- held rows -------------------------------------------------------------------------------------------------------


def test_a_held_mark_is_answered(keeper, today, refused):
    found, _ = take(MIXED, by=keeper)
    row = found.run.rows.get(row=2)
    choices = {choice["words"]: choice["key"] for choice in row.question["choices"]}
    with refused("answer", "Choose"):
        answer_held(row, "17", by=keeper, today=today)
    # U.S. Signal Corps VT-60 is the 850, the British VT60 the 807 (bvws.org.uk, 405 Alive, valve numbers)
    key = next(key for words, key in choices.items() if ": 850" in words)
    assert any(": 807" in words for words in choices)
    tags = answer_held(row, key, by=keeper, today=today)
    tubes = Tube.objects.filter(item__tag__in=tags).select_related("type", "item__place")
    assert {(t.type.name, t.marked, t.state, t.item.place.path) for t in tubes} == {("850", "VT-60", "good", "Bin 3")}
    assert len(tags) == 2
    row.refresh_from_db()
    found.run.refresh_from_db()
    assert row.outcome == REMARKED and row.answered_at
    assert (found.run.counts["held"], found.run.counts["records"]["tubes"]) == (2, 27)
    with refused("answer", "waits for no answer"):
        answer_held(row, key, by=keeper, today=today)
    undo(found.run, by=keeper)
    assert not Item.objects.exists()


def test_the_same_serial_on_the_same_model_is_held(keeper, today):
    here = make.ChassisFactory(model=make.SetModelFactory(name="Skerry 40"), serial="01432")
    text = "Model,Serial,Kind\nskerry 40,01432,chassis\nSkerry 40,1432,chassis\nSkerry 40,1432,chassis\n"
    found, rows = take(text, by=keeper)
    assert [row["outcome"] for row in rows] == [HELD, WRITTEN, HELD]
    first, third = (found.run.rows.get(row=n) for n in (1, 3))
    assert f"in the register as {here.tag}" in first.question["text"]
    assert "on row 2" in third.question["text"]
    assert answer_held(first, "leave out", by=keeper, today=today) == []
    first.refresh_from_db()
    assert first.outcome == NOT_AN_ITEM
    (tag,) = answer_held(third, "another", by=keeper, today=today)
    assert Chassis.objects.get(item__tag=tag).serial == "1432"
    assert SetModel.objects.count() == 1  # found again in another case


def test_a_companion_is_asked_for_its_set(keeper, today):
    model = make.SetModelFactory(name="Lantern Mk 2")
    found, _ = take("Model,Serial,Mate\ncalibration book,1190,#1109\n", by=keeper)
    row = found.run.rows.get()
    assert row.outcome == HELD
    answer_held(row, "model:Lantern Mk 2", by=keeper, today=today)
    book = Companion.objects.select_related("kind").get()
    assert (book.kind.name, book.kind.set_model, book.serial, book.mate_serial) == (
        "calibration book",
        model,
        "1190",
        "1109",
    )
    take("Model,Serial\nLantern Mk 2 calibration book,77\nPetrel Two calibration book,78\n", by=keeper)
    assert Companion.objects.get(serial="77").kind == book.kind
    assert Companion.objects.get(serial="78").kind.set_model.name == "Petrel Two"


def test_more_than_a_thousand_on_one_row_is_asked_about(keeper, today):
    found, rows = take("Tube,Qty\n807,4000\n6SN7GT,2\n", by=keeper)
    assert [row["outcome"] for row in rows] == [HELD, WRITTEN]
    assert len(answer_held(found.run.rows.get(row=1), "all", by=keeper, today=today)) == 4000


def test_counting_afterwards(keeper, today):
    found, _ = take("Tube,Qty,State\n5U4G,a few,good\n807,about 3,\n", by=keeper)
    unknown, guess = found.run.rows.order_by("row")
    tags, _ = answer_count(unknown, 4, by=keeper, today=today)
    assert [tube.state for tube in Tube.objects.filter(item__tag__in=tags)] == ["good"] * 4
    assert answer_count(guess, 3, by=keeper, today=today) == ([], [])  # as many as were written
    assert Tube.objects.filter(marked="807").count() == 3
    assert not rows_to_count().exists()


def test_a_guess_is_put_right_by_the_count(keeper, today):
    """More than guessed are written as the rest was; fewer leave, never one that something happened to."""
    found, _ = take("Tube,Qty,State,Box\n807,about 3,good,A\n6SN7GT,about 3,,A\n5U4G,about 3,,A\n", by=keeper)
    more, fewer, busy = found.run.rows.order_by("row")
    made, left = answer_count(more, 5, by=keeper, today=today)
    assert (len(made), left) == (2, []) and {t.state for t in Tube.objects.filter(marked="807")} == {"good"}
    tags = list(Item.objects.filter(tube__marked="6SN7GT").order_by("tag").values_list("tag", flat=True))
    assert answer_count(fewer, 1, by=keeper, today=today) == ([], tags[1:])
    gone = Item.objects.get(tag=tags[2])
    assert gone.gone_on == today and "1 counted" in gone.gone_how and "about 3" in gone.gone_how
    rectifiers = list(Item.objects.filter(tube__marked="5U4G").order_by("tag"))
    for item in rectifiers[:2]:
        change_tube(item.tube, by=keeper, reason="looked at")
        mark_seen([item], on=today, by=keeper)
        lend(item, "a friend", on=today, by=keeper)
    with pytest.raises(ValidationError, match="only 1 of them lie untouched"):
        answer_count(busy, 1, by=keeper, today=today)
    assert Item.objects.filter(tube__marked="5U4G", gone_on=None).count() == 3
    assert [row.pk for row in rows_to_count()] == [busy.pk]


# --- undo ------------------------------------------------------------------------------------------------------------


def test_undo_leaves_the_register_as_it_was(keeper):
    kept = make.TubeFactory(place=make.PlaceFactory(code="Bin 3", path="Bin 3"))
    before = register(), SetModel.objects.count(), UnitModel.objects.count()
    found, rows = take(MIXED, by=keeper)
    answer = undo(found.run, by=keeper)
    items, _, places = register()
    assert ((items, 0, places), SetModel.objects.count(), UnitModel.objects.count()) == before
    assert answer["undone"]["tube"] == 25 and answer["left"] == []
    assert list(Item.objects.values_list("tag", flat=True)) == [kept.tag]
    tags = {tag for row in rows for tag in row["made"]}
    assert set(Item.history.filter(history_type="-").values_list("tag", flat=True)) == tags
    assert found.run.rows.count() == 13  # the cells stay
    _, again = take(MIXED, by=keeper)
    assert not tags & {tag for row in again for tag in row["made"]}  # no tag twice
    with pytest.raises(ValidationError, match="nothing to undo"):
        undo(found.run, by=keeper)


def _fitted(tube):
    position = make.PositionFactory(type=tube.type)
    make.FittingFactory(tube=tube, position=position)


CHANGES = {
    "was changed": lambda tube, by: _changed(tube, by),
    "was moved": lambda tube, by: move([tube.item], make.PlaceFactory(), on=make.days_ago(0), by=by),
    "is named by a fitting": lambda tube, by: _fitted(tube),
    "is named by a hazard check": lambda tube, by: check_of(tube.item),
    "a hazard": lambda tube, by: HazardMark.objects.create(item=tube.item, hazard="radium", on=make.days_ago(0)),
}


def _changed(tube, by):
    tube.state = "weak"
    tube.save()


@pytest.mark.parametrize("what", CHANGES)
def test_undo_leaves_what_was_changed_since(what, keeper):
    found, rows = take("Tube,Qty,Box\n807,2,Bin 3\n", by=keeper)
    tube = Tube.objects.get(item__tag=rows[0]["made"][1])
    CHANGES[what](tube, keeper)
    answer = undo(found.run, by=keeper)
    assert answer["stays"][0].split()[0] == rows[0]["made"][1] and answer["undone"]["tube"] == 1
    assert not Item.objects.filter(tag=rows[0]["made"][0]).exists()
    tube.refresh_from_db()


def test_a_check_that_was_struck_out_is_no_change(keeper):
    found, rows = take("Tube,Qty,Box\n807,2,Bin 3\n", by=keeper)
    check = check_of(Tube.objects.get(item__tag=rows[0]["made"][1]).item)
    strike_out(check, "nobody looked", by=keeper)
    assert undo(found.run, by=keeper)["undone"]["tube"] == 2
    check.refresh_from_db()
    assert check.struck and not check.things.exists()


def test_places_and_models_that_are_used_since_stay(keeper):
    found, _ = take("Model,Serial,Loc,Kind\nSkerry 40,7,Hall,chassis\n", by=keeper)
    make.ChassisFactory(model=SetModel.objects.get())
    make.TubeFactory(place=Place.objects.get())
    assert sorted(undo(found.run, by=keeper)["left"]) == ["Hall", "Skerry 40"]


# --- mappings, places, texts -----------------------------------------------------------------------------------------


def test_a_named_mapping(keeper, tmp_path):
    ImportMapping.objects.create(name="uncle", columns={"what": "mark", "n": "quantity"}, options={"kind": "tubes"})
    columns, options = named_mapping("uncle")
    _, (row,) = take("n,what,colour\n3,807,green\n", by=keeper, mapping=columns, options=Options(**options))
    assert len(row["made"]) == 3
    assert "colour: green" in Tube.objects.first().note
    with pytest.raises(ValueError, match="none of the columns"):
        take("a,b\n1,2\n", by=keeper, mapping=columns)
    file = tmp_path / "m.json"
    file.write_text(json.dumps({"columns": {"what": "nonsense"}}))
    with pytest.raises(ValueError, match="'nonsense' is nothing that a column can be"):
        named_mapping(str(file))
    with pytest.raises(ValueError, match="no mapping and no file; there are: uncle"):
        named_mapping("aunt")


def test_places_are_found_again(keeper):
    hall = make.PlaceFactory(code="H", name="Hall", path="H")
    inner = make.PlaceFactory(code="Bin 1", parent=hall)
    make.PlaceFactory(code="Bin 1", parent=make.PlaceFactory(code="A", path="A"))
    text = "Tube,Box\n807,hall\n807,H / bin 1\n807,Bin 1\n807,Hall / Bin 9\n807,bin 9\n807,1/2 shelf\n6V6GT,1/2 SHELF\n"
    _, rows = take(text, by=keeper)
    places = [Item.objects.select_related("place").get(tag=row["made"][0]).place for row in rows]
    assert places[:2] == [hall, inner] and places[2] is None
    assert places[3] == places[4] and places[3].path == "H / Bin 9"
    assert places[5] == places[6] and (places[5].code, places[5].name) == ("1-2 shelf", "1/2 shelf")
    assert "2 places are called Bin 1" in rows[2]["remarks"][0]["reason"]


def test_what_is_too_long_is_kept_whole(keeper):
    long = "maker " * 30
    take(f"Tube,Maker\n807,{long}\n", by=keeper)
    tube = Tube.objects.get()
    assert tube.maker == "" and long.strip() in tube.note
    _, rows = take(f"Model,Serial,Kind\n{'x' * 90},1,chassis\nSkerry,{'A9' * 21},chassis\n", by=keeper)
    assert [row["outcome"] for row in rows] == [REFUSED, REFUSED]


def test_a_serial_of_tubes_is_held_the_second_time(keeper):
    take("Tube,Serial\n807,4711\n", by=keeper)
    _, rows = take("Tube,Serial\n807,4711\n807,4712\n", by=keeper)
    assert [row["outcome"] for row in rows] == [HELD, WRITTEN]


# --- commands --------------------------------------------------------------------------------------------------------


def run(*arguments):
    out, err = io.StringIO(), io.StringIO()
    call_command(*arguments, stdout=out, stderr=err)
    return json.loads(out.getvalue()), err.getvalue()


def test_the_commands(tmp_path):
    file, refused = tmp_path / "list.csv", tmp_path / "refused.csv"
    file.write_text(MIXED)
    tried, _ = run("import_list", str(file), "--trial", "--json")
    assert not Item.objects.exists()
    answer, _ = run("import_list", str(file), "--dollar", "USD", "--day-first", "--refused", str(refused), "--json")
    assert list(tried)[:8] == ["file", "rows", "written", "remarked", "held", "refused", "not_items", "records"]
    assert {name: answer[name] for name in list(answer)[:7]} == {
        "file": "list.csv", "rows": 13, "written": 6, "remarked": 6, "held": 3, "refused": 2, "not_items": 2,
    }  # fmt: skip
    assert answer["records"] == {"tubes": 25, "parts": 1, "chassis": 1, "units": 0, "companions": 0, "other": 0}
    for row in answer["rows_report"]:
        assert list(row) == ["row", "line", "outcome", "remarks", "made", "understood"]
        assert all(list(one) == ["column", "found", "reason", "action"] for one in row["remarks"])
    with refused.open(encoding="utf-8-sig", newline="") as kept:
        rows = list(csv.reader(kept))
    assert rows[0] == ["Tube", "Qty", "State", "Reading", "Box", "Paid", "Serial", "Notes", "why"]
    assert [row[0] for row in rows[1:]] == ["6SN7GT, 6SL7GT", "2.00E+26"]
    assert "two types in one cell" in rows[1][-1]
    refused.write_text(refused.read_text(encoding="utf-8-sig").replace("2.00E+26", "2E26"), encoding="utf-8")
    mended, _ = run("import_list", str(refused), "--json")
    assert (mended["rows"], mended["written"], mended["refused"]) == (2, 1, 1)
    tube = Tube.objects.get(marked="2E26")
    assert "why" not in tube.note and dict(tube.item.import_made.row.named_cells) == {
        "Tube": "2E26", "Qty": "1", "State": "good", "Box": "Bin 4",
    }  # fmt: skip
    undone, _ = run("undo_import", str(ImportRun.objects.get(file_name="list.csv").pk), "--json")
    assert undone["undone"]["tube"] == 25
    again, said = run("import_list", str(refused), "--json")
    assert again["written"] == 0 and "same file" in said


def test_what_begins_like_a_formula_comes_back_as_it_was(tmp_path):
    file, refused = tmp_path / "list.csv", tmp_path / "refused.csv"
    file.write_text("Tube,Qty\n=A7,3\n807,=2+2\n")
    first, _ = run("import_list", str(file), "--refused", str(refused), "--json")
    assert "'=A7" in refused.read_text(encoding="utf-8-sig")  # a spreadsheet must not work it out
    second, _ = run("import_list", str(refused), "--json")
    assert (first["refused"], second["refused"]) == (2, 2)


def test_refused_rows_have_a_place_before_anything_is_written(tmp_path, snapshot):
    file = tmp_path / "list.csv"
    file.write_text("Tube,Qty\n807,1\n2.00E+26,1\n")
    before = snapshot()
    for where, words in ((tmp_path / "no" / "refused.csv", "No such file"), (tmp_path, "directory"), (file, "itself")):
        with pytest.raises(CommandError, match=words) as refusal:
            call_command("import_list", str(file), "--refused", str(where), "--json", stdout=io.StringIO())
        assert refusal.value.returncode == 2 and snapshot() == before
    refused = tmp_path / "refused.csv"
    refused.write_text("what stood there before, longer than what comes\n" * 9)
    run("import_list", str(file), "--refused", str(refused), "--json")
    rows = list(csv.reader(io.StringIO(refused.read_text(encoding="utf-8-sig"), newline="")))
    assert [row[:2] for row in rows] == [["Tube", "Qty"], ["2.00E+26", "1"]]


def test_undone_in_the_words_of_the_command(keeper):
    found, _ = take("Tube,Qty,Pd\n807,2,€ 12 ea\n6V6GT,1,\n", by=keeper)
    out = io.StringIO()
    call_command("undo_import", str(found.run.pk), stdout=out)
    assert "undone: 3 tubes, with 2 facts told of them." in out.getvalue()


@pytest.mark.parametrize(
    ("content", "more", "words"),
    [
        (b"", (), "empty"),
        (b"\n\n", (), "no filled row"),
        (b"PK\x03\x04 not a book", (), "damaged"),
        (b"Tube\n807\n", ("--dollar", "dollars"), "no currency code"),
        (b"Tube\n807\n", ("--mapping", "nobody"), "no mapping and no file"),
        (b"Tube\n807\n", ("--kind", "fish"), "no kind"),
    ],
)
def test_what_cannot_be_read_is_refused(tmp_path, content, more, words, snapshot):
    file = tmp_path / "list.csv"
    file.write_bytes(content)
    before = snapshot()
    with pytest.raises(CommandError, match=words) as refusal:
        call_command("import_list", str(file), *more, "--json", stdout=io.StringIO())
    assert refusal.value.returncode == 2
    assert snapshot() == before
    with pytest.raises(CommandError) as refusal:
        call_command("undo_import", "999999", stdout=io.StringIO())
    assert refusal.value.returncode == 2


def test_tags_are_never_given_twice_beside_tags_of_the_keepers_own(keeper):
    make.ItemFactory(tag="T-0002")
    TagSeries.objects.update_or_create(prefix="T", defaults={"last": 0})
    _, (row,) = take("Tube,Qty\n807,3\n", by=keeper)
    assert row["made"] == ["T-0001", "T-0003", "T-0004"]


# --- places ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def bins():
    """A / B / C, and a place whose code came of a name with a slash."""
    above = make.PlaceFactory(code="A")
    middle = make.PlaceFactory(code="B", parent=above)
    return make.PlaceFactory(code="C", parent=middle)


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("A / B / C", "A / B / C"),
        ("a/b/c", "A / B / C"),
        ("A/ B /C", "A / B / C"),
        ("A/3", "A / 3"),  # its beginning is a place here
        ("Barn/Shelf 2", "Barn / Shelf 2"),  # every step is a word
        ("X/3", "X-3"),  # may be one name
        ("1/2", "1-2"),
        ("A/", "A"),
    ],
)
def test_a_bare_slash_parts_a_way_only_where_that_is_plain(bins, keeper, text, path):
    _, (row,) = take(f"Tube,Qty,Box\n807,1,{text}\n", by=keeper)
    assert Tube.objects.get().item.place.path == path
    assert any(path in remark["reason"] for remark in row["remarks"]) == (path not in ("A", "A / B / C"))


def test_names_that_would_make_one_code_stay_two_places(keeper):
    _, rows = take("Tube,Qty,Box\n807,1,X/3\n807,2,X-3\n807,4,x/3\n", by=keeper)
    assert dict(Place.objects.values_list("path", "name")) == {"X-3": "X/3", "X-3~2": "X-3"}
    assert [Tube.objects.filter(item__place__path=path).count() for path in ("X-3", "X-3~2")] == [5, 2]
    assert "X-3 is new, and bears X/3 as its name" in str(rows[0]["remarks"])


def test_a_name_too_long_for_a_code_says_so(keeper):
    name = "Cupboard behind the second door"
    _, (row,) = take(f"Tube,Qty,Box\n807,1,{name}\n", by=keeper)
    place = Place.objects.get()
    assert (place.code, place.name) == (name[:20].strip(), name)
    assert f"{place.code} is new, and bears {name} as its name" in str(row["remarks"])


def test_a_tag_is_no_place(keeper, refused):
    tag = make.TubeFactory().tag
    _, (row,) = take(f"Tube,Qty,Box\n807,1,{tag}\n", by=keeper)
    assert not Place.objects.exists() and f"{tag} is the tag of a tube, no place" in str(row["remarks"])
    with refused("code", "is the tag of a tube"):
        save_place(Place(code=tag.lower()), by=keeper)
    place = save_place(Place(code="D7"), by=keeper)
    place.code = tag
    with refused("code", "is the tag of a tube"):
        save_place(place, by=keeper)


def test_types_that_only_the_handbook_names_come_in_with_their_type(keeper):
    """EL33, MHL4 and PEN 45 stand in avo-vdm23 and in no other table."""
    _, rows = take("Type,Qty\nEL33,2\nMHL4,1\nPEN 45,1\n", by=keeper)
    assert [row["outcome"] for row in rows] == [WRITTEN] * 3
    held = Tube.objects.order_by("item__tag").values_list("type__name", flat=True)
    assert list(held) == ["EL33", "EL33", "MHL4", "Pen45"]
