"""XLS and XLSB, read in a process of its own: started by ``sheets`` with the file as its input, never imported.

The library lays a sheet out whole: two cells far apart in a file of a kilobyte ask for gigabytes, and where those are
not to be had it ends the process that it runs in. So the process is one that can be spared, with bounds on its memory.

Number formats are not among what the library hands out, so a currency or a percent sign that only the format of a cell
shows is not seen here, other than in XLSX and ODS; whoever takes such a list in names the currency for the whole list.

Input: the file. Output: pickles; (True, [(name, first column)]) of the filled sheets, or (False, why not); where the
number of a sheet in that list is given, then [its row numbers and cells], each as it is read.
"""

import pickle
import sys
from typing import Any

from python_calamine import CalamineError, CalamineWorkbook


def bound(memory: int, seconds: int, written: int) -> None:
    """Bound this process: bytes of memory, seconds of work, bytes of what it writes. Nothing where that is unknown."""
    try:
        import resource
    except ImportError:  # only the size of the file is bounded then
        return
    limits = (
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_AS, memory),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_FSIZE, written),
    )
    for which, most in limits:
        try:
            resource.setrlimit(which, (most, most))
        except (ValueError, OSError):  # a narrower bound stands already
            continue


def main(memory: str, seconds: str, written: str, chosen: str) -> None:
    bound(int(memory), int(seconds), int(written))
    out = sys.stdout.buffer

    def tell(what: Any) -> None:
        pickle.dump(what, out, pickle.HIGHEST_PROTOCOL)

    try:
        book = CalamineWorkbook.from_filelike(sys.stdin.buffer)  # type: ignore[arg-type]
        filled = []
        for at, name in enumerate(book.sheet_names):
            page = book.get_sheet_by_index(at)
            if page.height and page.width:
                filled.append((at, name, page.start[1] if page.start else 0))
        tell((True, [(name, left) for _, name, left in filled]))
        if chosen:
            page = book.get_sheet_by_index(filled[int(chosen)][0])
            for number, row in enumerate(page.iter_rows(), 1):
                if any(cell != "" for cell in row):
                    tell((number, row))
        tell(None)
    except (CalamineError, OSError, ValueError) as fault:
        tell((False, " ".join(str(fault).split())[:120]))
    except BaseException as fault:  # a reader in another language may stop in a way of its own
        if type(fault).__name__ != "PanicException":
            raise
        tell((False, "it is damaged"))


if __name__ == "__main__":
    main(*sys.argv[1:])
