"""The files that open without a signal: the page of the phone and what it is made of. Nothing of anybody is in them."""

import hashlib
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.templatetags.static import static

NAMES = (
    "mark.svg", "mark-192.png", "mark-512.png", "tokens.css", "layout.css", "pieces.css", "forms.css", "phone.css",
    "ink.js", "phone/store.js", "phone/send.js", "phone/away.js", "phone/page.js", "phone/shown.js",
    "phone/seen.js",
)  # fmt: skip


def kept_files() -> list[str]:
    """Their addresses."""
    return [static(f"filamentry/{name}") for name in NAMES]


@cache
def files_digest() -> str:
    """A digest of all that they hold, read once for a process. Raises FileNotFoundError for one that is missing."""
    whole = hashlib.sha256()
    for name in NAMES:
        found = finders.find(f"filamentry/{name}")
        if not found:
            raise FileNotFoundError(name)
        whole.update(Path(str(found)).read_bytes())
    return whole.hexdigest()
