"""What a text that was read from a picture could have been: letters that look alike, and letters that are not read.

The first table is of signs that worn, blurred or narrow print makes alike (common practice, no source; the pairs are
those that were seen on made pictures). The second is of Cyrillic letters without a Latin twin: a reader that knows only
Latin letters gives another one for them, and may be quite sure of it. Soviet receiving tubes are figure, letter,
figure, letter (GOST 13393-76), so only the letter of that place is tried.
"""

import re
from collections.abc import Iterator

#: A sign that was read -> what may stand there, the likeliest first.
_ALIKE = {
    "0": "OD8Q", "O": "0DQ", "1": "I7LT", "I": "1LT", "L": "1IE", "!": "1", "|": "1", "5": "S68", "S": "5GB",
    "8": "B36", "B": "8E3", "6": "G85", "G": "6C", "2": "Z7", "Z": "2", "3": "8B", "7": "1T2", "T": "7", "4": "A",
    "A": "4",
    "C": "G", "E": "6F", "F": "E", "H": "N", "N": "HM", "M": "N", "U": "V", "V": "UY", "X": "KF", "K": "X", "Y": "VX",
    "D": "0O", "Q": "0O", "9": "4", "P": "R", "R": "P", "W": "N",
}  # fmt: skip

#: What a Latin reader gives, one sign or two, -> the Cyrillic letters that may stand there.
_UNREAD = {
    "K": "Ж", "X": "Ж", "M": "ПЖ", "N": "ПИ", "H": "И", "n": "П", "3": "ПЭЗ", "7": "П", "F": "П", "B": "Б", "6": "Б",
    "5": "Б", "T": "Г", "r": "Г", "A": "ДЛ", "D": "Д", "J": "Л", "O": "ФЭ", "0": "ФЭ", "U": "Ц", "W": "Ш", "R": "Я",
    "y": "У", "米": "Ж", "*": "Ж", "II": "П", "I1": "П", "1I": "П", "11": "П", "71": "П", "N1": "П",
}  # fmt: skip
_TWINS = str.maketrans("ABCEHKMOPTXY", "АВСЕНКМОРТХУ")
_REST = re.compile(r"[0-9]{1,2}[A-Za-z]?")
_NUMBER = re.compile(r"\S*[0-9]\S*")


def number_like(text: str) -> bool:
    """Whether something in a text may be a number of a tube: figures at all, and no date or mere figure."""
    return any(len(word) >= 3 and not _DATED.fullmatch(word) for word in _NUMBER.findall(text))


_DATED = re.compile(r"[0-9]{1,2}[-/.][0-9]{2,4}|[0-9]{1,2}")


def unread_letters(text: str) -> Iterator[str]:
    """The text in Cyrillic, where a word of it has the form of a Soviet number (``6K4``, ``6n3C``, ``6713C``).

    With a letter that a Latin reader cannot give, then with the twins of the Latin letters alone.
    """
    for word in re.finditer(r"\S+", text):
        for first in (1, 2):
            for signs in (1, 2):
                parts = word[0][:first], word[0][first : first + signs], word[0][first + signs :]
                if parts[0].isdigit() and _REST.fullmatch(parts[2]):
                    twin = parts[1].translate(_TWINS)
                    letters = _UNREAD.get(parts[1], "") + (twin if len(twin) == 1 and not twin.isascii() else "")
                    for letter in letters:
                        changed = f"{parts[0]}{letter}{parts[2].upper().translate(_TWINS)}"
                        yield f"{text[: word.start()]}{changed}{text[word.end() :]}"


def one_sign_other(text: str) -> Iterator[str]:
    """The text with one sign of its numbers read as another that looks alike; the likeliest signs first."""
    upper = text.upper()
    places = [at for match in _NUMBER.finditer(upper) for at in range(match.start(), match.end())]
    for rank in range(4):
        for at in places:
            others = _ALIKE.get(upper[at], "")
            if rank < len(others):
                yield f"{text[:at]}{others[rank]}{text[at + 1 :]}"


def dated(text: str) -> str:
    """What in the words left over beside a number has the form of a date code (8-44, 43-12); empty where nothing has.

    Week and year, month and year or year and week: figures with a stroke or hyphen between. Common practice, no source.
    """
    found = [word.strip(".,;()") for word in text.split() if re.fullmatch(r"[(]?[0-9]{1,2}[-/][0-9]{2}[).,;]?", word)]
    return found[0] if len(found) == 1 else ""
