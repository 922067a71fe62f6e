"""What a file is by its first bytes, and whether that is what its name says."""

import codecs
from pathlib import PurePath

SIGNED = 4096  # bytes looked at
PACKED, OLD_SHEET = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
#: How a file of a suffix begins: zip (PKWARE APPNOTE), compound file (MS-CFB).
_SIGNATURES = {".xlsx": PACKED, ".xlsm": PACKED, ".xlsb": PACKED, ".ods": PACKED, ".xls": OLD_SHEET}
_NO_LIST = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "packed with gzip"),
    (b"7z\xbc\xaf", "packed with 7z"),
    (b"Rar!", "packed with RAR"),
    (b"SQLite format 3", "a database"),
    (b"\x7fELF", "a program"),
)
#: Marks at the head of a text; that of UTF-32 begins with one of UTF-16, so it is looked for first.
_TEXT_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"),
)  # fmt: skip
_CONTROL = tuple(bytes([code]) for code in range(32) if code not in (9, 10, 12, 13, 26, 27))
FEWEST, MOST_SHARE = 400, 0.06  # bytes below which nothing is said; share of control signs in no text (from memory)


def signature_fault(name: str, sample: bytes) -> str:
    """Why bytes that begin so are no list, or not what the suffix of their name says; "" where nothing speaks so."""
    suffix = PurePath(name).suffix.casefold()
    wanted = _SIGNATURES.get(suffix)
    if wanted:
        told = f"{name!r} is no {suffix[1:].upper()} file: its bytes do not begin as one; save the list again."
        return "" if sample.startswith(wanted) else told
    for begin, what in _NO_LIST:
        if sample.startswith(begin):
            return f"The file is {what}, not a list; save the list as XLSX, ODS or CSV."
    if len(sample) < FEWEST or sample.startswith((PACKED, OLD_SHEET)) or encoding_told(sample):
        return ""
    odd = sum(sample.count(code) for code in _CONTROL)
    return "The file is no text and no spreadsheet." if odd > len(sample) * MOST_SHARE else ""


def encoding_told(sample: bytes) -> str:
    """The encoding that the first bytes of a text tell, by a mark or by the zeros of two bytes a letter; else ""."""
    for mark, name in _TEXT_MARKS:
        if sample.startswith(mark):
            return name
    nuls = [sample[start::2].count(0) / max(1, len(sample) // 2) for start in (0, 1)]
    if max(nuls) > 0.4 and min(nuls) < 0.1:
        return "utf-16-be" if nuls[0] > nuls[1] else "utf-16-le"
    return ""
