"""What the code of a label says, and whose label it is."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.urls import Resolver404, resolve

from inventory.holdings.models import Item, Place
from inventory.holdings.queries.register import tag_of
from inventory.house.areas import kinds
from inventory.house.keys import key_of

LONGEST = 500  # letters of a code; the address of a thing is far shorter
THIS_MACHINE = ("127.0.0.1", "localhost", "::1")
MOST_STEPS = 6  # of a path in front of the pages, where the house is served below one


@dataclass(frozen=True)
class LabelCode:
    """What a code says. ``item`` or ``place``: what here it names. ``ours``: it was made by this house.

    ``tag``: the tag that it names, also where no thing bears it.
    """

    text: str
    host: str = ""
    tag: str = ""
    item: Item | None = None
    place: Place | None = None
    ours: bool = False

    @property
    def address(self) -> str:
        """The page of what it names here; empty where it names nothing here."""
        found = self.item or self.place
        return found.get_absolute_url() if found else ""

    @property
    def name(self) -> str:
        """What it names here, in words."""
        if self.item:
            return f"{self.item.tag}, {self.item.words}"
        return f"the place {self.place}" if self.place else ""

    @property
    def opens(self) -> bool:
        """Whether its page may be opened unasked: a label of this house, of something that is in the register."""
        return bool(self.ours and self.address)

    @property
    def says(self) -> str:
        if self.opens:
            return f"A label of this house: {self.name}."
        if self.address and not self.host:
            return (
                f"It says a tag, and not of which house; a thing here bears it: {self.name}. "
                "Open that only if the label is one of yours."
            )
        if self.address:
            return (
                f"It leads to {self.host}, which is not known as an address of this house. What it names is here too: "
                f"{self.name}. Open that only if the label is one of yours."
            )
        if self.ours:
            named = f"{self.tag}, and no thing of the register bears that tag" if self.tag else "no thing and no place"
            return f"A code of this house. It names {named}."
        return "No label of this house. It says what stands below."


def label_code(text: str, hosts: Iterable[str] = ()) -> LabelCode:
    """Read the text of a code: the address on a label of this house, a bare tag, or somebody else's.

    ``hosts``: names under which this house is asked for, beside those of the settings. A label of another house may
    bear the same tag as a thing here; so what leads elsewhere is never ``ours``, nor what names no house (a bare tag),
    nor what leads to the machine that one stands before (127.0.0.1), unless that is how this house is asked for.
    """
    text = text.replace("\x00", "").strip()[:LONGEST]
    if not re.match(r"https?://", text, re.IGNORECASE):
        item = tag_of(text)
        return LabelCode(text, tag=text.upper() if item else "", item=item)
    try:
        parts = urlsplit(text)
        host = (parts.hostname or "").lower()
    except ValueError:  # brackets or a port that are none
        return LabelCode(text)
    path = unquote(parts.path)
    tag, key = ("", None) if "\x00" in path else _named(path)
    place = Place.objects.filter(pk=key).first() if key is not None else None
    return LabelCode(text, host, tag, tag_of(tag) if tag else None, place, host in known_hosts(hosts))


def known_hosts(more: Iterable[str] = ()) -> frozenset[str]:
    """Names under which labels of this house were made: of the settings, and some more. Every house is 127.0.0.1 to
    itself: the names of this machine count all together where one of them is among ``more``.
    """
    asked = {(urlsplit(f"//{host}").hostname or "").lower() for host in more}
    named = {host.strip("[]").lower() for host in [urlsplit(settings.SITE_URL).hostname or "", *settings.ALLOWED_HOSTS]}
    here = set(THIS_MACHINE)
    return frozenset(host for host in (named - here) | asked | (here if asked & here else set()) if host.strip("*."))


def _named(path: str) -> tuple[str, int | None]:
    """The tag of a thing, or the number of a place, whose page a path is, also below a path in front of all pages."""
    pages = {kind.page for kind in kinds().values()}
    steps = path.split("/")
    for start in range(min(len(steps) - 1, MOST_STEPS)):
        rest = "/" + "/".join(steps[start + 1 :])
        try:
            found = resolve(rest if rest.endswith("/") else f"{rest}/")
        except Resolver404:
            continue
        if found.view_name in pages:
            return str(found.kwargs.get("tag", "")).upper(), None
        if found.view_name == "holdings:place":
            return "", key_of(str(found.kwargs.get("pk", "")))
    return "", None
