"""Pages as a reader sees them."""

from typing import Any


def page_text(answer: Any) -> str:
    """The markup of an answer with every run of blanks as one, as a browser shows it."""
    return " ".join(answer.content.decode().split())
