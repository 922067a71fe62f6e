"""Estimates from the rows in the house: what counts, what is left out and why, on which basis; exact keys of commands.

Bases of value beside the texts that state them (26 CFR 20.2031-1(b) for fair market value: not a forced-sale price, and
in the market of sales to the public). Rates are the euro reference rates of the day, as published.
"""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.holdings.models import Fact
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.estimates import estimate, value_backtest
from inventory.valuation.queries.going import going
from inventory.valuation.rules.bases import FORCED_SALE, REPLACEMENT
from inventory.valuation.rules.words import GRADES
from inventory.valuation.wording.estimates import as_json, in_words
from tests.commands import answer_of, refused, told
from tests.counting import cost
from tests.factories import ChassisFactory, DesignationFactory, TubeFactory, TubeTypeFactory, days_ago
from tests.valuation.rows import EvidenceFactory
from tubes.models import Rating

pytestmark = pytest.mark.django_db
DAY, ON = date(2025, 3, 14), date(2026, 11, 30)
PROMISED = [
    "type", "grade", "basis", "on", "currency", "amount", "low", "high", "comparables", "pooled_from", "left_out",
    "evidence", "text",
]  # fmt: skip


def sold(of, /, *amounts, **said):
    """Sales of a type, one a day."""
    start = {"designation": of.name, "type": of, "on": DAY} | said
    return [
        EvidenceFactory(**start | {"on": start["on"] + timedelta(number), "amount": Decimal(str(amount))})
        for number, amount in enumerate(amounts)
    ]


@pytest.fixture
def kind():
    return TubeTypeFactory(name="ZZ7GT")


def test_without_evidence_no_amount(kind):
    found = estimate("ZZ7GT", on=ON)
    assert (found.amount, found.low, found.high, found.comparables) == (None, None, None, ())
    assert "no evidence" in in_words(found)[0]
    assert list(as_json(found))[: len(PROMISED)] == PROMISED and as_json(found)["amount"] is None


def test_where_only_relatives_were_sold_they_are_named_and_no_amount_is(kind):
    other = TubeTypeFactory(name="ZZ7WGT")
    DesignationFactory(type=kind, scheme="type-name", designation="ZZ7WGT", relation="ruggedized")
    sold(other, 30, 31)
    found = estimate("ZZ7GT", on=ON)
    assert found.amount is None and found.sold_relatives == (("ZZ7WGT", 2),)
    assert "ZZ7WGT (2)" in " ".join(in_words(found))
    sold(kind, 20)
    assert estimate("ZZ7GT", on=ON).sold_relatives == ()


def test_fewer_than_five_are_a_list_and_a_range(kind):
    rows = sold(kind, 20, 22, 30)
    found = estimate("ZZ7GT", on=ON, grade="unused")
    assert (found.low.figure, found.high.figure, found.interval) == ("20.00", "30.00", False)
    assert 20 < found.amount.amount < 30
    assert [one.brought.sale.row for one in found.comparables] == [row.pk for row in rows]
    assert "3 comparables, fewer than the 5" in " ".join(in_words(found))


def test_from_five_on_an_interval(kind):
    sold(kind, 18, 20, 21, 22, 24, 30)
    found = estimate("ZZ7GT", on=ON)
    assert found.interval and found.low < found.amount < found.high
    assert found.grade == "unused" and not found.grade_named
    assert "No grade was named" in " ".join(in_words(found))


def test_what_does_not_count_is_named_with_its_reason(kind):
    sold(kind, 20, 21)
    asked = sold(kind, 90, kind="asking")[0]
    later = sold(kind, 50, on=date(2026, 12, 24))[0]
    friends = sold(kind, 1, arms_length="no")[0]
    old = sold(kind, 400, on=date(1987, 5, 1), currency="USD")[0]
    answer = as_json(estimate("ZZ7GT", on=ON))
    left = {one["row"]: one["reason"] for one in answer["left_out"]}
    assert set(left) == {asked.pk, later.pk, friends.pk, old.pk}
    assert left[asked.pk] == "asked, not sold" and left[later.pk] == "dated after the valuation date"
    assert left[friends.pk] == "not at arm's length" and "begin in January 1999" in left[old.pk]
    assert answer["comparables"] == 2 and [one["row"] for one in answer["asking"]] == [asked.pk]


def test_struck_rows_are_no_evidence(kind):
    row = sold(kind, 20)[0]
    PriceEvidence.objects.filter(pk=row.pk).update(struck="twice")
    assert estimate("ZZ7GT", on=ON).amount is None


def test_an_earlier_day_knows_nothing_of_later_ones(kind):
    sold(kind, 20, 21, 22)
    before = as_json(estimate("ZZ7GT", on=date(2025, 12, 31)))
    sold(kind, 500, 600, 700, on=date(2026, 2, 1))
    after = as_json(estimate("ZZ7GT", on=date(2025, 12, 31)))
    assert [after[key] for key in ("amount", "low", "high", "comparables")] == [
        before[key] for key in ("amount", "low", "high", "comparables")
    ]


def test_the_premium_belongs_to_the_price_and_the_amount_is_for_all_of_them(kind):
    sold(kind, 60, quantity=3, premium_pct=Decimal(25))
    assert estimate("ZZ7GT", on=ON).amount.figure == "25.00"


def test_another_currency_by_the_rate_of_the_day(kind):
    sold(kind, "108.85", currency="USD", on=date(2015, 8, 6))  # that day a euro was 1.0885 dollars, as published
    found = estimate("ZZ7GT", on=ON)
    assert found.amount.figure == "100.00" and "1.0885" in found.comparables[0].brought.by[0]
    assert estimate("ZZ7GT", on=ON, currency="USD").amount.figure == "108.85"


def test_a_military_mark_of_the_same_tube_is_evidence_for_it(kind):
    DesignationFactory(type=kind, scheme="us-vt", designation="VT-998")
    sold(kind, 20, 21, 22, designation="VT-998")
    assert estimate("VT-998", on=ON).name == "ZZ7GT"
    assert len(estimate("ZZ7GT", on=ON).comparables) == 3


def test_a_set_by_its_model_and_a_mark_that_settles_nothing_by_itself():
    model = ChassisFactory().model
    EvidenceFactory(type=None, set_model=model, designation=model.name, grade="used untested", amount=Decimal(450))
    EvidenceFactory(type=None, designation="ZZ odd 12", amount=Decimal(8))
    assert estimate(model.name.lower(), on=ON).amount.figure == "450.00"
    odd = estimate("zz-odd 12", on=ON)
    assert odd.amount.figure == "8.00" and odd.what == "mark"
    with pytest.raises(ValueError, match="not in the tables"):
        estimate("ZZ odd 13", on=ON)


def test_a_set_model_whose_name_holds_the_number_of_a_tube_is_the_set():
    TubeTypeFactory(name="42")
    model = ChassisFactory(model__name="Petrel 42").model
    EvidenceFactory(type=None, set_model=model, designation=model.name, grade="used untested", amount=Decimal(450))
    assert estimate("petrel 42", on=ON).what == "set model"
    assert estimate("42", on=ON).what == "tube"


def test_what_duds_among_tubes_are_worth_says_nothing_of_sets():
    model = ChassisFactory().model
    for amount, grade in ((400, "dud"), (420, "dud"), (450, "used untested")):
        EvidenceFactory(type=None, set_model=model, designation=model.name, grade=grade, amount=Decimal(amount))
    kind = TubeTypeFactory(name="ZZ7GT")
    sold(kind, *[20] * 9)
    sold(kind, *[1] * 9, grade="dud")
    found = estimate(model.name, on=ON)
    assert found.grade == "dud" and 400 <= found.amount.amount <= 450  # the commonest of its own
    assert 400 <= found.amount.amount <= 420 and len(found.comparables) == 2
    better = estimate(model.name, on=ON, grade="unused")  # two duds say nothing of it
    assert (
        better.amount.figure == "450.00"
        and [why for _, why in better.left_out]
        == ["such ones are a market of their own, and say nothing of working ones"] * 2
    )
    assert estimate("ZZ7GT", on=ON, grade="dud").amount.figure == "1.00"


def test_a_premium_for_a_military_mark_counts_where_one_was_typed(kind):
    for number in range(8):
        one = TubeTypeFactory(name=f"ZZ{number}Y")
        DesignationFactory(type=one, scheme="us-vt", designation=f"VT-99{number}")
        sold(one, 10 + number, 10.5 + number, 10.2 + number)
        sold(one, 2 * (10 + number), 2.1 * (10 + number), designation=f"VT-99{number}")
    plain, marked = estimate("ZZ3Y", on=ON), estimate("VT-993", on=ON)
    assert marked.mark == "military" and "military mark" in in_words(marked)[0]
    assert float(marked.amount.amount / plain.amount.amount) == pytest.approx(2, rel=0.05)
    assert "Of military marks: " in " ".join(in_words(plain))


def test_the_keepers_own_purchase_is_evidence(kind):
    tube = TubeFactory(type=kind, marked="ZZ7GT", acquired_on=DAY)
    Fact.objects.create(item=tube.item, about="paid", value=Decimal(12), currency="EUR", per="each", text="12 EUR")
    answer = as_json(estimate("ZZ7GT", on=ON))
    assert answer["amount"] == "12.00" and answer["evidence"][0]["own"] is True
    assert answer["evidence"][0]["row"].startswith("own: paid for")


def test_a_purchase_without_a_day_is_told_and_does_not_count(kind):
    for day, word in ((DAY, ""), (None, ""), (None, "2019")):
        tube = TubeFactory(type=kind, marked="ZZ7GT", acquired_on=day)
        Fact.objects.create(item=tube.item, about="paid", value=Decimal(12), currency="EUR", per="each", text="12 EUR")
        if word:
            Fact.objects.create(item=tube.item, about="acquired", text=word, first=date(2019, 1, 1), precision="year")
    answer = as_json(estimate("ZZ7GT", on=ON))
    assert answer["comparables"] == 1 and len(answer["left_out"]) == 2
    assert {one["reason"].partition(":")[0] for one in answer["left_out"]} == {"no day of purchase"}
    assert answer["left_out"][0]["row"].startswith("own: paid for ")


def test_a_purchase_keeps_the_grade_with_which_the_tube_came_in(kind):
    tube = TubeFactory(type=kind, marked="ZZ7GT", acquired_on=DAY, state="good")
    Fact.objects.create(item=tube.item, about="paid", value=Decimal(12), currency="EUR", per="each", text="12 EUR")
    tube.state, tube.condition = "weak", "base loose"
    tube.save()
    assert [one["grade"] for one in as_json(estimate("ZZ7GT", on=ON))["evidence"]] == ["used tested good"]


def test_sales_that_are_lost_for_lack_of_a_rate_are_told_first(kind):
    sold(kind, 20, 21)
    sold(kind, 40, currency="USD", on=date(2200, 1, 5))
    words = in_words(estimate("ZZ7GT", on=date(2200, 2, 1)))
    assert words[1].startswith("1 sale is not in it for lack of a rate of exchange: the rates that are here end on ")
    assert "RATES_FILE" in words[1]


def test_a_valuation_date_to_come_is_told(kind):
    sold(kind, 20, 21)
    assert "That day is to come" in " ".join(in_words(estimate("ZZ7GT", on=days_ago(-30))))
    assert "to come" not in " ".join(in_words(estimate("ZZ7GT", on=days_ago(0))))


# --- bases ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def markets():
    """Ten types, each sold at auction, by dealers at twice of that and in estate lots at half."""
    kinds = [TubeTypeFactory(name=f"ZZ{number}GT") for number in range(10)]
    for number, one in enumerate(kinds):
        level = 10 * (number + 1)
        sold(one, level, level * 1.1, level * 0.95, level * 1.02)
        sold(one, 2 * level, 2.1 * level, venue="dealer", postage=Decimal(level))
        sold(one, 0.5 * level, 0.52 * level, venue="estate lot")
    return kinds


def test_each_basis_has_its_market(markets):
    fair, replacement, forced = (
        estimate("ZZ4GT", on=ON, basis=basis) for basis in ("fair-market", REPLACEMENT, FORCED_SALE)
    )
    assert fair.market.venue == "auction" and float(fair.amount.amount) == pytest.approx(51, rel=0.05)
    assert replacement.market.venue == "dealer"
    assert float(replacement.amount.amount) == pytest.approx(153, rel=0.05)  # with the postage, another 50
    assert forced.market.venue == "estate lot" and float(forced.amount.amount) == pytest.approx(25.5, rel=0.05)
    assert "sold at once" in " ".join(in_words(forced))


def test_no_haircut_is_presumed(kind):
    sold(kind, 20, 21, 22, 23, 24, venue="fair")
    fair, forced, replacement = (
        estimate("ZZ7GT", on=ON, basis=basis) for basis in ("fair-market", FORCED_SALE, REPLACEMENT)
    )
    assert fair.amount == forced.amount == replacement.amount
    assert "does not tell a forced-sale level" in " ".join(in_words(forced))
    assert "does not tell a dealer's level" in " ".join(in_words(replacement))


def test_a_better_grade_without_evidence_is_taken_as_equal_and_said_so(kind):
    sold(kind, 20, 21, 22, 23, 24, 25)
    sold(TubeTypeFactory(name="ZZ8GT"), 2, 2.1, 2.2, 2.3, 2.4, grade="unused boxed")
    found = estimate("ZZ7GT", on=ON, grade="unused boxed")
    assert found.amount == estimate("ZZ7GT", on=ON, grade="unused").amount
    assert "taken as equal" in " ".join(in_words(found))


@pytest.mark.parametrize("grade", ["used tested good", "used untested", "weak", "dud"])
def test_a_grade_worse_than_all_that_sales_bear_has_no_amount_but_what_better_ones_fetch_at_most(kind, grade):
    sold(kind, 20, 21, 22, 23, 24)
    found = estimate("ZZ7GT", on=ON, grade=grade)
    answer = as_json(found)
    assert [answer[key] for key in ("amount", "low", "high", "comparables")] == [None, None, "21.98", 5]
    assert f"does not tell what {grade} ones fetch; unused ones fetch 21.98 EUR: at most that" in answer["text"]
    assert "no evidence" not in answer["text"] and {one["levelled"] for one in answer["evidence"]} >= {"20.00"}


def test_a_few_duds_tell_no_price_of_duds_but_never_that_of_good_ones(kind):
    sold(kind, *[20] * 9)
    sold(TubeTypeFactory(name="ZZ8GT"), 30, 31)
    sold(TubeTypeFactory(name="ZZ9GT"), 2, 2.1, grade="dud")
    sold(kind, 1, 2, grade="dud")
    found = estimate("ZZ7GT", on=ON, grade="dud")
    assert found.amount.figure == "1.41" and (found.low.figure, found.high.figure) == ("1.00", "2.00")  # its own duds
    assert [sale.grade for sale, why in found.left_out if "no step from working ones" in why] == ["unused"] * 9
    told = next(one for one in found.factors if one.word == "dud")
    assert told.rows == 4 and "2 of at least 5 rows, 1 of at least 2 types" in told.why and told.times is None
    good = estimate("ZZ7GT", on=ON)
    assert good.amount.figure == "20.00" and len(good.comparables) == 9 and len(good.left_out) == 2
    none = estimate("ZZ8GT", on=ON, grade="dud")
    assert none.amount is None and none.high == estimate("ZZ8GT", on=ON, grade="unused").amount
    assert float(estimate("ZZ9GT", on=ON, grade="dud").amount.amount) < 5  # its own sales are of duds
    assert estimate("ZZ9GT", on=ON, grade="unused").amount is None


def test_why_a_working_one_has_no_amount_where_only_duds_were_sold(kind):
    """The middle of all averages of 5, 6, 7 on logarithms: the median of 5, 5.48, 5.92, 6, 6.48, 7 by hand, 5.96."""
    sold(kind, 5, 6, 7, grade="dud")
    sold(TubeTypeFactory(name="ZZ8GT"), 20, 21, 22)
    for grade in ("unused", ""):
        answer = as_json(estimate("ZZ7GT", on=ON, grade=grade))
        assert [answer[key] for key in ("amount", "low", "high", "comparables")] == [None, "5.96", None, 3]
        assert "No working one was sold; 3 dud ones were, 5.00 EUR to 7.00 EUR: at least that" in answer["text"]
    assert going(["ZZ7GT"], ON)["ZZ7GT"].as_dict()["top_price"] is None
    told = next(one for one in answer["factors"] if one["word"] == "dud")
    assert (told["times"], told["shown"], told["against"]) == (None, None, "unused")


def test_what_is_at_most_names_the_sales_that_it_is_read_off(kind):
    sold(kind, *range(45, 54))
    sold(kind, 9, 11, grade="weak")
    found = estimate("ZZ7GT", on=ON, grade="dud")
    assert "weak ones fetch 9.95 EUR: at most that" in " ".join(in_words(found))
    assert [one.brought.sale.grade for one in found.comparables] == ["weak"] * 2 and len(found.left_out) == 9
    assert not {one.brought.sale.row for one in found.comparables} & {sale.row for sale, _ in found.left_out}


def test_a_figure_that_is_held_down_says_so(kind):
    sold(kind, *[50] * 8)
    sold(kind, 90, 91, grade="weak")
    answer = as_json(estimate("ZZ7GT", on=ON, grade="weak"))
    assert (answer["amount"], answer["high"], answer["held_down_to"]) == ("50.00", "50.00", "unused")
    assert "Held down to what unused ones fetch: a worse grade is never dearer" in answer["text"]
    assert "By its own sales it would be 90.50 EUR" in answer["text"] and "their range" not in answer["text"]


# --- commands ---------------------------------------------------------------------------------------------------------


def test_a_grade_that_no_sale_bears_is_named_as_such(kind):
    sold(kind, 20, 22, 30)
    words = " ".join(in_words(estimate("ZZ7GT", on=ON, grade="unused boxed")))
    assert "The grade unused boxed: no sale bears it: taken as equal to unused." in words
    assert "no sale bears it" not in " ".join(in_words(estimate("ZZ7GT", on=ON, grade="unused")))


def test_a_type_alone_in_its_kind_leans_on_no_kind(kind):
    other = TubeTypeFactory(name="ZZ9")
    for one, word in ((kind, "triode"), (other, "rectifier")):
        Rating.objects.create(type=one, kind=word)
    sold(kind, 20, 22, 30)
    sold(other, 5)
    answer = as_json(estimate("ZZ9", on=ON))
    assert answer["pooled_from"] == ["all other kinds together"] and answer["shares"]["kind"] == 0
    assert sum(answer["shares"].values()) == pytest.approx(1, abs=0.002)


def test_estimate_command(kind):
    sold(kind, 18, 20, 21, 22, 24, 30)
    answer, beside = answer_of("estimate", "ZZ7GT", "--grade", "unused", "--on", "2026-11-30")
    assert list(answer)[: len(PROMISED)] == PROMISED and beside == ""
    assert (answer["grade"], answer["basis"], answer["on"]) == ("unused", "fair-market", "2026-11-30")
    assert Decimal(answer["low"]) < Decimal(answer["amount"]) < Decimal(answer["high"])
    assert answer["text"].startswith(f"ZZ7GT, unused, fair market value on 2026-11-30: {answer['amount']} EUR.")
    assert "levelled" in told("estimate", "ZZ7GT")
    assert answer_of("estimate", "ZZ7GT", "--real", "--half-life", "5")[0]["real"] is True


def test_estimate_refuses(kind):
    assert "is not in the tables" in refused("estimate", "ZZ-unheard-of")
    assert "expected YYYY-MM-DD" in refused("estimate", "ZZ7GT", "--on", "soon")
    assert "--currency: " in refused("estimate", "ZZ7GT", "--currency", "EUX")
    assert "--currency: no code" in refused("estimate", "ZZ7GT", "--currency", "")
    assert "at most 1000 years" in refused("estimate", "ZZ7GT", "--half-life", "0")


def test_backtest_command(markets):
    answer, _ = answer_of("value_backtest", "--on", "2026-11-30")
    assert list(answer)[:5] == ["rows", "coverage_80", "mape_median", "baseline_mape_median", "n_types"]
    assert (answer["rows"], answer["n_types"]) == (80, 10)
    assert answer["mape_median"] < 0.75 * answer["baseline_mape_median"]
    assert "80 sales of 10 types" in told("value_backtest")


def test_backtest_without_evidence():
    answer, _ = answer_of("value_backtest")
    assert answer["rows"] == 0 and answer["coverage_80"] is None and answer["mape_median"] is None


def test_more_evidence_takes_no_more_queries(kind):
    sold(kind, *range(10, 20))
    few = cost(lambda: estimate("ZZ7GT", on=ON)), cost(lambda: value_backtest("EUR", ON))
    for number in range(10):
        sold(TubeTypeFactory(name=f"ZY{number}"), 5, 6, grade=GRADES[number % 6])
    assert (cost(lambda: estimate("ZZ7GT", on=ON)), cost(lambda: value_backtest("EUR", ON))) == few
