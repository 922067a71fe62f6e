"""Parts add up to the whole. Check values: collections.Counter of the standard library, over made collections."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from inventory.figures.rules.parts import Part, gathered, largest_first, under

MAKERS = st.lists(st.sampled_from(["", "Ardway", "Brill & Söhne", "Завод Пример", *(f"maker {n}" for n in range(40))]))


def parts_of(makers):
    counts = Counter(makers)
    return [Part(name or "not known", count, (("only", name),), not name) for name, count in counts.items()]


@given(MAKERS, st.integers(2, 12))
def test_parts_add_up_however_many_are_gathered(makers, most):
    found = gathered(largest_first(parts_of(makers)), most)
    assert sum(one.count for one in found) == len(makers)
    assert sum(not one.unknown for one in found) <= most


@given(MAKERS)
def test_the_largest_come_first_and_what_is_not_known_last(makers):
    found = largest_first(parts_of(makers))
    known = [one.name for one in found if not one.unknown]
    counts = Counter(maker for maker in makers if maker)
    assert known == [name for name, _ in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))]
    assert [one.count for one in found if one.unknown] == [makers.count("")] * ("" in makers)


def test_forty_makers_are_eleven_and_the_others():
    parts = largest_first([Part(f"maker {n:02}", 100 - n) for n in range(40)] + [Part("none given", 7, unknown=True)])
    found = gathered(parts, 12, lambda kept: (("but", str(len(kept))),))
    assert [one.name for one in found[:2]] == ["maker 00", "maker 01"] and len(found) == 13
    assert found[11] == Part("29 others", sum(100 - n for n in range(11, 40)), (("but", "11"),), gathered=29)
    assert found[12].unknown and found[12].count == 7


def test_twelve_makers_all_have_room():
    parts = largest_first([Part(f"maker {n}", 1) for n in range(12)])
    assert gathered(parts, 12) == list(parts)


TREE = {1: None, 2: 1, 3: 1, 4: 2, 5: None}


def test_a_place_counts_what_lies_below_it():
    counts = {1: 1, 2: 2, 3: 4, 4: 8, 5: 16}
    assert under(counts, TREE) == ({1: 15, 5: 16}, 0)
    assert under(counts, TREE, 1) == ({2: 10, 3: 4}, 1)
    assert under(counts, TREE, 4) == ({}, 8)


@given(st.dictionaries(st.integers(2, 20), st.integers(0, 5)), st.data())
def test_nothing_is_lost_between_a_place_and_what_is_inside(counts, data):
    tree = {1: None} | {n: data.draw(st.integers(1, n - 1)) for n in range(2, 21)}
    counts = {1: 3} | counts
    whole = under(counts, tree)[0]
    inside, directly = under(counts, tree, 1)
    assert whole == {1: sum(counts.values())}
    assert sum(inside.values()) + directly == whole[1]
