"""Words that contradict each other are told, and none is chosen. All words are invented."""

from inventory.sets.rules.stand_ins import StandInWord, differing, same_part


def word(key, serves=True, part="V7", instead="silicon in a base", general=""):
    return StandInWord(key, part, instead, serves, general)


def test_the_contrary_of_the_same_thing_at_the_same_part():
    assert differing([word(1), word(2, serves=False, instead="Silicon  in a BASE")]) == {1, 2}
    assert differing([word(1), word(2), word(3, serves=False)]) == {1, 2, 3}


def test_by_the_general_entry_too():
    first = word(1, instead="diodes", general="rectifier-tube-silicon")
    other = word(2, serves=False, instead="silicon pair", general="rectifier-tube-silicon")
    assert differing([first, other]) == {1, 2}


def test_another_part_or_another_thing_is_no_contrary():
    assert differing([word(1), word(2, serves=False, part="V8")]) == frozenset()
    assert differing([word(1), word(2, serves=False, instead="an adapter")]) == frozenset()
    assert differing([word(1), word(2)]) == frozenset() == differing([])


def test_a_part_is_known_by_its_circuit_mark():
    assert same_part("LS1 loudspeaker with a field coil", "new LS1") and same_part("C31, C32", "C32 filter")
    assert not same_part("LS1 loudspeaker", "LS10 loudspeaker") and not same_part("loudspeaker", "loudspeaker")
