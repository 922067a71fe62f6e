"""The archive: out, into an empty database, out again, the same; and what is refused, with its place.

Common practice, no source: packed files of strangers lead upwards, unpack without end or lie about their content.
"""

import hashlib
import json
import zipfile
from contextlib import suppress
from datetime import UTC, date

import pytest
from django.conf import settings
from django.core.management import CommandError
from django.db import models, transaction
from django.test.utils import override_settings
from hypothesis import given
from hypothesis import strategies as st

from inventory.archive.actions import take_in
from inventory.archive.actions.out import export_collection
from inventory.archive.actions.take_in import import_collection
from inventory.archive.queries import specs
from inventory.archive.queries.specs import SPECS, is_person, root_of, uncovered
from inventory.archive.rules.lines import WANTED, NotThat, frozen, in_order, read, read_line, write_line, written
from inventory.archive.rules.members import MemberFacts, member_faults, name_fault
from inventory.demo.actions.collection import make_collection
from inventory.demo.actions.scenario import load_demo
from inventory.holdings.models import Item, Tube, Want
from inventory.lists.queries.uncounted import uncounted_of
from inventory.pairing.queries import pairing_table
from tests.archive.packs import MANIFEST, members, run, same, there_and_back
from tests.archive.world import age, empty, fill
from tests.counting import cost
from tests.lists.importing_lists import take
from tubes.actions import load_reference
from tubes.models import TubeType


@pytest.fixture(autouse=True)
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


# --- out, in, out -----------------------------------------------------------------------------------------------------


def test_every_model_goes_out():
    """A new model that nobody thought of here fails this, with its name: what is not in the archive is lost."""
    assert uncovered() == [], "each needs a line in ``archived`` of its area"


def test_a_forgotten_model_is_named(monkeypatch):
    monkeypatch.setattr(specs, "SPECS", tuple(spec for spec in SPECS if spec.member != "hazards"))
    assert "holdings.hazardmark" in uncovered()


def test_every_column_is_of_a_kind_that_is_written_and_read():
    """A column of another sort would go out as its words and not come in again."""
    plain = (models.CharField, models.TextField, models.FileField, *(kind for kind, _ in specs.KINDS))
    for spec in SPECS:
        for field in (*spec.fields, *spec.history_fields):
            assert field.is_relation or isinstance(field, plain), (spec.member, field.name, type(field).__name__)


def test_nothing_stands_before_what_it_names():
    """A line names lines of members that stand before its own, or of its own."""
    at = {root_of(spec.model): place for place, spec in reversed(list(enumerate(SPECS)))}
    for place, spec in enumerate(SPECS):
        fields = [*spec.fields, *spec.many, *(field for field in spec.history_fields if spec.history)]
        for field in fields:
            if field.is_relation and not is_person(field.related_model):
                assert at[root_of(field.related_model)] <= place, (spec.member, field.name)


def test_the_demo(reference, keeper, tmp_path):
    load_demo(settings.DEMO_DIR, keeper)
    on = date(2026, 11, 25)
    states = [(row.chassis.tag, row.unit.tag, row.state, row.setting, row.reasons) for row in pairing_table(on)]
    same(*there_and_back(tmp_path))
    assert [(row.chassis.tag, row.unit.tag, row.state, row.setting, row.reasons) for row in pairing_table(on)] == states


def test_a_made_collection(reference, tmp_path):
    make_collection(tubes=300, chassis=12, units=24, events=120, seed=5, today=date(2026, 11, 25))
    same(*there_and_back(tmp_path))
    assert Tube.objects.count() == 300


def test_tags_beyond_four_figures_stand_after_the_others(reference, tmp_path):
    for tag in ("T-10000", "T-9999"):
        Item.objects.create(tag=tag, kind=Item.TUBE)
    export_collection(tmp_path / "a.zip")
    tags = [json.loads(line)["tag"] for line in members(tmp_path / "a.zip")["data/items.jsonl"].splitlines()]
    assert tags == ["T-9999", "T-10000"]


def test_a_long_table_goes_on_on_pages_of_its_own(reference, tmp_path):
    make_collection(tubes=2100, chassis=1, units=1, events=0, seed=5, today=date(2026, 11, 25))
    export_collection(tmp_path / "a.zip")
    held = members(tmp_path / "a.zip")
    pages = [held[name].decode() for name in ("index.html", "pages/tubes-2.html", "pages/tubes-3.html")]
    assert all("T-1500" in page for page in pages[1:2]) and "T-2100" in pages[2]
    assert 'href="pages/tubes-3.html"' in pages[0]


def test_ten_more_tubes_cost_no_more_questions(reference, tmp_path):
    def asked(seed):
        make_collection(tubes=40, chassis=4, units=4, events=20, seed=seed, today=date(2026, 11, 25))
        return cost(lambda: export_collection(tmp_path / "a.zip"))

    assert asked(1) == asked(2)


# --- into what, and nothing by halves ---------------------------------------------------------------------------------


def test_hazard_words_of_the_keeper_are_something(reference, tmp_path):
    export_collection(tmp_path / "a.zip")
    TubeType.objects.filter(name="807").update(hazard="mine")
    with pytest.raises(ValueError, match="hazard words"):
        import_collection(tmp_path / "a.zip")


def repacked(source, target, *, change=None, take=(), add=None, told=None):
    """The archive with some members changed, and digests that agree with that, as a forger would make them."""
    held = members(source)
    manifest = json.loads(held.pop(MANIFEST))
    for name, (old, new) in (change or {}).items():
        assert old in held[name], (name, held[name][:500])
        held[name] = held[name].replace(old, new, 1)
    held |= add or {}
    held = {name: body for name, body in held.items() if name not in take}
    manifest["members"] = {name: {"sha256": hashlib.sha256(body).hexdigest()} for name, body in held.items()}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, body in held.items():
            packed.writestr(name, body)
        packed.writestr(MANIFEST, json.dumps(manifest | (told or {})))
    return target


@pytest.fixture(scope="module")
def packed_once(tmp_path_factory, django_db_setup, django_db_blocker):
    """The bytes of an archive of everything, packed once for all the tests that spoil it."""
    folder = tmp_path_factory.mktemp("packed")
    with override_settings(MEDIA_ROOT=folder / "media"), django_db_blocker.unblock(), transaction.atomic():
        assert not load_reference(settings.REFERENCE_DIR).faults
        fill()
        age()
        export_collection(folder / "good.zip")
        transaction.set_rollback(True)
    return (folder / "good.zip").read_bytes()


@pytest.fixture
def archive(packed_once, reference, tmp_path):
    file = tmp_path / "good.zip"
    file.write_bytes(packed_once)
    return file


def test_an_archive_of_an_earlier_version_loses_nothing(reference, keeper, tmp_path):
    """Without the columns that came later: rows that wait to be counted are named by their cells, things are here.

    A want at price 0 was written then; it is refused today and must not make the archive unreadable.
    """
    taken, _ = take("Tube,Qty\nVT-231,a few\n807,about 3\n", by=keeper)
    want = Want.objects.create(thing="a knob", top_price=0, currency="GBP", since="2026-01-01")
    for row in taken.run.rows.all():
        row.question = {key: row.question[key] for key in ("about", "to_count", "made", "answers")}
        row.save()
    export_collection(tmp_path / "now.zip")
    held = members(tmp_path / "now.zip")
    later = {"data/import_rows.jsonl": "uncounted", "data/items.jsonl": "missed_on"}
    before = {name: without(held[name], column) for name, column in later.items()}
    old = repacked(tmp_path / "now.zip", tmp_path / "before.zip", add=before)
    empty()
    import_collection(old)
    assert [one.words for one in uncounted_of(["6SN7GT"])] == ["a few"]
    assert [one.made for one in uncounted_of(["807"])] == [3]
    assert Item.objects.filter(missed_on=None).count() == 3 and Want.objects.get(thing=want.thing).top_price == 0


def without(body, column):
    """Lines of a member without a column, in their histories too."""
    lines = [json.loads(line) for line in body.splitlines()]
    for line in lines:
        assert line.pop(column, None) in (None, "", "6SN7GT", "807")
        for state in line.get("history", ()):
            state.pop(column, None)
    return b"".join(json.dumps(line).encode() + b"\n" for line in lines)


LINES = [
    ("data/items.jsonl", b'"kind": "tube"', b'"kind": "valve"', ": kind: 'valve', expected one of 'tube', 'chassis'"),
    ("data/items.jsonl", b'"tag": ', b'"colour": "red", "tag": ', ":1: colour: 'red', expected no such field"),
    ("data/items.jsonl", b'"tag": "', b'"tag": "0123456789012345', ": tag: '0123456789012345P-0001', expected 22"),
    ("data/items.jsonl", b'"place": "Z / a"', b'"place": "Q"', ": place: 'Q', expected the key of a line that stands"),
    ("data/items.jsonl", b"{", b"[", ":1: line: ["),
    ("data/items.jsonl", b"{", b"\xff{", ":1: line: "),
    ("data/items.jsonl", b'"tag": ', b'"tag": "T-1", "tag": ', ":1: line: "),
    ("data/tubes.jsonl", b'"state": "good"', b'"state": 5', ": state: 5, expected a text without NUL"),
    ("data/tubes.jsonl", b'"state": "good"', b'"state": NaN', ": line: "),
    ("data/tubes.jsonl", b'"history": [', b'"history": [7, ', ": history: "),
    ("data/tubes.jsonl", b'"type": "6SN7GT"', b'"type": {"gone": 1}', ": type: {'gone': 1}, expected the key"),
    ("data/tubes.jsonl", b'"type": "6SN7GT"', b'"type": [["6SN7GT"]]', ": type: [['6SN7GT']], expected the key"),
    ("data/movements.jsonl", b'"on": "2', b'"on": "1.2.2', ": on: '1.2.2"),
    ("data/movements.jsonl", b'"entered_at": "', b'"entered_at": "late ', ": entered_at: 'late "),
    ("data/part_lots.jsonl", b'"least": 12', b'"least": -1', ": least: -1, expected Ensure this value"),
    ("data/part_lots.jsonl", b'"least": 12', b'"least": 12, "most": 2', ":1: line: lines 1 to 2, expected rows"),
    ("data/part_lots.jsonl", b'"to_count": true', b'"to_count": 1', ": to_count: 1, expected true or false"),
    ("data/part_lots.jsonl", b'{"of": {"gone": 1}', b'{"of": {"gone": "1"}', ": of: {'gone': '1'}, expected"),
    ("data/neutralizations.jsonl", b'"frequency_kc": 3600.0', b'"frequency_kc": 1e999', ": frequency_kc: inf, "),
    ("data/unit_models.jsonl", b'"fits": [', b'"fits": ["no such model", ', ": fits: 'no such model', expected"),
    ("data/stock_takes.jsonl", b'"number": 2', b'"number": 7', ":2: number: 7, expected 2, as counted"),
    ("data/papers.jsonl", b'red.jpg", "thumb', b'green.jpg", "thumb', ": file: 'papers/"),
    ("data/import_rows.jsonl", b'"row": 2', b'"row": 1', ": run, row: [1, 1], expected a key that stands once"),
    ("data/people.jsonl", b'"role": "keeper"', b'"role": "owner"', ": role: 'owner', expected one of visitor"),
    ("data/people.jsonl", b'"role": "keeper"', b'"password": "x"', ": password: 'x', expected no such field"),
    ("data/positions.jsonl", b'"set_model": "', b'"set_model": "x', ": set_model: 'x"),
]  # fmt: skip


@pytest.mark.parametrize(("member", "old", "new", "says"), LINES)
def test_a_fault_is_named_with_its_place_and_nothing_is_written(
    archive, tmp_path, snapshot, media, member, old, new, says
):
    forged = repacked(archive, tmp_path / "forged.zip", change={member: (old, new)})
    before, files = snapshot(), sorted(media.rglob("*.*"))
    with pytest.raises(ValueError) as refusal:
        import_collection(forged)
    assert str(refusal.value).startswith(member), str(refusal.value)
    assert says in str(refusal.value), str(refusal.value)
    assert snapshot() == before
    assert sorted(media.rglob("*.*")) == files


def test_files_are_taken_away_again_when_a_later_line_is_wrong(archive, tmp_path, media):
    for file in media.rglob("*.*"):
        file.unlink()
    forged = repacked(archive, tmp_path / "f.zip", change={"data/stock_takes.jsonl": (b'"number": 2', b'"number": 7')})
    with pytest.raises(ValueError, match="as counted"):
        import_collection(forged)
    assert not list(media.rglob("*.*"))
    assert not Item.objects.exists()


def test_many_faults_are_told_together_and_not_without_end(archive, tmp_path):
    body = members(archive)["data/items.jsonl"].replace(b'"kind"', b'"sort"')
    forged = repacked(archive, tmp_path / "f.zip", add={"data/items.jsonl": body})
    with pytest.raises(take_in.ArchiveRefused) as refusal:
        import_collection(forged)
    assert 2 < len(refusal.value.faults) <= take_in.ENOUGH


def test_a_line_without_end_is_no_line(archive, tmp_path, monkeypatch):
    monkeypatch.setattr(take_in, "LONGEST_LINE", 300)
    forged = repacked(archive, tmp_path / "f.zip", add={"data/sources.jsonl": b'{"key": "' + b"x" * 400 + b'"}\n'})
    with pytest.raises(ValueError, match=r"data/sources.jsonl:1: line: a longer one, expected at most 300 bytes"):
        import_collection(forged)


@pytest.mark.parametrize("text", [b"[" * 200_000, b'{"a": ' * 100_000, b'{"path": ' + b"9" * 5000 + b"}"])
def test_lines_that_break_readers_break_nothing(archive, tmp_path, text):
    forged = repacked(archive, tmp_path / "f.zip", add={"data/places.jsonl": text + b"\n"})
    with pytest.raises(ValueError, match=r"data/places.jsonl:1: "):
        import_collection(forged)


PACKS = [
    ({"told": {"format": "a photograph album"}}, "format: 'a photograph album', expected 'filamentry collection'"),
    ({"told": {"version": 2}}, "version: 2, expected 1"),
    ({"told": {"members": 7}}, "members: expected names with their digests"),
    ({"add": {"data/horses.jsonl": b""}}, "data/horses.jsonl: no member that this version knows"),
    ({"add": {"../evil": b""}}, "expected a name that leads downwards only"),
    ({"add": {"/etc/evil": b""}}, "expected a name that leads downwards only"),
    ({"add": {"media/../../evil": b""}}, "expected a name that leads downwards only"),
    ({"add": {"media\\evil": b""}}, "expected a name without control characters"),
    ({"take": ("data/people.jsonl",)}, "data/people.jsonl is missing"),
    ({"told": {"members": {"data/x.jsonl": {}}}}, "is not in the manifest"),
]


@pytest.mark.parametrize(("how", "says"), PACKS)
def test_a_pack_that_is_none_of_ours(archive, tmp_path, snapshot, how, says):
    forged = repacked(archive, tmp_path / "forged.zip", **how)
    before = snapshot()
    with pytest.raises(ValueError) as refusal:
        import_collection(forged)
    assert says in str(refusal.value)
    assert snapshot() == before


def test_a_digest_that_does_not_agree(archive, tmp_path):
    held = members(archive)
    held["data/tubes.jsonl"] += b" "
    with zipfile.ZipFile(tmp_path / "f.zip", "w") as packed:
        for name, body in held.items():
            packed.writestr(name, body)
    with pytest.raises(ValueError, match=r"data/tubes.jsonl: SHA-256 .* expected"):
        import_collection(tmp_path / "f.zip")


@pytest.mark.worked_out
@pytest.mark.parametrize("cut", [0, 1, 100, -1, -30])
def test_a_file_cut_short(archive, tmp_path, cut):
    (tmp_path / "f.zip").write_bytes(archive.read_bytes()[:cut])
    with pytest.raises(ValueError, match=r"f\.zip: "):
        import_collection(tmp_path / "f.zip")


@pytest.mark.worked_out
def test_single_bytes_changed_anywhere_never_get_in(archive, tmp_path, snapshot):
    empty()
    body, before = bytearray(archive.read_bytes()), snapshot()
    for at in range(0, len(body), max(1, len(body) // 25)):
        changed = bytearray(body)
        changed[at] ^= 0x55
        (tmp_path / "f.zip").write_bytes(changed)
        try:
            import_collection(tmp_path / "f.zip")
        except ValueError:
            assert snapshot() == before
        else:  # a byte that says nothing, such as the date of a member
            export_collection(tmp_path / "again.zip")
            empty()
            same(members(archive), members(tmp_path / "again.zip"))


@pytest.mark.worked_out
def test_a_pack_that_unpacks_without_end(tmp_path, db):
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(MANIFEST, "{}")
        with packed.open("data/items.jsonl", "w") as member:
            for _ in range(400):
                member.write(b"\0" * 2**20)
    with pytest.raises(ValueError, match="too much to be honest"):
        import_collection(tmp_path / "bomb.zip")


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ([MemberFacts("a", 1), MemberFacts("a", 1)], "twice"),
        ([MemberFacts("a", 1, encrypted=True)], "encrypted"),
        ([MemberFacts("a", 1, link=True)], "a link"),
        ([MemberFacts("a", 2**41)], "too much"),
        ([MemberFacts("a/", 0)], "leads downwards"),
    ],
)
def test_the_directory_of_a_pack(facts, says):
    assert says in member_faults(facts, 1000)[0]
    assert member_faults([MemberFacts("data/items.jsonl", 10**6)], 10**5) == []


@given(st.text(max_size=60))
def test_a_name_that_is_let_through_leads_downwards(tmp_path_factory, name):
    if not name_fault(name):
        root = tmp_path_factory.getbasetemp().resolve()
        assert root in (root / name).resolve().parents


# --- values -----------------------------------------------------------------------------------------------------------

PLAIN = st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]))
VALUES = {
    "text": PLAIN,
    "whole": st.integers(-(2**63) + 1, 2**63 - 1),
    "number": st.floats(allow_nan=False, allow_infinity=False),
    "exact": st.decimals(-(10**9), 10**9, places=2, allow_nan=False, allow_infinity=False),
    "yes": st.booleans(),
    "day": st.dates(),
    "clock": st.times(),
    "moment": st.datetimes(timezones=st.timezones()),
    "json": st.recursive(
        st.none() | st.booleans() | st.integers() | PLAIN,
        lambda inner: st.lists(inner) | st.dictionaries(st.text("abcé"), inner),
    ),
}  # fmt: skip


@given(st.data(), st.sampled_from(sorted(VALUES)))
def test_a_value_is_read_as_it_was_written(data, kind):
    value = data.draw(VALUES[kind])
    line = write_line({"a": written(kind, value)}).encode()
    if kind == "moment":  # a time that a zone has twice equals nothing of another zone in Python (PEP 495)
        value = value.astimezone(UTC)
    assert read(kind, read_line(line)["a"]) == (in_order(value) if kind == "json" else value)


@given(
    st.recursive(st.none() | st.booleans() | st.floats() | st.text(), lambda inner: st.lists(inner)),
    st.sampled_from(sorted(WANTED)),
)
def test_whatever_stands_in_a_line_is_read_or_refused(raw, kind):
    try:
        read(kind, raw)
    except NotThat as wanted:
        assert str(wanted) == WANTED[kind]


@given(st.binary(max_size=80))
def test_bytes_are_a_line_or_refused(text):
    with suppress(NotThat):
        assert isinstance(read_line(text), dict)


def test_keys_can_be_looked_up():
    assert frozen(["a", ["b", 1]]) == ("a", ("b", 1))
    assert frozen({"gone": 3}) == (("gone", 3),)


# --- commands ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "file", "says"),
    [
        ("import_collection", "none.zip", "there is no such file"),
        ("import_collection", "text.zip", "no packed file of Filamentry"),
        ("export_collection", "no/such/folder/a.zip", "is no folder; make it first"),
        ("export_collection", ".", "is a folder; name a file"),
    ],
)
def test_what_the_commands_refuse(db, tmp_path, name, file, says):
    (tmp_path / "text.zip").write_text("no pack")
    with pytest.raises(CommandError, match=says) as refusal:
        run(name, tmp_path / file)
    assert refusal.value.returncode == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["text.zip"]
