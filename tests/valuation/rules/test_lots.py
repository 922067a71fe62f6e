"""Lots, reserves and shares of a price. How lots are made: common practice, no source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.valuation.rules.lots import JOB, SET, TOGETHER, TUBES, Offer, Socket, propose, reserve_of, share_out

D = Decimal


def tube(tag, like="807", grade="used tested good", amount=20, **said):
    money = None if amount is None else D(amount)
    return Offer(tag, "tube", like, like, grade, money, money, money, money, **said)


def tags(proposal):
    return [tuple(one.tag for one in lot.offers) for lot in proposal.lots]


def proposed(offers, bonds=(), sockets=(), size=4, spares=1):
    return propose(offers, bonds, sockets, size=size, spares=spares)


def test_a_set_goes_with_all_that_belongs_with_it_and_is_counted_once():
    chassis = Offer("C-1", "chassis", "Petrel", amount=D(200), low=D(150), high=D(250))
    book = Offer("K-1", "companion", "book", amount=D(30), counts=False)
    inside = tube("T-1", counts=False)
    found = proposed([inside, chassis, book], [("T-1", "C-1"), ("K-1", "C-1")])
    (lot,) = found.lots
    assert (lot.sort, tags(found)) == (SET, [("C-1", "K-1", "T-1")])
    assert (lot.sum("amount"), lot.sum("low"), lot.without) == (200, 150, 0)


def test_tubes_of_a_type_and_grade_go_together_in_lots_of_the_size_that_is_set():
    offers = [tube(f"T-{n}") for n in range(1, 6)] + [tube("T-6", grade="weak"), tube("T-7", like="811")]
    assert [len(lot) for lot in tags(proposed(offers, size=2))] == [2, 2, 1, 1, 1]
    assert {lot.sort for lot in proposed(offers).lots} == {TUBES}
    with pytest.raises(ValueError, match="at least 1"):
        proposed(offers, size=0)


def test_a_matched_set_is_one_lot():
    found = proposed([tube("T-1"), tube("T-2"), tube("T-3")], [("T-1", "T-2")])
    assert [(lot.sort, len(lot.offers)) for lot in found.lots] == [(TOGETHER, 2), (TUBES, 1)]


def test_duds_and_what_nobody_knows_are_job_lots():
    offers = [
        tube("T-1", grade="dud"), tube("T-2", like="811", grade="dud"), tube("T-3", like="", amount=None),
        Offer("P-1", "parts", "knob"), Offer("P-2", "parts", "crystal", amount=D(9)),
    ]  # fmt: skip
    found = proposed(offers)
    assert [(lot.sort, tuple(one.tag for one in lot.offers)) for lot in found.lots] == [
        ("single", ("P-2",)), (JOB, ("T-1", "T-2")), (JOB, ("P-1",)), (JOB, ("T-3",)),
    ]  # fmt: skip


def test_lots_of_tubes_of_small_worth_go_together_and_dear_ones_do_not():
    offers = [tube("T-1", like="6AC7", amount=4), tube("T-2", like="6H6", amount=3), tube("T-3", amount=20)]
    found = propose(offers, [], [], size=4, spares=0, job_below=D(10))
    assert [(lot.sort, tuple(one.tag for one in lot.offers)) for lot in found.lots] == [
        (TUBES, ("T-3",)), (JOB, ("T-1", "T-2")),
    ]  # fmt: skip
    assert len(propose(offers[1:], [], [], size=4, spares=0, job_below=D(10)).lots) == 2  # one alone is no job lot
    many = [tube(f"T-{n:02d}", like=f"ZZ-{n}", amount=1) for n in range(30)]
    assert [len(lot.offers) for lot in propose(many, [], [], size=4, spares=0, job_below=D(10)).lots] == [12, 12, 6]


def test_what_stays_keeps_what_belongs_with_it_and_says_why():
    offers = [
        Offer("C-1", "chassis", "Petrel", barred="promised to Orla Finch"), tube("T-1"), tube("T-2"), tube("T-3"),
    ]  # fmt: skip
    found = proposed(offers, [("T-1", "C-1"), ("T-2", "C-9")])
    assert dict(found.left_out) == {
        "C-1": "promised to Orla Finch", "T-1": "belongs with C-1, which stays: promised to Orla Finch",
        "T-2": "belongs with C-9, which is not on the list",
    }  # fmt: skip
    assert tags(found) == [("T-3",)]


def test_spares_are_kept_for_sets_that_stay_and_not_for_those_that_are_sold():
    spare = [tube("T-1"), tube("T-2", grade="unused"), tube("T-3"), tube("T-4", grade="weak")]
    sockets = [Socket("C-1", "V1", "807", False), Socket("C-1", "V2", "807", True)]
    found = proposed(spare, sockets=sockets)
    assert dict(found.left_out) == {
        "T-2": "kept for the empty position V2 of C-1", "T-1": "kept as a spare for V1 of C-1",
    }  # fmt: skip
    assert not proposed([*spare, Offer("C-1", "chassis", "Petrel")], sockets=sockets).left_out
    assert len(proposed(spare, sockets=sockets, spares=0).left_out) == 1


def test_a_reserve_is_a_share_of_the_low_end_in_round_figures():
    assert reserve_of(D("123.40"), D(80)) == D("98.00")
    assert reserve_of(D("9.90"), D(80)) == D("7.50") and reserve_of(D("0.20"), D(80)) is None
    assert reserve_of(None, D(80)) is None


def test_a_price_is_shared_by_value_or_evenly_or_not_at_all():
    three = [tube("T-1"), tube("T-2"), tube("T-3")]
    assert share_out(D("100"), three) == {"T-1": D("33.34"), "T-2": D("33.33"), "T-3": D("33.33")}
    whole = [Offer("C-1", "chassis", "Petrel", amount=D(300)), tube("T-1", amount=100), tube("T-2", counts=False)]
    assert share_out(D("200"), whole) == {"C-1": D(150), "T-1": D(50)}
    assert share_out(D("200"), [*whole, tube("T-9", like="811", amount=None)]) == {}
    assert share_out(D("0.01"), three) == {} and share_out(D(5), []) == {}


@given(
    st.decimals(D("0.01"), D("99999"), places=2),
    st.lists(st.decimals(D("0.01"), D("5000"), places=2), min_size=1, max_size=30),
)
def test_shares_add_up_to_the_price(price, amounts):
    shares = share_out(price, [tube(f"T-{n}", like=f"type {n}", amount=one) for n, one in enumerate(amounts)])
    assert not shares or (sum(shares.values()) == price and min(shares.values()) > 0)


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), max_size=14), st.integers(1, 5))
def test_every_thing_is_in_one_lot_or_left_out_and_never_without_its_mates(pairs, size):
    offers = [tube(f"T-{n}", grade="dud" if n % 4 == 0 else "unused", barred="lent" * (n == 7)) for n in range(13)]
    bonds = [(f"T-{one}", f"T-{other}") for one, other in pairs if one != other]
    found = proposed(offers, bonds, size=size)
    sold = [tag for lot in tags(found) for tag in lot]
    assert sorted([*sold, *(tag for tag, _ in found.left_out)]) == sorted(one.tag for one in offers)
    where = {tag: number for number, lot in enumerate(tags(found)) for tag in lot}
    assert all(where.get(one) == where.get(other) for one, other in bonds)
