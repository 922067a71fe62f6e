"""A keeper's file as rows of text: CSV and its kin in any encoding, XLSX, ODS and XLS. Nothing is worked out."""

import codecs
import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import IO, Any

from charset_normalizer import from_bytes
from django.conf import settings

from inventory.lists.actions.sheets import sheet_lines
from inventory.lists.rules.records import FileRefused, Line, clean, guess_delimiter, records, told_delimiter
from inventory.lists.rules.signature import OLD_SHEET, PACKED, SIGNED, encoding_told, signature_fault

SAMPLE = 262_144  # bytes
SAMPLE_LINES = 400
#: What keepers' programs wrote before UTF-8; the first is taken where they do not differ.
_OLD = ["cp1252", "cp1250", "cp1251", "cp1253", "cp850", "cp437", "cp866", "koi8_r", "mac_roman", "iso8859_15"]


@dataclass
class Table:
    """A file as rows; ``notes``: what a person should know of how it was read.

    ``sheet``: the one that was chosen of several. ``digest`` is of the file, and of the sheet where there are several.
    """

    digest: str
    lines: Iterator[Line]
    notes: list[str] = field(default_factory=list)
    sheet: str = ""


def open_table(file: IO[bytes], name: str = "", sheet: str = "") -> Table:
    """Read a file of any content; ``sheet``: which of a workbook's.

    Raises FileRefused for what is too large, empty, no list, not what its name says, and for a workbook of several
    sheets of which none is chosen: a part of a list is never taken for the whole.
    """
    digest = _digest(file)
    sample = file.read(SIGNED)
    file.seek(0)
    if not sample:
        raise FileRefused("The file is empty.")
    if fault := signature_fault(name, sample):
        raise FileRefused(fault)
    if sample.startswith(PACKED) or sample.startswith(OLD_SHEET):
        return _sheet(file, digest, sheet, zipped=sample.startswith(PACKED))
    if sheet:
        raise FileRefused(f"There is no sheet {sheet!r}: the file is text, not a workbook.", field="sheet")
    return _text(file, digest)


def _digest(file: IO[bytes]) -> str:
    summed, size, most = hashlib.sha256(), 0, settings.IMPORT_MAX_MB * 1_000_000
    file.seek(0)
    while piece := file.read(1_000_000):
        summed.update(piece)
        size += len(piece)
        if size > most:
            raise FileRefused(f"The file is larger than {most // 1_000_000} MB; take the list in by parts.")
    file.seek(0)
    return summed.hexdigest()


# --- text --------------------------------------------------------------------------------------------------------


def _text(file: IO[bytes], digest: str) -> Table:
    encoding, note = _encoding(file)
    file.seek(0)
    kept: Any = _Kept(file)
    stream: Any = io.TextIOWrapper(kept, encoding=encoding, errors="replace", newline=None)
    lines = (clean(line) for line in _bounded(stream))
    sample = list(islice(lines, SAMPLE_LINES))
    delimiter = guess_delimiter(sample)
    first = 1
    if sample and told_delimiter(sample[0]):
        del sample[0]
        first = 2
    notes = [note] if note else []
    return Table(digest, records(_chain(sample, lines), delimiter, first), notes)


def _chain(first: list[str], rest: Iterator[str]) -> Iterator[str]:
    while first:
        yield first.pop(0)
    yield from rest


def _bounded(stream: Any) -> Iterator[str]:
    """Lines; one without an end comes in pieces and is never held whole."""
    while line := stream.readline(500_000):
        whole = line.endswith("\n")
        yield line
        while not whole and (rest := stream.readline(500_000)):
            whole = rest.endswith("\n")


class _Kept(io.RawIOBase):
    """A file that stays open when the text stream round it is dropped."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file = file

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        piece = self.file.read(len(buffer))
        buffer[: len(piece)] = piece
        return len(piece)

    def read1(self, size: int = -1) -> bytes:
        return self.file.read(size if size > 0 else 65_536)


def _encoding(file: IO[bytes]) -> tuple[str, str]:
    """(encoding, what to say of it)."""
    sample = file.read(SAMPLE)
    if name := encoding_told(sample):
        return name, ""
    file.seek(0)
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while piece := file.read(1_000_000):
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        name = _old_encoding(sample)
        return name, f"The file is no UTF-8; it was read as {name}. Look whether accented letters are right."
    return "utf-8", ""


def _old_encoding(sample: bytes) -> str:
    """The old code page whose letters make the best words; cp1252 where nothing speaks for another."""
    odd = b"\n".join(line for line in sample.splitlines() if not line.isascii())[:20_000]
    try:
        best = from_bytes(odd, cp_isolation=_OLD, steps=3, chunk_size=256).best()
    except Exception:  # a guess that fails is no reason to refuse a file
        best = None
    if best is None:
        return _cyrillic(odd) or "cp1252"
    return "cp1252" if str(best) == odd.decode("cp1252", "replace") else best.encoding


def _cyrillic(odd: bytes) -> str:
    """The Cyrillic code page in which most signs are small letters; "" where none is."""
    shares = {name: _small_letters(odd.decode(name, "replace")) for name in ("cp1251", "koi8_r", "cp866")}
    name = max(shares, key=lambda one: shares[one])
    return name if shares[name] > 0.6 else ""


def _small_letters(text: str) -> float:
    signs = [sign for sign in text if not sign.isascii()]
    return sum("а" <= sign <= "я" for sign in signs) / max(1, len(signs))


# --- spreadsheets ------------------------------------------------------------------------------------------------


def _sheet(file: IO[bytes], digest: str, wanted: str, *, zipped: bool) -> Table:
    name, lines, others = sheet_lines(file, wanted, zipped=zipped)
    if not others:
        return Table(digest, lines)
    notes = [f"Sheet {name!r} was read; not read: {', '.join(others)[:200]}."]
    return Table(hashlib.sha256(f"{digest}\n{name}".encode("utf-8", "replace")).hexdigest(), lines, notes, name)
