"""The currency of prices that name none: said of the whole list, or shown by the sheet's own number format.

Codes: ISO 4217; number formats: ECMA-376 part 1, 18.8.30. All prices are invented.
"""

import io
import json

import openpyxl
import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.holdings.models import Fact
from inventory.lists.actions.answers import answer_held
from inventory.lists.actions.read import options_of
from inventory.lists.actions.trial import set_columns
from inventory.lists.models import ImportRun
from inventory.lists.rules.columns import in_order
from tests.lists.importing_lists import press_write, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
BARE = "Tube,Paid,Ask\n807,12.50,\n6V6GT,$5,\n5U4G,£3,20\n"


def prices():
    facts = Fact.objects.filter(about__in=("paid", "asked")).order_by("item__tag", "about")
    return [(fact.item.tube.marked, fact.about, str(fact.value.normalize()), fact.currency) for fact in facts]


def test_one_currency_for_the_bare_prices_of_a_list(keeper):
    _, rows = take(BARE, by=keeper, options=options_of({"currency": "EUR", "dollar": "USD"}))
    assert prices() == [
        ("807", "paid", "12.5", "EUR"), ("6V6GT", "paid", "5", "USD"),
        ("5U4G", "asked", "2E+1", "EUR"), ("5U4G", "paid", "3", "GBP"),
    ]  # fmt: skip
    assert not any("currency" in remark["reason"] for row in rows for remark in row["remarks"])


def test_not_said_it_stays_not_said(keeper):
    _, rows = take(BARE, by=keeper)
    assert prices()[0] == ("807", "paid", "12.5", "")
    assert "no currency is written" in rows[0]["remarks"][0]["reason"]


def test_the_command_takes_the_currency(tmp_path, capsys):
    (tmp_path / "list.csv").write_text(BARE)
    call_command("import_list", str(tmp_path / "list.csv"), "--currency", "EUR", "--dollar", "CAD", "--json")
    assert json.loads(capsys.readouterr().out)["written"] == 3
    assert prices()[0][3] == "EUR" and prices()[1][3] == "CAD"
    assert ImportRun.objects.get().options == {"currency": "EUR", "dollar": "CAD"}


def test_the_page_takes_the_currency(as_helper):
    upload = io.BytesIO(BARE.encode())
    upload.name = "list.csv"
    as_helper.post(reverse("lists:list-add"), {"file": upload})
    run = ImportRun.objects.get()
    address = reverse("lists:list-columns", args=[run.pk])
    assert "a price that names no currency is in" in as_helper.get(address).content.decode()
    fields = {f"column_{at}": field for at, field in enumerate(in_order(run.heading, run.columns).values())}
    refused = as_helper.post(address, {**fields, "currency": "gold"})
    assert refused.status_code == 422
    as_helper.post(address, {**fields, "currency": "EUR"})
    press_write(as_helper, run)
    assert prices()[0] == ("807", "paid", "12.5", "EUR")


def test_a_currency_of_the_list_that_is_none_is_refused(tmp_path, capsys, as_helper):
    (tmp_path / "list.csv").write_text(BARE)
    for option in ("--currency", "--dollar"):
        with pytest.raises(CommandError, match="EUA is no currency code of ISO 4217"):
            call_command("import_list", str(tmp_path / "list.csv"), option, "EUA")
    assert not ImportRun.objects.exists() and not Fact.objects.exists()
    upload = io.BytesIO(BARE.encode())
    upload.name = "list.csv"
    as_helper.post(reverse("lists:list-add"), {"file": upload})
    run = ImportRun.objects.get()
    fields = {f"column_{at}": field for at, field in enumerate(in_order(run.heading, run.columns).values())}
    refused = as_helper.post(reverse("lists:list-columns", args=[run.pk]), {**fields, "currency": "EUA"})
    assert refused.status_code == 422 and "EUA is no currency code" in str(refused.context["form"].errors["currency"])
    with pytest.raises(ValueError, match="EUA is no currency code"):
        set_columns(run, dict(run.columns), options_of({"currency": "EUA"}))


def test_a_row_with_an_unknown_code_is_told_and_kept_as_found(keeper):
    _, rows = take("Tube,Paid\n807,12 EUA\n6V6GT,12 PLN\n", by=keeper)
    facts = Fact.objects.filter(about="paid").order_by("pk")
    assert [(fact.text, fact.value and int(fact.value), fact.currency) for fact in facts] == [
        ("12 EUA", None, ""), ("12 PLN", 12, "PLN"),
    ]  # fmt: skip
    assert "EUA is no currency code of ISO 4217" in rows[0]["remarks"][0]["reason"] and rows[1]["remarks"] == []


def test_a_code_that_the_sheet_shows(keeper):
    """A former currency (IEP), one in use (PLN), and letters that are no code."""
    made = openpyxl.Workbook()
    made.active.append(["Tube", "Paid"])
    for row, (mark, code) in enumerate((("807", "IEP"), ("6V6GT", "PLN"), ("5U4G", "EUA")), 2):
        made.active.append([mark, 12.5])
        made.active[f"B{row}"].number_format = f"#,##0.00\\ [${code}]"
    out = io.BytesIO()
    made.save(out)
    _, rows = take(out.getvalue(), by=keeper, name="list.xlsx")
    facts = Fact.objects.filter(about="paid").order_by("pk")
    assert [(fact.text, fact.currency) for fact in facts] == [
        ("IEP 12.5", "IEP"), ("PLN 12.5", "PLN"), ("EUA 12.5", ""),
    ]  # fmt: skip
    assert "EUA is no currency code" in rows[2]["remarks"][0]["reason"]


def test_a_sign_that_the_sheet_shows_is_never_that_of_the_list(keeper):
    """Signs in formats of Excel for Poland, Hungary and Romania (MS-LCID); that of leu is not read, and so told."""
    made = openpyxl.Workbook()
    made.active.append(["Tube", "Paid"])
    for row, (mark, code) in enumerate((("807", "zł-415"), ("6V6GT", "Ft-40E"), ("5U4G", "lei-418")), 2):
        made.active.append([mark, 12])
        made.active[f"B{row}"].number_format = f"#,##0.00\\ [${code}]"
    out = io.BytesIO()
    made.save(out)
    _, rows = take(out.getvalue(), by=keeper, name="list.xlsx", options=options_of({"currency": "EUR"}))
    facts = Fact.objects.filter(about="paid").order_by("pk")
    assert [(fact.text, fact.value and int(fact.value), fact.currency) for fact in facts] == [
        ("PLN 12", 12, "PLN"), ("HUF 12", 12, "HUF"), ("lei 12", None, ""),
    ]  # fmt: skip
    assert "cannot be read as a price" in rows[2]["remarks"][0]["reason"]


def test_the_code_of_a_heading_stands_before_the_currency_of_the_list(keeper):
    take(b"Tube,Price PLN\n807,12\n", by=keeper, options=options_of({"currency": "EUR"}))
    assert Fact.objects.get(about="paid").currency == "PLN"


def shown_book():
    made = openpyxl.Workbook()
    made.active.append(["Tube", "Qty", "Paid", "Ins. val"])
    for row, (mark, code) in enumerate((("807", "#,##0.00\\ [$€-407]"), ("VT-60", "[$£-809]#,##0.00")), 2):
        made.active.append([mark, 1, 12.5, 30])
        made.active[f"B{row}"].number_format = code  # a count is no price, whatever it is made to look like
        made.active[f"C{row}"].number_format = code
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def test_the_currency_that_the_sheet_shows(keeper, today):
    found, _ = take(shown_book(), by=keeper, name="list.xlsx", options=options_of({"currency": "USD"}))
    paid, insured = Fact.objects.filter(item__tube__marked="807").order_by("-about")
    assert (paid.currency, paid.text, insured.currency, insured.text) == ("EUR", "EUR 12.5", "USD", "30")
    held = found.run.rows.get(row=2)  # VT-60 has two meanings; the currency is still known when it is answered
    answer_held(held, held.question["choices"][0]["key"], by=keeper, today=today)
    assert Fact.objects.get(item__tube__marked="VT-60", about="paid").currency == "GBP"
    assert held.plain_cells == ["VT-60", "1", "12.5", "30"]


def test_the_currency_of_the_list_answers_a_dollar_and_a_crown(tmp_path, capsys):
    """What the remark says to do is enough: it is not made again."""
    (tmp_path / "a.csv").write_text("Tube,Paid\n807,$3.50\n")
    call_command("import_list", str(tmp_path / "a.csv"), "--currency", "USD")
    told = capsys.readouterr().out
    assert prices() == [("807", "paid", "3.5", "USD")] and "which currency" not in told
    made = openpyxl.Workbook()
    made.active.append(["Tube", "Paid", "Ask"])
    made.active.append(["6V6GT", 40, 50])
    made.active["B2"].number_format = '#,##0.00" kr"'
    made.active["C2"].number_format = "#,##0.00\\ [$kr-414]"  # nb-NO: Norwegian (MS-LCID)
    made.save(tmp_path / "b.xlsx")
    call_command("import_list", str(tmp_path / "b.xlsx"), "--currency", "SEK")
    assert prices()[1:] == [("6V6GT", "asked", "5E+1", "NOK"), ("6V6GT", "paid", "4E+1", "SEK")]
    assert "which currency" not in capsys.readouterr().out
