"""Pages as a reader sees them."""

from typing import Any

from inventory.house.records.actions import state_of


def page_text(answer: Any) -> str:
    """The markup of an answer with every run of blanks as one, as a browser shows it."""
    return " ".join(answer.content.decode().split())


def state_seen(row: Any) -> str:
    """The state of a row in the database now, as a form that shows it carries it."""
    return state_of(type(row)._base_manager.get(pk=row.pk))


def seen_at(client: Any, address: str) -> dict[str, str]:
    """What a form carries of the record that it shows, to be sent with a correction; empty where it shows none."""
    form = (client.get(address).context or {}).get("form")
    return {"seen": form["seen"].value()} if form is not None and "seen" in form.fields else {}


def printed_text(printed: Any) -> str:
    """All that a printed answer says, line by line."""
    told = []
    for section in printed.sections:
        told += [section.title, section.hint]
        for block in section.blocks:
            told += getattr(block, "texts", ()) or getattr(block, "words", ())
            for row in getattr(block, "rows", ()):
                told += [text for cell in row for text in (cell.text, *cell.small)]
    return "\n".join(told)
