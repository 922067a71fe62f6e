"""An archive into a database that holds nothing yet: all of it or nothing, and every fault with its place.

Rows are written in bulk, so nothing is recorded as changed by the one who runs this: the histories are those of the
archive.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.archive.actions.lines import ArchiveRefused, MemberReader
from inventory.archive.actions.out import PEOPLE, media_store
from inventory.archive.actions.packed import Unpacked, opened
from inventory.archive.queries.specs import SPECS, holds_something
from inventory.archive.rules.lines import FORMAT, LONGEST_LINE, VERSION, LineFault, NotThat, read_line
from inventory.house.access import ROLES
from inventory.lists.actions.choices import name_choices
from inventory.lists.actions.own_numbers import tell_own_numbers
from inventory.lists.actions.uncounted import name_uncounted
from inventory.lists.actions.wants import name_wants
from tubes.actions import load_reference
from tubes.models import TubeType, knowledge_changed

ENOUGH = 25  # faults after which nobody reads on
Row = dict[str, Any]


def import_collection(path: Path) -> dict[str, Any]:
    """Take an archive in. Raises ValueError, and then nothing was written."""
    with opened(path, FORMAT, VERSION) as archive:
        _refuse_strange_members(path, archive)
        store = media_store()
        saved: list[str] = []
        try:
            with transaction.atomic():
                _make_ready()
                reader = Reader(archive, saved)
                counts = reader.take_in()
        except BaseException:
            for name in saved:
                store.delete(name)
            raise
    return {"file": str(path), "lines": counts, "files": len(saved), "missing_files": reader.missing}


def _refuse_strange_members(path: Path, archive: Unpacked) -> None:
    known = {spec.file for spec in SPECS} | {PEOPLE}
    for name in archive.members:
        if name.startswith("data/") and name not in known:
            raise ValueError(f"{path}: {name}: no member that this version knows; it may come from a later one")
    for name in sorted(known - set(archive.members)):
        if name == PEOPLE:
            raise ValueError(f"{path}: {name} is missing")


def _make_ready() -> None:
    """The database holds nothing but the reference tables, which are loaded if they are not there."""
    if there := holds_something():
        raise ValueError(f"This database holds things already ({there}); an archive goes into an empty one.")
    if not TubeType.objects.exists() and (faults := load_reference(settings.REFERENCE_DIR).faults):
        raise ValueError("; ".join(map(str, faults)))


@contextmanager
def _clocks_stopped() -> Iterator[None]:
    """Columns that are set to the present moment by themselves keep the moment that the archive gives."""
    stopped = []
    for spec in SPECS:
        for field in spec.fields:
            for name in ("auto_now", "auto_now_add"):
                if getattr(field, name, False):
                    setattr(field, name, False)
                    stopped.append((field, name))
    try:
        yield
    finally:
        for field, name in stopped:
            setattr(field, name, True)


class Reader:
    """Reads one member after the other and writes its rows."""

    def __init__(self, archive: Unpacked, saved: list[str]) -> None:
        self.archive, self.saved = archive, saved
        self.faults: list[LineFault] = []
        self.keys: dict[Any, dict[Any, int]] = {}
        self.missing: list[str] = []

    def take_in(self) -> dict[str, int]:
        counts = {PEOPLE: self._people()}
        with _clocks_stopped():
            for spec in SPECS:
                counts[spec.file] = MemberReader(self, spec).take_in() if spec.file in self.archive.members else 0
                self.stop_if_wrong()
        knowledge_changed()  # lines are written past what tells that tube knowledge is another now
        name_uncounted()  # an archive of an earlier version does not say of what they are,
        tell_own_numbers()  # has the numbers of a list's things elsewhere,
        name_wants()  # wants only by their words,
        name_choices()  # and choices of waiting rows by numbers of the house that it comes from
        return {name: count for name, count in counts.items() if count}

    def fault(self, member: str, line: int, field: str, found: Any, expected: str) -> None:
        text = found if isinstance(found, str) and field == "line" else repr(found)
        self.faults.append(LineFault(member, line, field, text[:120], expected))
        if len(self.faults) >= ENOUGH:
            self.stop_if_wrong()

    def stop_if_wrong(self) -> None:
        if self.faults:
            raise ArchiveRefused(self.faults)

    def lines(self, member: str) -> Iterator[tuple[int, Row]]:
        """Numbered lines of a member; a line that is none is filed as a fault."""
        with self.archive.zip.open(member) as file:
            number = 0
            while text := file.readline(LONGEST_LINE + 1):
                number += 1
                if len(text) > LONGEST_LINE:
                    self.fault(member, number, "line", "a longer one", f"at most {LONGEST_LINE} bytes")
                    self.stop_if_wrong()
                try:
                    yield number, read_line(text)
                except NotThat as fault:
                    self.fault(member, number, "line", text[:60].decode(errors="replace"), str(fault))

    def _people(self) -> int:
        """Accounts for everybody named who has none: with their role, without a password that would let them in."""
        keys = self.keys.setdefault(get_user_model(), {})
        count = 0
        for number, row in self.lines(PEOPLE):
            count += 1
            name, role, active = row.get("username"), row.get("role", ""), row.get("active", True)
            known = {"username", "first_name", "last_name", "role", "active"}
            for field in sorted(set(row) - known):
                self.fault(PEOPLE, number, field, row[field], "no such field")
            if not isinstance(name, str) or not 0 < len(name) <= 150 or "\x00" in name or name in keys:
                self.fault(PEOPLE, number, "username", name, "a name that stands once")
            elif role not in ("", *ROLES) or not isinstance(active, bool):
                self.fault(PEOPLE, number, "role", role, f"one of {', '.join(ROLES)}, and active true or false")
            else:
                self._person(number, row, keys)
        return count

    def _person(self, number: int, row: Row, keys: dict[Any, int]) -> None:
        people = get_user_model().objects
        person = people.filter(username=row["username"]).first()
        if person is None:
            person = people.model(username=row["username"], is_active=row.get("active", True))
            person.first_name, person.last_name = row.get("first_name", ""), row.get("last_name", "")
            person.set_unusable_password()
            try:
                person.clean_fields(exclude=["username", "password"])  # an old name may be none of today's
            except ValidationError as refusal:
                field, texts = next(iter(refusal.message_dict.items()))
                return self.fault(PEOPLE, number, field, row.get(field), texts[0])
            person.save()
            if row.get("role"):
                person.groups.add(Group.objects.get(name=row["role"]))
        keys[row["username"]] = person.pk
        return None
