"""The reference tables in the database: equal to the files, loaded once or twice; the keeper's rows stay and win.

Expected rows are read from the files with the ``csv`` module alone, or copied from them by eye.
"""

import csv
import json
import shutil
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from tests.factories import DesignationFactory, SourceFactory, TubeFactory, TubeTypeFactory
from tubes.actions import load_reference, save_designation, save_rating, save_source, save_type
from tubes.models import (
    KEEPER,
    KNOWLEDGE,
    TABLE,
    Designation,
    HandbookRow,
    JanMaker,
    Rating,
    RatingSource,
    Source,
    TubeType,
)
from tubes.queries import effective_figures, knowledge, type_for_stamp
from tubes.queries.judging import court
from tubes.rules.schemes import BY_NAME
from tubes.rules.tables import FILES, OPTIONAL

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def rows_of(name, folder=None):
    with ((folder or settings.REFERENCE_DIR) / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def copy(tmp_path):
    """A copy of the tables that a test may damage."""
    return shutil.copytree(settings.REFERENCE_DIR, tmp_path / "tables")


def edit(folder, name, change):
    file = folder / name
    text = file.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text
    file.write_text(changed, encoding="utf-8")


def append(folder, name, line):
    """Add a line to a table; gives its number."""
    text = (folder / name).read_text(encoding="utf-8").rstrip("\n") + "\n"
    (folder / name).write_text(text + line + "\n", encoding="utf-8")
    return text.count("\n") + 1


def without(folder, name, keep):
    """Rewrite a table with only the rows that ``keep`` says."""
    rows = rows_of(name, folder)
    kept = [row for row in rows if keep(row)]
    assert len(kept) < len(rows)
    with (folder / name).open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(kept)


def load(folder):
    result = load_reference(folder)
    assert result.faults == ()
    return result


# --- the real tables -------------------------------------------------------------------------------------------------


def test_the_rows_are_those_of_the_files():
    marks = {(r["type"], r["scheme"], r["designation"], r["relation"]) for r in rows_of("designations.csv")}
    held = Designation.objects.filter(origin=TABLE).values_list("type__name", "scheme", "designation", "relation")
    relations = {(r["type"], BY_NAME, r["other"], r["relation"]) for r in rows_of("relations.csv")}
    assert relations and set(held) == marks | relations
    assert dict(JanMaker.objects.values_list("code", "maker")) == {
        r["code"]: r["maker"] for r in rows_of("jan_makers.csv")
    }
    keys = {r["key"] for name in ("sources.csv", "ratings_sources.csv") for r in rows_of(name)}
    assert set(Source.objects.values_list("key", flat=True)) == keys
    assert set(Rating.objects.values_list("type__name", flat=True)) == {r["type"] for r in rows_of("ratings.csv")}


def test_figures_are_those_of_the_file():
    for row in rows_of("ratings.csv"):
        rating = Rating.objects.get(type__name=row["type"], origin=TABLE)
        for column in ("heater_v", "heater_a", "plate_w_max", "cgp_pf"):
            assert getattr(rating, column) == (float(row[column]) if row[column] else None), (row["type"], column)
        assert (rating.kind, rating.base, rating.note) == (row["kind"], row["base"], row["note"])


def test_each_figure_has_the_texts_of_its_source_cell():
    """The row 2A3 of ratings.csv cites: avo-vdm23[heater_v+base+gm_umho+plate_ma_typ]; pcsig-1432[heater_a];
    jp-2a3[plate_v_max+plate_w_max+mu]; rtype-2a3[rp_ohm]; gluisf-ltspice[cgp_pf+cin_pf+cout_pf]; from memory[rest].
    """
    (cell,) = [row["source"] for row in rows_of("ratings.csv") if row["type"] == "2A3"]
    assert cell.startswith("avo-vdm23[heater_v+base+gm_umho+plate_ma_typ]; pcsig-1432[heater_a]; jp-2a3[")
    stated = {
        "avo-vdm23": {"heater_v", "base", "gm_umho", "plate_ma_typ"},
        "pcsig-1432": {"heater_a"},
        "jp-2a3": {"plate_v_max", "plate_w_max", "mu"},
        "rtype-2a3": {"rp_ohm"},
        "gluisf-ltspice": {"cgp_pf", "cin_pf", "cout_pf"},
    }
    rest = {"kind", "cathode", "basing", "cap", "note"}  # filled in that row and named by no other citation
    expected = {
        (name, key, "handbook" if key == "avo-vdm23" else "stated") for key, names in stated.items() for name in names
    }
    borne_out = {"kind", "basing", "cap"}  # the handbook has 2A3: T, 1=h 2=a 3=g1 4=h, no cap
    expected |= {(name, "from memory", "agrees" if name in borne_out else "from memory") for name in rest}
    expected |= {(name, "avo-vdm23", "agrees") for name in borne_out}
    rows = RatingSource.objects.filter(rating__type__name="2A3", rating__origin=TABLE)
    assert set(rows.values_list("field", "source__key", "grade")) == expected


def test_a_derived_source_is_graded_so(copy):
    append(copy, "ratings_sources.csv", "derived-by-hand,Worked out from the curves,,,,")
    cells = (
        ["6SN7ZZ", "duotriode", "oxide-indirect", "6.3"] + [""] * 17 + ["derived-by-hand[heater_v]; from memory[rest]"]
    )
    append(copy, "ratings.csv", ",".join(cells))
    load(copy)
    rows = RatingSource.objects.filter(rating__type__name="6SN7ZZ").values_list("field", "source__key", "grade")
    assert set(rows) == {
        ("heater_v", "derived-by-hand", "derived"),
        ("kind", "from memory", "from memory"),
        ("cathode", "from memory", "from memory"),
    }


def test_a_second_run_changes_nothing(snapshot):
    before = snapshot()
    result = load(settings.REFERENCE_DIR)
    changes = {(name, word): n for name, c in result.counts.items() for word, n in c.items() if word != "in tables"}
    assert changes and set(changes.values()) == {0}
    assert snapshot() == before


def test_a_changed_cell_changes_that_row_alone(copy, snapshot):
    row = Designation.objects.get(designation="VT-231")
    edit(copy, "designations.csv", lambda t: t.replace("VT-231,same,,", "VT-231,same,plain words,"))
    before = snapshot(rows=True)
    result = load(copy)
    rows = len(rows_of("designations.csv"))
    assert result.counts["designations"] == {"new": 0, "changed": 1, "gone": 0, "in tables": rows}
    assert result.counts["relations"]["in tables"] == len(before["Designation"]) - rows
    row.refresh_from_db()
    assert row.note == "plain words"
    after = snapshot(rows=True)
    assert [r for r in after["Designation"] if r not in before["Designation"]] == [
        r for r in after["Designation"] if r[0] == row.pk
    ]
    assert {name for name in after if after[name] != before[name]} == {"Designation"}


# --- bad tables ------------------------------------------------------------------------------------------------------

RATED = ["6SN7ZZ", "duotriode", "oxide-indirect"] + [""] * 18 + ["from memory"]


def rated(column, cell):
    cells = list(RATED)
    cells[column] = cell
    return ",".join(cells)


@pytest.mark.parametrize(
    ("file", "line", "says"),
    [
        ("sources.csv", "lonely-book,,nobody,,,", "title: empty, expected a value"),
        ("sources.csv", "lonely-book,A title", "row: 2 cells, expected 6"),
        ("ratings_sources.csv", "from memory,Again,,,,", "key: 'from memory' again, expected it once (line 2)"),
        (
            "jan_makers.csv",
            "CZZ,Nobody,no-such-book",
            "source: 'no-such-book', expected a key of the source tables",
        ),
        (
            "designations.csv",
            "6SN7GT,uk-navy,ZZ1,same,,from memory",
            "scheme: 'uk-navy', expected one of us-signal-corps-vt,",
        ),
        (
            "designations.csv",
            "6SN7GT,maker,ZZ1,alike,,from memory",
            "relation: 'alike', expected one of same, ruggedized, variant, near",
        ),
        ("designations.csv", "6SN7GT,maker,ZZ1,same,,[no key]", "source: '[no key]', expected key or"),
        ("ratings.csv", rated(3, "six"), "heater_v: 'six', expected a figure of 0 or more, or nothing"),
        ("ratings.csv", rated(9, "-2"), "plate_w_max: '-2', expected a figure of 0 or more, or nothing"),
        ("ratings.csv", rated(9, "inf"), "plate_w_max: 'inf', expected a figure of 0 or more, or nothing"),
        ("ratings.csv", rated(1, "dekatron"), "kind: 'dekatron', expected one of triode,"),
        ("ratings.csv", rated(21, "from memory[colour]"), "source: from memory[colour], expected a column"),
    ],
)
def test_a_bad_line_writes_nothing_and_is_named(copy, snapshot, file, line, says):
    number = append(copy, file, line)
    edit(copy, "jan_makers.csv", lambda text: text.replace("CHS,", "CHT,"))  # a good change that must wait as well
    before = snapshot()
    out, err = StringIO(), StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("load_reference", dir=copy, stdout=out, stderr=err)
    assert ended.value.code == 2
    assert any(text.startswith(f"{file}:{number}: {says}") for text in err.getvalue().splitlines()), err.getvalue()
    assert out.getvalue() == ""
    assert snapshot() == before


@pytest.mark.parametrize("name", FILES)
def test_a_missing_table_or_a_wrong_heading_is_named(copy, snapshot, name):
    before = snapshot()
    edit(copy, name, lambda text: text.replace(",", ";", 1))
    (fault, *_) = [f for f in load_reference(copy).faults if f.file == name]
    assert str(fault).startswith(f"{name}:1: heading: ") and "expected" in str(fault)
    if name in OPTIONAL:
        return
    (copy / name).unlink()
    assert f"{name}:0: file: not found, expected a table of this name" in map(str, load_reference(copy).faults)
    assert snapshot() == before


def test_a_byte_that_is_no_text_is_named(copy, snapshot):
    before = snapshot()
    number = append(copy, "jan_makers.csv", "CZZ,Soci?t?,from memory")
    file = copy / "jan_makers.csv"
    file.write_bytes(file.read_bytes().replace(b"Soci?t?", b"Soci\xe9t\xe9"))
    assert f"jan_makers.csv:{number}: text: byte 0xe9, expected UTF-8" in map(str, load_reference(copy).faults)
    assert snapshot() == before


def test_no_such_folder_is_bad_input(tmp_path):
    with pytest.raises(CommandError, match=r"is no folder; expected one with sources\.csv") as refusal:
        call_command("load_reference", dir=tmp_path / "nowhere")
    assert refusal.value.returncode == 2


def test_check_reads_and_writes_nothing(copy, snapshot):
    append(copy, "designations.csv", "6SN7GT,maker,ZZ1,same,,from memory")
    before = snapshot()
    out = StringIO()
    call_command("load_reference", "--check", "--json", dir=copy, stdout=out)
    answer = json.loads(out.getvalue())
    assert answer["faults"] == []
    assert answer["loaded"]["designations.csv"] == {"in tables": len(rows_of("designations.csv", copy))}
    assert snapshot() == before


def test_check_of_a_bad_table_exits_2(copy):
    append(copy, "designations.csv", "6SN7GT,maker,ZZ1,alike,,from memory")
    with pytest.raises(SystemExit) as ended:
        call_command("load_reference", "--check", dir=copy, stdout=StringIO(), stderr=StringIO())
    assert ended.value.code == 2


# --- rows that leave the tables --------------------------------------------------------------------------------------


def test_a_row_removed_from_the_tables_goes(copy):
    without(copy, "designations.csv", lambda row: row["designation"] != "VT-231")
    without(copy, "jan_makers.csv", lambda row: row["code"] != "CHS")
    without(copy, "ratings.csv", lambda row: row["type"] != "2A3")
    load(copy)
    assert not Designation.objects.filter(designation="VT-231").exists()
    assert not JanMaker.objects.filter(code="CHS").exists()
    assert not Rating.objects.filter(type__name="2A3").exists()
    assert not RatingSource.objects.filter(rating__type__name="2A3").exists()


def test_a_type_that_left_goes_unless_something_still_names_it(copy):
    names = ("850", "WX-12")
    for name in names:
        assert TubeType.objects.filter(name=name, origin=TABLE).exists()
    tube = TubeFactory(type=TubeType.objects.get(name="850"))
    without(copy, "designations.csv", lambda row: row["type"] not in names)
    without(copy, "ratings.csv", lambda row: row["type"] not in names)
    load(copy)
    assert TubeType.objects.filter(name="850").exists()
    assert not TubeType.objects.filter(name="WX-12").exists()
    tube.refresh_from_db()
    assert tube.type.name == "850"


# --- the keeper's own rows -------------------------------------------------------------------------------------------


def test_the_keepers_rows_survive_a_reload_untouched(keeper, snapshot):
    source = save_source(Source(key="own-notes", title="Own notes"), by=keeper)
    kind = save_type(TubeType(name="ZZ-9"), by=keeper)
    save_designation(Designation(type=kind, scheme="maker", designation="ZZ9", source=source), by=keeper)
    plain = TubeType.objects.get(name="6SN7GT")
    plain.hazard = "cracked base, wear gloves"
    save_type(plain, by=keeper)
    save_designation(
        Designation(type=plain, scheme="us-signal-corps-vt", designation="VT-231", relation="refuted", source=source),
        by=keeper,
    )
    save_rating(Rating(type=plain, heater_a=0.61), source=source, by=keeper)
    JanMaker.objects.create(code="CHS", maker="My reading of CHS", source=source, origin=KEEPER)
    before = snapshot()
    load(settings.REFERENCE_DIR)
    assert snapshot() == before


def test_a_refuted_row_of_the_tables_no_longer_counts(keeper):
    known = knowledge()
    assert type_for_stamp(known.read("VT-231"), known) == "6SN7GT"
    row = Designation.objects.get(designation="VT-231")
    row.relation, row.note = "refuted", "seen on another tube"
    save_designation(row, by=keeper)
    load(settings.REFERENCE_DIR)
    known = knowledge()
    assert type_for_stamp(known.read("VT-231"), known) is None
    assert Designation.objects.get(designation="VT-231", origin=TABLE).relation == "same"


def test_a_keepers_mark_names_the_type(keeper):
    known = knowledge()
    assert type_for_stamp(known.read("QQ77X"), known) is None
    save_designation(
        Designation(type=TubeTypeFactory(name="6SN7GT"), scheme="maker", designation="QQ77X", source=SourceFactory()),
        by=keeper,
    )
    load(settings.REFERENCE_DIR)
    known = knowledge()
    assert type_for_stamp(known.read("QQ77X"), known) == "6SN7GT"


def test_a_keepers_figure_stands_before_the_tables_figure(keeper):
    plain = TubeType.objects.get(name="6SN7GT")
    own = SourceFactory()
    save_rating(Rating(type=plain, heater_a=0.61), source=own, grade="derived", by=keeper)
    load(settings.REFERENCE_DIR)
    cells = {cell.field: cell for cell in effective_figures("6SN7GT")}
    assert (cells["heater_a"].value, cells["heater_a"].origin) == (0.61, KEEPER)
    assert cells["heater_a"].refs == ((own.title, own.key, "derived"),)
    assert (cells["heater_v"].value, cells["heater_v"].origin) == (6.3, TABLE)


def test_a_keepers_maker_code_wins(keeper):
    JanMaker.objects.create(code="CHS", maker="My reading of CHS", source=SourceFactory(), origin=KEEPER)
    load(settings.REFERENCE_DIR)
    (reading,) = knowledge().read("JAN-CHS-6SN7GT").readings
    assert (reading.maker_code, reading.maker) == ("CHS", "My reading of CHS")


def test_a_keepers_type_of_a_table_name_stays_the_keepers(copy, keeper):
    TubeTypeFactory(name="6SN7ZZ")
    append(copy, "ratings.csv", rated(3, "6.3"))
    load(copy)
    assert TubeType.objects.get(name="6SN7ZZ").origin == KEEPER
    assert Rating.objects.get(type__name="6SN7ZZ").heater_v == 6.3


def test_a_row_taken_back_lets_the_table_speak_again(as_keeper, keeper):
    row = DesignationFactory(
        type=TubeType.objects.get(name="6SN7GT"),
        scheme="us-signal-corps-vt",
        designation="VT-231",
        relation="refuted",
    )
    known = knowledge()
    assert type_for_stamp(known.read("VT-231"), known) is None
    as_keeper.post(f"/types/marks/{row.pk}/drop/")
    known = knowledge()
    assert type_for_stamp(known.read("VT-231"), known) == "6SN7GT"
    gone = Designation.history.filter(id=row.pk).first()
    assert (gone.history_type, gone.history_user) == ("-", keeper)


@pytest.mark.parametrize("model", KNOWLEDGE)
def test_every_text_of_the_tables_has_room_in_its_column(model):
    """SQLite keeps what is too long; PostgreSQL refuses the whole load."""
    rooms = {field.attname: field.max_length for field in model._meta.concrete_fields if field.max_length}
    too_long = [
        (name, text)
        for row in model.objects.values(*rooms)
        for name, text in row.items()
        if isinstance(text, str) and len(text) > rooms[name]
    ]
    assert rooms and too_long == []


# --- types that only the handbook names ------------------------------------------------------------------------------


def test_a_handbook_names_types_that_no_other_row_does():
    """By eye: EL33 stands in avo-vdm23 alone; 6SN7 is its way to write the 6SN7GT, 45 is a type of the tables."""
    named = dict(HandbookRow.objects.values_list("type", "names"))
    assert named["EL33"] == "EL33" and named["6SN7"] == named["45"] == ""
    types = set(TubeType.objects.filter(origin=TABLE).values_list("name", flat=True))
    assert {name for name in named.values() if name} <= types and "6SN7" not in types
    known = knowledge()
    assert "EL33" in known.by_handbook and not known.by_handbook & {mark.type for mark in known.marks}
    assert type_for_stamp(known.read("EL33"), known) == "EL33"


def test_rows_of_another_tube_of_a_number_are_marked():
    """805 on a British base is no 805 (see ratings.csv): told, not merged."""
    assert set(HandbookRow.objects.filter(type__in=("805", "6SN7")).values_list("type", "of_another")) == {
        ("805", True), ("6SN7", False),
    }  # fmt: skip
    (read,) = knowledge().read("805").readings
    assert read.type == "805" and "another tube of this number" in read.note


def test_figures_of_such_a_type_are_the_handbooks_and_none_where_a_row_has_a_remark():
    judges = court()
    rows = {row["type"]: row for row in rows_of("handbook_tests.csv")}
    assert judges["EL33"].number("heater_v") == float(rows["EL33"]["heater_v"])
    assert judges["EL33"].numbers["heater_v"].grade == "handbook"
    remarked = next(
        name for name in sorted(judges.known.by_handbook) if name in rows and rows[name]["remarks"]
        and not judges.known.kin.forms.others(name)
    )  # fmt: skip
    assert not judges[remarked].numbers and not judges[remarked].words


def test_a_type_of_the_keepers_own_is_not_taken_over(keeper):
    HandbookRow.objects.filter(type="EL33").delete()
    TubeType.objects.filter(name="EL33").delete()
    save_type(TubeType(name="EL33"), by=keeper)
    load(settings.REFERENCE_DIR)
    assert TubeType.objects.get(name="EL33").origin == KEEPER and "EL33" not in knowledge().by_handbook
    (read,) = knowledge().read("EL33").readings
    assert (read.type, read.grade) == ("EL33", "")


def test_a_second_load_reads_no_table_and_a_changed_row_is_mended(monkeypatch, django_assert_max_num_queries):
    load(settings.REFERENCE_DIR)
    with monkeypatch.context() as patch:
        patch.setattr("tubes.actions.load.tables_in", None)
        with django_assert_max_num_queries(1):
            counts = load(settings.REFERENCE_DIR).counts
    assert all(not one["new"] and not one["changed"] and one["in tables"] for one in counts.values() if "gone" in one)
    HandbookRow.objects.filter(type="EL33").update(heater_v=99)
    assert load(settings.REFERENCE_DIR).counts["handbook"]["changed"] == 1
    assert HandbookRow.objects.get(type="EL33").heater_v != 99


def test_a_cv_number_by_rule_where_the_tables_have_the_vr():
    """VR78 is the D1 (tables, recalled twice); bvws-valvenos: VRn is CV(1000 + n). No row has CV1078."""
    assert not Designation.objects.filter(designation="CV1078").exists()
    known = knowledge()
    (read,) = known.read("CV1078").readings
    assert read.type == "D1" and read.relation == "same" and "derived by the rule" in read.note
    assert type_for_stamp(known.read("CV1078"), known) == "D1"
    assert next(mark for mark in known.marks if mark.designation == "CV1078").source == "bvws-valvenos"


def test_a_figure_is_no_surer_than_its_writer_says(keeper):
    """From memory beside a text of the tables stays from memory; stated beside a handbook is the handbook's."""
    kind = TubeType.objects.get(name="6SN7GT")
    text = Source.objects.filter(origin=TABLE, key__startswith="rca").first() or SourceFactory(key="zz", origin=TABLE)
    for key, chosen, kept in (
        (text.key, "from memory", "memory"),
        (text.key, "derived", "derived"),
        (text.key, "stated", "own"),
        ("avo-vdm23", "stated", "handbook"),
    ):
        row = Rating.objects.filter(type=kind, origin=KEEPER).first() or Rating(type=kind)
        row.heater_a = (row.heater_a or 0.5) + 0.01
        save_rating(row, source=Source.objects.get(key=key), grade=chosen, by=keeper)
        assert court()["6SN7GT"].numbers["heater_a"].grade == kept
