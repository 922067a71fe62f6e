"""Candidates from lines as readers of pictures give them. The stamp reader is a table here; no database, no picture."""

import pytest

from inventory.holdings.rules.photo_candidates import MOST_CANDIDATES, Against, Made, candidates
from tests.holdings.photographs import line

SIZE = (1000, 1000)
#: What each text settles, as the reader of stamps has it in the house's tables.
TYPES = {
    "6SN7GT": "6SN7GT", "VT-231": "6SN7GT", "807": "807", "6H6": "6H6", "832A": "832A", "6K4": "6SG7", "6Ж4": "6AC7",
    "6AC7": "6AC7", "1852": "6AC7", "813": "813", "50": "50",
}  # fmt: skip
SAME = {"6SN7GT": {"VT-231"}, "6AC7": {"1852"}}


def read(text):
    """All words that the table knows: one type settles, two are two meanings."""
    words = [word for word in text.replace("VT -", "VT-").split() if word in TYPES]
    types = list(dict.fromkeys(TYPES[word] for word in words))
    settled = types[0] if len(types) == 1 else None
    return Made(settled, frozenset(SAME.get(settled, ())), tuple(types))


def found(*lines, second=None):
    return candidates(lines, SIZE, read, (lambda one: second) if second is not None else None)


def test_the_whole_stamp_is_the_text_and_nothing_speaks_against_it():
    (one,) = found(line("NORDLYS", top=300), line("6SN7GT", top=350), line("8-44", top=400)).found
    assert one.text == "NORDLYS 6SN7GT 8-44" and one.made.type == "6SN7GT" and one.clear
    assert one.box == (300, 300, 468, 440) and one.score == 0.99


def test_a_number_split_over_two_boxes_is_joined():
    (one,) = found(line("VT", left=300), line("-231", left=360)).found
    assert one.made.type == "6SN7GT"


def test_two_numbers_of_one_tube_are_one_candidate():
    (one,) = found(line("6AC7", top=300), line("1852", top=350)).found
    assert one.text == "6AC7 1852" and one.made.type == "6AC7"


def test_two_types_that_touch_are_two_candidates():
    got = found(line("807", top=300), line("6H6", top=350)).found
    assert [one.text for one in got] == ["807", "6H6"] and [one.beside for one in got] == [("6H6",), ("807",)]


def test_several_tubes_are_a_candidate_each():
    got = found(line("807", left=50), line("6H6", left=400), line("813", left=700)).found
    assert [one.made.type for one in got] == ["807", "6H6", "813"]


def test_a_look_alike_is_offered_and_mended_by_nobody():
    (one,) = found(line("65N7GT")).found
    assert one.text == "65N7GT" and one.made.type is None and Against.OPEN in one.against
    assert ("6SN7GT", "6SN7GT") in [(other.text, other.type) for other in one.others]


def test_a_weak_line_is_not_clear():
    (one,) = found(line("832A", score=0.9)).found
    assert one.made.type == "832A" and one.against == (Against.WEAK,)


def test_a_weak_word_in_the_text_is_doubt_too():
    """It goes into the register with the number."""
    (one,) = found(line("NORDLYS", top=300, score=0.7), line("6SN7GT", top=350)).found
    assert one.against == (Against.WORDS,) and one.score == 0.7 and one.unsure == ("NORDLYS",)


def test_a_number_that_stands_there_twice_is_two_candidates_and_told():
    for lines in ([line("807", top=300), line("807", top=350)], [line("807 807")]):
        got = found(*lines, line("8-44", top=380)).found
        assert [(one.text, one.against) for one in got] == [("807", (Against.TWICE,))] * 2
        assert got[0].box != got[1].box and "8-44" in got[0].unsure  # whose date it is nobody knows


def test_another_name_of_the_same_number_is_no_second_tube():
    (one,) = found(line("6AC7", top=300), line("1852", top=350)).found
    assert one.clear


def test_what_is_too_much_to_be_looked_through_is_told():
    spots = [line("807", left=20 + 120 * (at % 8), top=20 + 150 * (at // 8)) for at in range(MOST_CANDIDATES + 2)]
    got = found(*spots)
    assert len(got.found) == MOST_CANDIDATES and got.more == ("807", "807")


def test_a_date_code_is_looked_at_twice():
    (one,) = found(line("6SN7GT", top=300), line("8-44", top=350), second="8-41").found
    assert not one.clear and one.unsure == ("8-44",)


def test_a_latin_letter_in_place_of_a_cyrillic_one_is_never_clear():
    """6Ж4 (6AC7) is read from pictures as 6K4, with a score of 0.98: the wrong tube, and surely so."""
    (one,) = found(line("6K4", score=0.999)).found
    assert one.made.type == "6SG7" and one.against == (Against.CYRILLIC,)
    assert [(other.text, other.type) for other in one.others] == [("6Ж4", "6AC7")]


@pytest.mark.parametrize("where", [{"left": 0}, {"top": 0}, {"left": 930}, {"top": 960}])
def test_what_reaches_the_edge_may_go_on_outside(where):
    assert Against.EDGE in found(line("807", **where)).found[0].against


def test_a_second_look_that_reads_otherwise_is_told():
    assert found(line("807"), second="8O7").found[0].against == (Against.SECOND,)
    assert found(line("VT-231"), second="vt 231").found[0].clear


def test_two_figures_may_be_the_end_of_a_longer_number():
    """Of EF50 under a streak of light the 50 alone was read, with a score of 1: and the 50 is another tube."""
    assert found(line("50", score=1.0)).found[0].against == (Against.SHORT,)


def test_words_alone_are_no_candidate_and_are_told():
    got = found(line("ELECTRON", top=300), line("TUBE", top=350))
    assert got.found == () and got.words == ("ELECTRON", "TUBE") and got.unread == 0


def test_what_the_reader_is_unsure_of_counts_as_print_that_was_not_read():
    got = found(line("807", score=0.3), line("..", top=700))
    assert got.found == () and got.words == () and got.unread == 2


def test_the_settled_stand_first():
    got = found(line("QX-99", left=50), line("807", left=600))
    assert [one.text for one in got.found] == ["807", "QX-99"] and got.settled == 1


def test_nothing_at_all():
    got = found()
    assert got.found == () and got.words == () and got.unread == 0
