"""The figures as a page and as paper: each drawn, and in a table below that leads to the lists."""

from collections.abc import Callable, Sequence
from decimal import Decimal

from inventory.figures.queries import Counted, Few, Figures, Money, TestsOf
from inventory.figures.queries.money import NotIn
from inventory.figures.rules.parts import Part
from inventory.figures.rules.years import ACQUIRED, NOTHING, Growth, Line, Year, latest
from inventory.figures.wording import drawn
from inventory.figures.wording.entries import YEARS, Entry, by_place, by_year
from inventory.figures.wording.leads import Lead, good_of, leads, list_of_tests, places_inside, tubes_where
from inventory.holdings.models import Place
from inventory.holdings.queries.amounts import NO_CURRENCY
from inventory.house.bars import Bars
from inventory.house.printed import Block, Cell, Drawing, Printed, Rows, Section, Words, table

HERE = "Of the things here now"
BELOW = "drawn as one; each of them below"
EMPTY = "Nothing is in the register yet."


def printed(found: Figures) -> Printed:
    """All of it, as pieces of a page or a paper."""
    lines = [f"{found.growth.here:,} things are in the register on {found.on}, {found.all_tubes:,} of them tubes."]
    if found.within:
        lines.append(f"By place: inside {found.within.path}.")
    sections = [_of_tubes(one) for one in found.tubes if one.parts]
    sections += [_few(found.few, found.enough)] if found.few else []
    sections += [_growth(found.growth)] if found.growth.years or found.growth.undated else []
    sections += [_tests(found.tests)] if found.tests else []
    sections += _spent(found.spent) if found.spent else []
    sections += _insured(found.insured, found) if found.insured else []
    opening = () if found.growth.here or found.growth.left else (Words((EMPTY,)),)
    return Printed("The collection in figures", tuple(lines), tuple(sections), opening)


def _drawing(bars: Bars | None) -> tuple[Block, ...]:
    return (Drawing(bars),) if bars else ()


def _of_tubes(found: Counted) -> Section:
    rows = [(Cell(one.name, address=_inside(one)), _linked(one.count, tubes_where(one.where))) for one in found.parts]
    for at, one in enumerate(found.drawn):
        if one.gathered:
            together = tubes_where(one.where) if one.where else ""
            below = Cell(f"{one.name} together", (BELOW,))
            rows.insert(at, (below, _linked(one.count, together)))
    ledger = table(
        ((found.head, 0.8), ("Tubes", 0.2)),
        rows,
        figures=["Tubes"],
        first_names=True,
        total=(Cell("All"), Cell(f"{found.total:,}")),
    )
    return Section(found.title, (*_drawing(drawn.of_parts(found)), ledger))


def _inside(part: Part) -> str:
    return places_inside(part.below) if part.below else ""


def _linked(count: int, address: str) -> Cell:
    return Cell(f"{count:,}", address=address)


def _few(found: Sequence[Few], enough: int) -> Section:
    rows = []
    for one in found:
        ways = [
            (f"{count:,} {name}" if len(one.names) > 1 else f"{count:,}", good_of(name) if count else "")
            for name, count in one.names
        ]  # fmt: skip
        rows.append((
            Cell(one.name), Cell(links=tuple(ways), small=(one.said.told,) if one.said else ()),
            _some(one.untested), _some(one.needy), _some(one.positions), _some(one.wanted),
        ))  # fmt: skip
    columns = (
        ("Type", 0.26), ("Good on the shelf", 0.24), ("Untested there", 0.12), ("Positions that want one", 0.14),
        ("Positions in all", 0.12), ("Wanted", 0.12),
    )  # fmt: skip
    heads = [name for name, _ in columns[1:]]
    hint = (
        f"{len(found)} types that are here, that a set calls for, or that are wanted. The same tube under several "
        "numbers counts together. What is lent, here on loan, was not found or sits in a set is none of them."
    )
    ledger = table(columns, rows, figures=heads, first_names=True)
    return Section(f"Fewer than {enough} good", (*_drawing(drawn.of_few(found, enough)), ledger), hint)


def _some(count: int) -> Cell:
    return Cell(f"{count:,}" if count else "")


def _growth(found: Growth) -> Section:
    rows = [
        (Cell(str(one.year)), _some(one.acquired), _some(one.entered), _some(one.left), Cell(f"{one.here:,}"),
         Cell(links=_links(still(one))))
        for one in drawn.every_year(found)
    ]  # fmt: skip
    if found.undated:
        here = leads(found.undated_here, ("came", "acquired-unknown"), ("came", "entered-unknown"))
        rows.insert(0, (Cell("year not known"), Cell(), _some(found.undated), Cell(), Cell(f"{found.undated:,}"),
                        Cell(links=_links(here))))  # fmt: skip
    columns = (
        ("Year", 0.12), ("Came, acquired", 0.12), ("Came, by entry", 0.12), ("Left", 0.09), ("There at its end", 0.14),
        ("Of what came then, here now", 0.41),
    )  # fmt: skip
    heads = [name for name, _ in columns[1:5]]
    ledger = table(columns, rows, figures=heads, first_names=True, total=(
        Cell("All"), Cell(f"{sum(one.acquired for one in found.years):,}"),
        Cell(f"{sum(one.entered for one in found.years) + found.undated:,}"), Cell(f"{found.left:,}"),
        Cell(f"{found.here:,}"), Cell(),
    ))  # fmt: skip
    return Section("Growth over time", (*_drawing(drawn.of_growth(found)), ledger))


def still(year: Year) -> tuple[Lead, ...]:
    """What came in a year and is here now: acquired in it, then by its entry alone."""
    told: list[Lead] = []
    for by in (ACQUIRED, "entered"):
        counts = [(kind, count) for how, kind, count in year.still if how == by]
        told += [
            Lead(f"{one.words} {by}", one.count, one.address) for one in leads(counts, ("came", f"{by}-{year.year}"))
        ]
    return tuple(told)


def _links(some: Sequence[Lead]) -> tuple[tuple[str, str], ...]:
    return tuple((one.words, one.address) for one in some)


def _tests(found: Sequence[TestsOf]) -> Section:
    by_year = {one.year: one for one in found}
    years, before = latest([*by_year], YEARS)
    told, entries = [by_year[year] for year in before], []
    rows = [_test_row(one) for one in told]
    if before:
        entries.append((f"until {before[-1]}", sum(one.tests for one in told)))
        together = Cell(f"until {before[-1]} together", (BELOW,))
        rows.insert(0, (together, Cell(f"{entries[0][1]:,}"), _some(sum(one.struck for one in told)), Cell()))
    for year in years:
        one = by_year.get(year) or TestsOf(year, 0, 0, 0)
        entries.append((str(year), one.tests))
        rows.append(_test_row(one))
    columns = (("Year", 0.25), ("Tests", 0.25), ("Of them struck out", 0.25), ("Tubes tested", 0.25))
    ledger = table(columns, rows, figures=[name for name, _ in columns[1:]], first_names=True)
    return Section("Tests", (*_drawing(drawn.of_tests(entries)), ledger))


def _test_row(one: TestsOf) -> tuple[Cell, ...]:
    address = list_of_tests(one.year) if one.tests else ""
    return Cell(str(one.year)), _linked(one.tests, address), _some(one.struck), Cell(f"{one.tubes:,}")


def _spent(found: Money) -> list[Section]:
    blocks: list[Block] = []
    for currency, some in drawn.currencies(found):
        entries = by_year(some)
        blocks += [*_drawing(drawn.of_years(entries, currency)), _money("Year", currency, entries, paid_leads)]
    return [Section("Paid, year by year", (*blocks, *_not_in(found.not_in, "price", "paid")), SINGLE)] if blocks else []


SINGLE = (
    "Of single things, by the price of one piece; a lot of parts has a price of its own. Added up as the lists add up "
    "what was paid; nothing is converted."
)


def paid_leads(one: Line) -> tuple[Lead, ...]:
    """The lists of what is here of the things of a line."""
    year = "unknown" if one.of is None else str(one.of)
    return leads(one.here, ("came", f"acquired-{year}"), ("price", one.currency or NO_CURRENCY))


OURS = ("owner", "ours")  # what is here on loan is in none of the sums


def insured_leads(within: Place | None) -> Callable[[Line], tuple[Lead, ...]]:
    """The lists of the things of a line, inside a place; of the place itself what lies directly in it."""

    def ways(one: Line) -> tuple[Lead, ...]:
        where = ("place", str(one.of)) if one.of else ("only", "place:")
        if within and one.of == within.pk:
            where = ("only", f"place:{within.path}")
        return leads(one.here, where, ("insured", one.currency or NO_CURRENCY), OURS)

    return ways


def _insured(found: Money, whole: Figures) -> list[Section]:
    blocks: list[Block] = []
    ways, names = insured_leads(whole.within), found.names
    if whole.within and whole.within.pk in names:
        names = names | {whole.within.pk: f"directly in {whole.within.path}"}
    for currency, some in drawn.currencies(found):
        entries = by_place(some, names)
        blocks += [*_drawing(drawn.of_places(entries, currency)), _money("Place", currency, entries, ways)]
    inside = f", inside {whole.within.path}" if whole.within else ""
    told = (*blocks, *_not_in(found.not_in, "insured", "insured"))
    return [Section(f"Insured, place by place{inside}", told, "Nothing is converted.")] if blocks else []


def _money(first: str, currency: str, entries: Sequence[Entry], ways: Callable[[Line], Sequence[Lead]]) -> Rows:
    rows = []
    for entry in entries:
        if len(entry.lines) != 1:
            name = Cell(f"{entry.name} together", (BELOW,)) if entry.together else Cell(entry.name)
            rows.append((name, *_sums(entry.amount, entry.prices, entry.things), Cell()))
        rows += [
            (Cell(name), *_sums(one.amount, one.prices, one.things), Cell(links=_links(ways(one))))
            for name, one in zip(entry.names, entry.lines, strict=True)
        ]
    figures = (currency or drawn.NO_CURRENCY, "Amounts", "Things")
    columns = ((first, 0.24), *zip(figures, (0.18, 0.12, 0.12), strict=True), (HERE, 0.34))
    whole = sum((one.amount for one in entries), NOTHING)
    total = _sums(whole, sum(one.prices for one in entries), sum(one.things for one in entries))
    return table(columns, rows, figures=figures, first_names=True, total=(Cell("All"), *total, Cell()))


def _sums(amount: Decimal, prices: int, things: int) -> tuple[Cell, Cell, Cell]:
    return Cell(f"{amount:,.2f}"), Cell(f"{prices:,}"), Cell(f"{things:,}")


def _not_in(found: Sequence[NotIn], name: str, word: str) -> list[Block]:
    """What is in none of the sums, and why."""
    rows = [
        (Cell(one.words), _some(one.prices), Cell(f"{one.things:,}"),
         Cell(links=_links(leads(one.here, (name, one.reason), *([OURS] if name == "insured" else [])))))
        for one in found
    ]  # fmt: skip
    columns = ((f"Not in the sums {word}, because", 0.42), ("Amounts", 0.12), ("Things", 0.12), (HERE, 0.34))
    return [table(columns, rows, figures=["Amounts", "Things"], first_names=True)] if rows else []
