"""The pages of an archive: the collection as plain tables with pictures, to be read without any program."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.template.loader import render_to_string
from django.utils.html import escape

from inventory.holdings.lists_out import PAPERS
from inventory.holdings.models import Paper
from inventory.house.lists_out import ListOut
from inventory.house.order import by_code_points
from inventory.lists.queries.out import LISTS, all_cells
from inventory.lists.rules.spreadsheet_cells import Cell, plain_cell

ON_A_PAGE = 1000  # rows of a table on one page
INDEX = "index.html"
SHORT = 14  # characters
Pages = Iterator[tuple[str, Iterable[bytes]]]


def pages_of_lists() -> Pages:
    """Members with the pages: ``index.html`` last, since it names the others."""
    contents: list[dict[str, Any]] = []
    for one in LISTS.values():
        if one is PAPERS:  # shown as pictures below
            continue
        count, first, number = 0, "", 1
        rows = all_cells(one)
        while chunk := list(islice(rows, ON_A_PAGE)):
            text = table(one.headings, chunk)
            count += len(chunk)
            if number == 1:
                first = text
            else:
                yield page_name(one, number), [_page(one, number, text).encode()]
            number += 1
        more = [page_name(one, at) for at in range(2, number)]
        contents.append({"list": one, "count": count, "table": first, "more": more})
    pictures = _pictures()
    yield from _picture_pages(pictures)
    shown = pictures[:ON_A_PAGE]
    more = [f"pages/papers-{at}.html" for at in range(2, -(-len(pictures) // ON_A_PAGE) + 1)]
    context = {"contents": contents, "pictures": shown, "count": len(pictures), "more": more}
    yield INDEX, [render_to_string("archive/index.html", context).encode()]


def page_name(one: ListOut, number: int) -> str:
    return f"pages/{one.name}-{number}.html"


def _page(one: ListOut, number: int, text: str) -> str:
    return render_to_string("archive/page.html", {"title": f"{one.title}, page {number}", "table": text})


def table(headings: list[str], rows: Iterable[list[Cell]]) -> str:
    """A table in HTML; columns in which no row says anything are left out."""
    rows = list(rows)
    shown = [at for at in range(len(headings)) if any(row[at] != "" for row in rows)]
    head = "".join(f"<th>{escape(headings[at])}</th>" for at in shown)
    lines = [f"<table><thead><tr>{head}</tr></thead><tbody>"]
    for row in rows:
        lines.append("<tr>" + "".join(_cell(_shown(row[at])) for at in shown) + "</tr>")
    return "\n".join([*lines, "</tbody></table>"])


def _cell(text: str) -> str:
    """Tags, dates and serials stay on one line, so that a hyphen does not part them."""
    short = len(text) <= SHORT and " " not in text
    return f"<td{' class=s' if short and text else ''}>{escape(text)}</td>"


def _shown(value: Cell) -> str:
    """A cell as read by people: what protects spreadsheets is of no use here."""
    return plain_cell(value) if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else str(value)


def _pictures() -> list[dict[str, Any]]:
    found = Paper.objects.order_by(*by_code_points("item__tag"), "pk").values(
        "item__tag", "kind", "file", "thumbnail", "caption", "dated"
    )
    return [
        {
            **row,
            "tag": row["item__tag"],
            "shows": row["thumbnail"] or (row["file"] if row["kind"] == "photograph" else ""),
        }
        for row in found
    ]


def _picture_pages(pictures: list[dict[str, Any]]) -> Pages:
    for number, at in enumerate(range(ON_A_PAGE, len(pictures), ON_A_PAGE), 2):
        context = {"title": f"Photographs and papers, page {number}", "pictures": pictures[at : at + ON_A_PAGE]}
        text = render_to_string("archive/page.html", {**context, "up": "../"})
        yield f"pages/papers-{number}.html", [text.encode()]
