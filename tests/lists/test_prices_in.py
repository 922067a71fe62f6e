"""Lists of price evidence: what is written, what is refused and where, what is there already."""

import io
import json
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.price_lists import read_prices, take_in_prices
from inventory.lists.wording.price_words import price_list_in_words
from inventory.valuation.models import PriceEvidence
from inventory.valuation.rules.entry import COLUMNS
from tests.counting import cost_once
from tests.factories import ChassisFactory, TubeTypeFactory
from tests.pages import page_text

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 30)
HEADING = ",".join(COLUMNS)
GOOD = "2026-03-14,ZZ7GT,unused,sold,auction,EUR,25.00,2,18,Harbour sale,"


def file(*rows, heading=HEADING, encoding="utf-8", between="\n"):
    return io.BytesIO(between.join((heading, *rows)).encode(encoding))


def take(*rows, **said):
    return take_in_prices(file(*rows), "sales.csv", today=TODAY, by=None, **said)


def test_rows_are_written_or_refused_by_line_and_column():
    kind = TubeTypeFactory(name="ZZ7GT")
    model = ChassisFactory().model
    found = take(
        GOOD,
        "",
        "2026-03-15,ZZ7GT,mint,sold,auction,EUR,x,1,,,",
        f"2026-03-16,{model.name},weak,asking,fair,USD,90,,,,",
    ).as_dict()
    assert (found["rows"], found["written"]) == (3, 2)
    (refused,) = found["refused"]
    assert (refused["line"], refused["column"], refused["found"]) == (4, "grade", "mint")
    assert "expected unused boxed" in refused["reason"]
    assert [one["column"] for one in refused["also"]] == ["amount"]
    one, other = PriceEvidence.objects.order_by("on")
    assert (one.type, one.quantity, one.amount, one.premium_pct, one.source) == (kind, 2, 25, 18, "Harbour sale")
    assert (other.set_model, other.type, other.quantity, other.premium_pct) == (model, None, 1, None)
    assert one.history.get().history_change_reason == "list sales.csv"


def test_a_row_of_a_day_without_a_rate_is_taken_and_told(monkeypatch):
    from inventory.lists.actions import price_lists

    here = replace(price_lists.rates(), last=date(2026, 2, 27), published=lambda code, on: 2 if on.month < 3 else None)
    monkeypatch.setattr(price_lists, "rates", lambda: here)
    found = take(GOOD, GOOD.replace("EUR", "GBP")).as_dict()
    assert found["written"] == 2 and [one["line"] for one in found["remarks"]] == [3]
    assert "will count once rates of that day are here: they end on 2026-02-27" in found["remarks"][0]["remark"]


def test_the_same_file_twice_writes_nothing_new_and_says_so():
    rows = (GOOD, GOOD.replace("25.00", "26"))
    assert take(*rows).written == 2
    again = take(*rows).as_dict()
    assert (again["rows"], again["written"], again["duplicates"]) == (2, 0, [2, 3])
    assert all("there already: the same as number" in one["reason"] for one in again["refused"])
    assert PriceEvidence.objects.count() == 2
    assert take(*rows, twice=True).written == 2


def test_a_row_twice_in_one_file_and_one_that_only_looks_alike():
    found = take(GOOD, GOOD, GOOD.replace("unused", "weak")).as_dict()
    assert found["written"] == 2
    assert [(one["line"], one["column"]) for one in found["refused"]] == [(3, "row")]
    assert found["alike"] == [{"line": 4, "of": "line 2 of this file"}]


def test_what_was_struck_out_does_not_come_back():
    take(GOOD)
    PriceEvidence.objects.update(struck="misread")
    assert "struck out: misread" in take(GOOD).as_dict()["refused"][0]["reason"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("sign", [";", "\t"])
def test_other_encodings_and_signs_with_decimal_commas(encoding, sign):
    row = ("14.3.2026", "ZZ7GT", "unused", "sold", "", "EUR", "1.025,50", "", "17,5", "Flohmarkt Überlingen", "")
    content = file(sign.join(row), heading=sign.join(COLUMNS), encoding=encoding, between="\r\n")
    take_in_prices(content, "sales.csv", today=TODAY, by=None)
    found = PriceEvidence.objects.get()
    assert (found.amount, found.premium_pct, found.source) == (Decimal("1025.5"), Decimal("17.5"), row[9])


def test_columns_in_any_order_and_what_is_no_column():
    content = file(
        "25,EUR,sold,unused,ZZ7GT,2026-03-14,red", heading="Amount,Currency,Kind,Grade,Designation,Date,Colour"
    )
    found = take_in_prices(content, "sales.csv", today=TODAY, by=None).as_dict()
    assert (found["written"], found["not_read"], found["unsettled"]) == (
        1, ["Colour"], [{"line": 2, "designation": "ZZ7GT"}],
    )  # fmt: skip


def test_a_date_that_can_be_meant_two_ways_is_refused_until_it_is_said():
    row = GOOD.replace("2026-03-14", "04/05/2026")
    assert "2026-05-04 or 2026-04-05" in take(row).as_dict()["refused"][0]["reason"]
    assert take(row, order="day").written == 1 and PriceEvidence.objects.get().on == date(2026, 5, 4)


@pytest.mark.parametrize(
    "content", [b"", b"date,designation\n2026-01-01,6SN7GT\n", HEADING.encode(), b"just words\nand more\n"]
)
def test_what_is_no_such_list_is_refused_whole(content):
    with pytest.raises(FileRefused):
        read_prices(io.BytesIO(content), "sales.csv", today=TODAY)


def test_the_command_answers_in_one_document(tmp_path, capsys):
    path = tmp_path / "sales.csv"
    path.write_text(f"{HEADING}\n{GOOD}\n")
    for options, count, there in ((["--trial"], 0, 0), ([], 1, 1), ([], 0, 1)):
        call_command("import_prices", str(path), "--json", *options)
        told = capsys.readouterr()
        assert json.loads(told.out)["written"] == count and PriceEvidence.objects.count() == there
    assert "Nothing in it is new." in told.err
    with pytest.raises(CommandError, match="No such file"):
        call_command("import_prices", str(tmp_path / "none.csv"), "--json")


def test_more_rows_cost_no_more_queries():
    few = cost_once(lambda: take(*(GOOD.replace("25.00", str(n)) for n in range(1, 11))))
    more = cost_once(lambda: take(*(GOOD.replace("25.00", str(n)) for n in range(21, 41))))
    assert few == more


def test_the_page_shows_first_and_writes_what_was_shown(as_keeper):
    content = "\n".join((HEADING, GOOD, GOOD.replace("unused", "mint"), GOOD)).encode()
    upload = {"file": SimpleUploadedFile("sales.csv", content)}
    trial = as_keeper.post(reverse("valuation:prices-in"), upload)
    page = page_text(as_keeper.get(trial.url))
    assert "would be written" in page and "expected unused boxed" in page and "the same as line 2" in page
    assert not PriceEvidence.objects.exists()
    done = as_keeper.post(reverse("valuation:prices-in"), {"list": trial.url.partition("=")[2]})
    assert "3 rows: 1 written, 1 refused, 1 there already." in page_text(as_keeper.get(done.url))
    assert PriceEvidence.objects.get().history.get().history_user is not None


def test_a_list_that_is_not_kept_any_more_is_asked_for_again(as_keeper):
    answer = as_keeper.post(reverse("valuation:prices-in"), {"list": "0" * 64}, follow=True)
    assert "choose the file again" in page_text(answer) and not PriceEvidence.objects.exists()


def test_a_price_far_off_the_others_is_told_and_written_and_what_is_not_clear_has_its_lines():
    TubeTypeFactory(name="ZZ7GT")
    rows = [GOOD.replace("25.00,2,18", f"{amount},1,") for amount in (20, 21, 22, 23, 1234.5)]
    found = take(*rows, GOOD.replace("ZZ7GT", "ZZ-odd"), GOOD.replace("unused", "dud").replace("25.00,2,18", "0.5,1,"))
    assert found.written == 7
    (far,) = found.as_dict()["far_off"]
    assert far == {
        "line": 6,
        "text": "far off: 57 times the middle of the 4 others of ZZ7GT in EUR in this list; look at the amount",
    }
    told = " ".join(price_list_in_words(found, trial=True))
    assert "ZZ-odd (line 7)" in told and "Far off the others of the same thing: line 6." in told
    assert "not counted" not in told


def test_all_rows_of_a_trial_can_be_seen_odd_ones_first(as_helper):
    TubeTypeFactory(name="ZZ7GT")
    rows = [GOOD.replace("2026-03-14", f"2026-0{1 + n // 28}-{1 + n % 28:02d}") for n in range(101)]
    upload = SimpleUploadedFile("sales.csv", file(*rows, GOOD.replace("ZZ7GT", "ZZ-odd")).read())
    page = as_helper.post(reverse("valuation:prices-in"), {"file": upload}, follow=True)
    text, address = page_text(page), page.redirect_chain[-1][0]
    assert "ZZ-odd</span> <small>not settled" in text and "1 to 100 of 102" in text
    assert "101 to 102 of 102" in page_text(as_helper.get(address + "&taken=2"))


def test_what_was_kept_as_found_settles_when_what_it_names_is_known(as_keeper, as_helper):
    take(GOOD)
    row = PriceEvidence.objects.get()
    address, asked = reverse("valuation:evidence-settle"), {"settled": "no"}
    assert row.type is None and "Settle 1" not in page_text(as_keeper.get(reverse("valuation:prices"), asked))
    kind = TubeTypeFactory(name="ZZ7GT")
    assert "1 of these names one thing alone by now" in page_text(as_keeper.get(reverse("valuation:prices"), asked))
    assert as_helper.post(address).status_code == 403
    as_keeper.post(address)
    row.refresh_from_db()
    assert row.type == kind and "alone by now" in row.history.first().history_change_reason
