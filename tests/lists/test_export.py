"""Lists as files: what is narrowed is what comes out, nothing is calculated, texts stay texts.

Cells to be feared: OWASP, "CSV Injection" (=, +, -, @, tab, carriage return, line feed, and full-width forms).
"""

import csv
import io
from datetime import date, datetime, time

import openpyxl
import pytest
import python_calamine
from django.contrib.auth.models import Permission
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.models import Tube
from inventory.lists.queries.out import LISTS
from inventory.lists.rules.spreadsheet_cells import CUT, LONGEST, STARTERS, cell, plain_cell, safe_cell, sheet_text
from tests import factories as make

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


# --- cells ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("start", list(STARTERS))
def test_what_a_spreadsheet_would_calculate_is_made_safe(start):
    assert safe_cell(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("6SN7GT", "6SN7GT"),
        ("", ""),
        ("'", "'"),
        ("'t Gooi", "'t Gooi"),
        ("1-2", "1-2"),
        ("=cmd|'/C calc'!A0", "'=cmd|'/C calc'!A0"),
        ("'=1", "''=1"),
        ("-5", "'-5"),
    ],
)
def test_cells(text, safe):
    assert safe_cell(text) == safe
    assert plain_cell(safe) == text


@given(st.one_of(st.text(), st.text(alphabet="'=+-@ab\t\r\n＝", max_size=6)))
def test_every_text_comes_back(text):
    assert plain_cell(safe_cell(text)) == text
    assert safe_cell(text)[:1] not in set(STARTERS)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, ""),
        (True, "yes"),
        (False, "no"),
        (-5, -5),
        (3.5, 3.5),
        (date(2026, 3, 1), "2026-03-01"),
        (time(8, 5), "08:05:00"),
        (datetime(2026, 3, 1, 8, 5, 9), "2026-03-01 08:05:09"),
    ],
)
def test_values(value, expected):
    assert cell(value) == expected


def test_a_sheet_holds_what_xml_can_hold():
    assert sheet_text("a\x00b\x1fc\td\n") == "a\ufffdb\ufffdc\td\n"  # XML 1.0, production 2 Char
    long = sheet_text("x" * (LONGEST + 1))
    assert len(long) == LONGEST and long.endswith(CUT)


# --- files ------------------------------------------------------------------------------------------------------------


def get(client, name, **query):
    answer = client.get(f"/lists/{name}/out/", query)
    assert answer.status_code == 200
    return answer


def table(answer):
    return list(csv.reader(io.StringIO(answer.getvalue().decode("utf-8-sig"), newline="")))


def sheet(answer):
    return (
        python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(answer.getvalue())).get_sheet_by_index(0).to_python()
    )


@pytest.fixture
def tubes(reference):
    good = make.TubeFactory(type__name="6SN7GT", marked="VT-231", state=Tube.GOOD, note="=1+1")
    make.TubeFactory(type__name="2E26", marked="2E26", state=Tube.WEAK, maker="Свет", date_code="01432")
    make.TubeFactory(type__name="6SN7GT", state=Tube.GOOD, gone_on=make.days_ago(1))
    return good


def test_a_narrowed_list_comes_out_narrowed(tubes, as_visitor):
    head, *rows = table(get(as_visitor, "tubes", type="VT-231"))
    assert head[:3] == ["Tag", "Type", "Marked"]
    assert [row[1:3] for row in rows] == [["6SN7GT", "VT-231"]]
    assert [row[2] for row in table(get(as_visitor, "tubes"))[1:]] == ["VT-231", "2E26"]
    assert rows[0][head.index("Note")] == "'=1+1"


def test_the_file_has_a_name_a_type_and_the_mark_where_asked(tubes, as_visitor, monkeypatch):
    now = timezone.now()  # the stamps of two files say when each went out
    monkeypatch.setattr(timezone, "now", lambda: now)
    plain, marked = get(as_visitor, "tubes"), get(as_visitor, "tubes", **{"as": "csv-bom"})
    assert plain["Content-Type"] == "text/csv; charset=utf-8"
    assert plain["Content-Disposition"].startswith('attachment; filename="tubes-')
    assert marked.getvalue() == b"\xef\xbb\xbf" + plain.getvalue()


def test_texts_stay_texts_in_a_sheet(tubes, as_visitor):
    make.ChassisFactory(serial="01432", note="#REF!")
    answer = get(as_visitor, "tubes", **{"as": "xlsx"})
    assert answer["Content-Type"] == XLSX
    head, *rows = sheet(answer)
    assert [row[head.index("Marked")] for row in rows] == ["VT-231", "2E26"]
    assert rows[1][head.index("Date code")] == "01432"
    assert rows[0][head.index("Note")] == "'=1+1"
    book = openpyxl.load_workbook(io.BytesIO(get(as_visitor, "chassis", **{"as": "xlsx"}).getvalue()))
    cells = {c.value: (c.data_type, c.number_format) for c in book.active[2] if c.value}
    assert cells["01432"] == ("s", "@")
    assert "#REF!" in cells


def test_numbers_are_numbers_in_a_sheet(db, as_visitor):
    make.PlugInUnitFactory(model=make.UnitModelFactory(low_kc=1500.5, high_kc=3000))
    head, row = sheet(get(as_visitor, "units", **{"as": "xlsx"}))
    assert row[head.index("Covers from, kc")] == 1500.5


def test_where_a_tube_is_used_is_told_once(db, as_visitor):
    fitting = make.FittingFactory()
    make.FittingFactory(tube=fitting.tube, until=make.days_ago(200), since=make.days_ago(300))
    head, row = table(get(as_visitor, "tubes"))
    assert row[head.index("In chassis")] == fitting.chassis.tag
    assert row[head.index("Position")] == fitting.position.mark


def test_pairings_come_out_as_the_table_shows_them(db, as_visitor):
    world = make.EveryState()
    head, *rows = table(get(as_visitor, "pairings"))
    states = [(row[head.index("State")], row[head.index("Dial setting")] or None) for row in rows]
    assert sorted(states, key=str) == sorted(world.expected.values(), key=str)
    head, *due = table(get(as_visitor, "pairings", state="due"))
    assert {row[head.index("State")] for row in due} == {"due"} and len(due) == 1


@pytest.mark.parametrize("name", [*LISTS, "pairings"])
@pytest.mark.parametrize("shape", ["csv", "csv-bom", "xlsx"])
def test_every_list_comes_out_in_every_shape(db, as_visitor, name, shape):
    make.EveryState()
    make.FittingFactory()
    make.SeatingFactory()
    assert get(as_visitor, name, **{"as": shape}).getvalue()


def test_types_come_with_their_marks(tubes, as_visitor):
    head, row = table(get(as_visitor, "types", text="VT-231"))[:2]
    assert row[0] == "6SN7GT" and "VT-231" in row[head.index("Marks")]


def test_moves_are_narrowed_by_day_and_word(db, as_visitor):
    item = make.TubeFactory().item
    item.movements.create(to_path="Room 1", on=make.days_ago(9))
    item.movements.create(from_path="Room 1", to_path="Room 2", on=make.days_ago(3))
    since = make.days_ago(5).isoformat()
    assert len(table(get(as_visitor, "movements"))) == 3
    assert len(table(get(as_visitor, "movements", since=since))) == 2
    assert len(table(get(as_visitor, "movements", text="Room 2"))) == 2


def test_a_filter_that_cannot_be_read_is_refused(db, as_visitor):
    for name, query in (
        ("movements", {"since": "soon"}),
        ("pairings", {"frequency": "fast"}),
        ("tubes", {"place": "x"}),
    ):
        answer = as_visitor.get(f"/lists/{name}/out/", query)
        assert answer.status_code == 422
        assert "cannot be read" in answer.content.decode()


@pytest.mark.parametrize("address", ["/lists/persons/out/", "/lists/tubes/out/?as=exe"])
def test_what_is_no_list_is_not_there(db, as_visitor, address):
    assert as_visitor.get(address).status_code == 404


def test_who_may(db, client, as_visitor, django_user_model):
    assert client.get("/lists/tubes/out/").status_code == 302
    client.force_login(django_user_model.objects.create_user("nobody"))
    assert client.get("/lists/tubes/out/").status_code == 403
    assert as_visitor.post("/lists/tubes/out/").status_code == 405
    page = as_visitor.get("/lists/").content.decode()
    assert all(f"/lists/{name}/out/?as=xlsx" in page for name in [*LISTS, "pairings"])


@pytest.mark.parametrize(
    "address", ["/tubes/?state=good", "/sets/", "/units/", "/types/?text=807", "/pairings/?state=due"]
)
def test_a_list_page_links_to_itself_as_a_file(reference, as_visitor, address):
    make.TubeFactory()
    text = as_visitor.get(address).content.decode()
    _, _, query = address.partition("?")
    assert f"/out/?as=csv{'&amp;' + query if query else ''}" in text


def test_what_one_may_not_see_is_not_offered(db, client, django_user_model):
    """The pairing table is offered in its place among the lists, and only to those who may see it."""
    person = django_user_model.objects.create_user("of-the-stores")
    rights = Permission.objects.filter(codename__in=["view_item", "view_tube", "view_partlot"])
    person.user_permissions.set(rights)
    client.force_login(person)
    offered = [name for name, _ in client.get("/lists/").context["lists"]]
    assert offered == ["tubes", "parts", "disposals"]
    person.user_permissions.add(*Permission.objects.filter(codename__in=["view_neutralization", "view_companion"]))
    offered = [name for name, _ in client.get("/lists/").context["lists"]]
    assert offered == ["tubes", "parts", "companions", "pairings", "neutralizations", "disposals"]
