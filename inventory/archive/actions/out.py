"""The whole collection into one archive: JSON lines, the files of its papers, pages for a browser, a description."""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from django.core.files.storage import Storage
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.archive.actions.packed import Packer, in_pieces, written_whole
from inventory.archive.actions.pages import pages_of_lists
from inventory.archive.queries.rows import ArchiveRows, one_moment
from inventory.archive.queries.specs import SPECS, Spec, is_person, kind_of
from inventory.archive.rules.lines import FORMAT, VERSION, WANTED
from inventory.archive.rules.members import name_fault
from inventory.holdings.models import Paper

PEOPLE = "data/people.jsonl"
README, INDEX = "README.txt", "index.html"
GATHER = 500  # lines written at a time


def media_store() -> Storage:
    """Where the bytes of papers lie: the folder of this machine, or the store that the settings name."""
    return Paper._meta.get_field("file").storage  # type: ignore[no-any-return,union-attr]


def media_member(name: str) -> str:
    """The member that holds a file of the media store."""
    return f"media/{name}"


def export_collection(path: Path, told: Callable[[str, int], None] = lambda name, lines: None) -> dict[str, Any]:
    """Write the archive; ``told`` hears of each finished member. Raises ValueError when the file cannot be written."""
    with written_whole(path) as file, one_moment():
        packer = Packer(file)
        rows = ArchiveRows()
        counts: dict[str, int] = {}
        for spec in SPECS:
            counts[spec.file] = _add_lines(packer, spec.file, rows.lines(spec))
            told(spec.file, counts[spec.file])
        counts[PEOPLE] = _add_lines(packer, PEOPLE, rows.people())
        missing = _add_files(packer, rows.files)
        for name, text in pages_of_lists():
            packer.add(name, text)
        packer.add(README, [readme().encode()])
        about = {"format": FORMAT, "version": VERSION, "lines": counts, "missing_files": missing}
        # The moment stands in the packed file's directory alone: two archives of one content unpack to the same bytes.
        moment = timezone.localtime()
        content = packer.close(about, moment.timetuple()[:6])
    return {
        "file": str(path),
        "bytes": path.stat().st_size,
        "lines": {name: count for name, count in counts.items() if count},
        "files": sum(name.startswith("media/") for name in packer.members),
        "missing_files": missing,
        "made_at": moment.isoformat(timespec="seconds"),
        "content_sha256": content,
    }


def _add_lines(packer: Packer, name: str, lines: Iterator[str]) -> int:
    count = 0

    def pieces() -> Iterator[bytes]:
        nonlocal count
        gathered: list[str] = []
        for line in lines:
            gathered.append(line)
            count += 1
            if len(gathered) >= GATHER:
                yield ("\n".join(gathered) + "\n").encode()
                gathered.clear()
        if gathered:
            yield ("\n".join(gathered) + "\n").encode()

    packer.add(name, pieces())
    return count


def _add_files(packer: Packer, names: Iterable[str]) -> list[str]:
    """Add the files of papers as they lie in the store. Returns the names of those that are not there."""
    store, missing = media_store(), []
    for name in sorted(set(names)):
        if name_fault(name) or not store.exists(name):
            missing.append(name)
            continue
        with store.open(name) as file:
            packer.add(media_member(name), in_pieces(file), squeeze=False)
    return missing


def digest_in_store(store: Storage, name: str) -> str:
    """The SHA-256 of a file in the media store."""
    digest = hashlib.sha256()
    with store.open(name) as file:
        for piece in in_pieces(file):
            digest.update(piece)
    return digest.hexdigest()


def readme() -> str:
    """How the archive is written, with the fields of every member."""
    context = {
        "version": VERSION, "members": [_describe(spec) for spec in SPECS], "people": PEOPLE,
        "numbered": [spec.file for spec in SPECS if spec.numbered],
        "inside": [(spec.file, column, name) for spec in SPECS for column, name, _ in spec.inside],
    }  # fmt: skip
    return render_to_string("archive/readme.txt", context)


def _describe(spec: Spec) -> dict[str, Any]:
    fields = [("number", "a whole number, counted from 1 within this member")] if spec.numbered else []
    for field in (*spec.fields, *spec.many):
        fields.append((field.name, _holds(field)))
    meant = " ".join((spec.model.__doc__ or "").split())
    key = ("number",) if spec.numbered else spec.key
    return {"file": spec.file, "meant": meant, "key": key, "fields": fields, "history": bool(spec.history)}


def _holds(field: Any) -> str:
    if field.many_to_many:
        return f"a list of keys of {_member_of(field.related_model)}, in order"
    if field.is_relation:
        return f"the key of a line of {_member_of(field.related_model)}"
    words = WANTED[kind_of(field)].removesuffix(" without NUL")
    if field.choices:
        words += ", one of " + ", ".join(repr(choice) for choice, _ in field.flatchoices)
    return words


def _member_of(model: Any) -> str:
    return PEOPLE if is_person(model) else next(spec.file for spec in SPECS if spec.model is model)
