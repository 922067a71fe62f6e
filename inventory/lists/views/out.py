"""Pages of what goes out: any list as a file, narrowed as its page is."""

import csv
import tempfile
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import may, may_see_money, needs
from inventory.lists.queries.asked import ListRefused, asked_list, form_errors
from inventory.lists.queries.out import LISTS, OFFERED, PAIRINGS, stamped
from inventory.lists.rules.spreadsheet_cells import Cell, sheet_text
from inventory.pairing.forms import PairingFilterForm
from inventory.pairing.queries import PairFilter, pairing_table
from inventory.pairing.views import wanted_pairs

CSV, CSV_BOM, XLSX = "csv", "csv-bom", "xlsx"
SHAPES = ((CSV, "CSV"), (CSV_BOM, "CSV for a spreadsheet"), (XLSX, "XLSX"))
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
WRITTEN_AT_ONCE = 500  # rows


@require_GET
@needs("view", "holdings.item")
def lists(request: HttpRequest) -> HttpResponse:
    """Every list that can be taken out, and how the whole collection goes out."""
    shown = [(one.name, one.title) for one in OFFERED if may(request.user, "view", one.model)]
    return render(request, "lists/in_and_out.html", {"lists": shown, "shapes": SHAPES})


@require_GET
@needs("view", "holdings.item")
def list_out(request: HttpRequest, name: str) -> HttpResponseBase:
    """One list as a file: ``?as=csv|csv-bom|xlsx``, what its page is narrowed by, its ``order``, its ``columns``,
    or its rows counted by a column: ``group``.
    """
    shape = request.GET.get("as", CSV)
    if shape not in dict(SHAPES):
        raise Http404("There is no such shape of a list.")
    headings, rows = _pairings(request) if name == PAIRINGS.name else _narrowed(request, name)
    if rows is None:
        return render(request, "lists/refused.html", {"errors": headings}, status=422)
    if not request.GET.get("group"):  # counts are no rows that come back
        headings, rows = stamped(name, headings, rows, timezone.now())
    file_name = f"{name}-{timezone.localdate():%Y-%m-%d}"
    if shape == XLSX:
        return FileResponse(
            as_xlsx(headings, rows), filename=f"{file_name}.xlsx", as_attachment=True, content_type=SHEET_TYPE
        )
    answer = StreamingHttpResponse(as_csv(headings, rows, bom=shape == CSV_BOM), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{file_name}.csv"'
    return answer


def _narrowed(request: HttpRequest, name: str) -> tuple[Any, Iterable[list[Cell]] | None]:
    one = LISTS.get(name)
    if one is None:
        raise Http404("There is no such list.")
    if not may(request.user, "view", one.model):
        raise PermissionDenied(f"Your role may not view {one.title.lower()}.")
    try:
        money = may_see_money(request.user)
        asked = asked_list(one, request.GET, money=money)
    except ListRefused as refusal:
        return refusal.errors, None
    if group := request.GET.get("group"):
        try:
            return asked.counted(group, largest_first=request.GET.get("first") == "count", money=money)
        except ListRefused as refusal:
            return refusal.errors, None
    return asked.headings, asked.rows()


def _pairings(request: HttpRequest) -> tuple[Any, Iterable[list[Cell]] | None]:
    if not may(request.user, "view", PAIRINGS.model):
        raise PermissionDenied("Your role may not view pairings.")
    form = PairingFilterForm(request.GET)
    if not form.is_valid():
        return form_errors(form), None
    on, wanted = wanted_pairs(form, timezone.localdate())
    return PAIRINGS.headings, PAIRINGS.cells(pairing_table(on, wanted or PairFilter()))


class _Echo:
    """A file that hands back what is written."""

    def write(self, text: str) -> str:
        return text


def as_csv(headings: list[str], rows: Iterable[list[Cell]], *, bom: bool = False) -> Iterator[bytes]:
    """A CSV file (RFC 4180, UTF-8) in pieces; ``bom``: with the mark by which spreadsheets know UTF-8."""
    line: Callable[[Any], str] = csv.writer(_Echo()).writerow  # type: ignore[arg-type,assignment]
    gathered = ["\ufeff" if bom else "", line(headings)]
    for row in rows:
        gathered.append(line(row))
        if len(gathered) > WRITTEN_AT_ONCE:
            yield "".join(gathered).encode()
            gathered.clear()
    yield "".join(gathered).encode()


def as_xlsx(headings: list[str], rows: Iterable[list[Cell]]) -> Any:
    """An XLSX file, open at its beginning. Every text is a text cell: 2E26 and 01432 stay what they are."""
    from openpyxl import Workbook  # takes a tenth of a second to load: only when asked
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    page = book.create_sheet("List")
    page.freeze_panes = "A2"
    word = WriteOnlyCell(page)
    word.number_format = "@"
    page.append([_text_cell(page, word, heading) for heading in headings])
    for row in rows:
        page.append([_text_cell(page, word, value) if isinstance(value, str) else value for value in row])
    file = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it when it is sent
    book.save(file)
    file.seek(0)
    return file


def _text_cell(page: Any, like: Any, text: str) -> Any:
    if not text:
        return None
    from openpyxl.cell import WriteOnlyCell

    cell = WriteOnlyCell(page)
    cell._style = like._style
    cell.value = sheet_text(text)
    cell.data_type = "s"  # also where the text looks like a formula or an error value
    return cell
