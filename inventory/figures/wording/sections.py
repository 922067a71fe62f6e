"""The figures as a page and as paper: each drawn, and in a table below that leads to the lists."""

from collections.abc import Sequence

from inventory.figures.queries import Counted, Few, Figures, Money, TestsOf
from inventory.figures.queries.money import NotIn
from inventory.figures.rules.parts import Part
from inventory.figures.rules.years import ACQUIRED, Growth, Line, Year
from inventory.figures.wording import drawn
from inventory.figures.wording.leads import Lead, leads, list_of_tests, places_inside, tubes_where
from inventory.holdings.queries.amounts import NO_CURRENCY
from inventory.house.bars import Bars
from inventory.house.printed import Block, Cell, Drawing, Printed, Section, Words, table

NOWHERE = "no place of its own"
EMPTY = "Nothing is in the register yet."


def printed(found: Figures) -> Printed:
    """All of it, as pieces of a page or a paper."""
    lines = [f"{found.all_tubes:,} tubes and {found.growth.here:,} things in all are in the register on {found.on}."]
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
    rows += _gathered(found)
    columns = (("What", 0.8), ("Tubes", 0.2))
    total = (Cell("All"), Cell(f"{found.total:,}"))
    ledger = table(columns, rows, figures=["Tubes"], total=total)
    return Section(found.title, (*_drawing(drawn.of_parts(found)), ledger))


def _inside(part: Part) -> str:
    return places_inside(part.below) if part.below else ""


def _linked(count: int, address: str) -> Cell:
    return Cell(f"{count:,}", address=address)


def _gathered(found: Counted) -> list[tuple[Cell, Cell]]:
    """The bar of all that have no room, where their list can be opened: its tubes stand above one by one."""
    some = [one for one in found.drawn if one.gathered and one.where]
    return [(Cell(f"of these {one.name}, drawn as one"), _linked(one.count, tubes_where(one.where))) for one in some]


def _few(found: Sequence[Few], enough: int) -> Section:
    rows = []
    for one in found:
        ways = [
            (f"{count:,} {name}" if len(one.names) > 1 else f"{count:,}", tubes_where((
                ("only", f"type:{name}"), ("state", "good"), ("fitted", "no"),
            )))
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
        f"{len(found)} types that are here, stand in a set or are on the want list. The same tube under several numbers "
        "counts together. What is lent, was not found or sits in a set is not on the shelf."
    )
    ledger = table(columns, rows, figures=heads)
    return Section(f"Fewer than {enough} good", (*_drawing(drawn.of_few(found, enough)), ledger), hint)


def _some(count: int) -> Cell:
    return Cell(f"{count:,}" if count else "")


def _growth(found: Growth) -> Section:
    rows = [
        (Cell(str(one.year)), _some(one.acquired), _some(one.entered), _some(one.left), Cell(f"{one.here:,}"),
         Cell(links=_links(still(one))))
        for one in found.years
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
    ledger = table(columns, rows, figures=heads, total=(
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
    rows = [
        (Cell(str(one.year)), _linked(one.tests, list_of_tests(one.year)), _some(one.struck), Cell(f"{one.tubes:,}"))
        for one in found
    ]
    columns = (("Year", 0.25), ("Tests", 0.25), ("Of them struck out", 0.25), ("Tubes tested", 0.25))
    ledger = table(columns, rows, figures=[name for name, _ in columns[1:]])
    return Section("Tests", (*_drawing(drawn.of_tests([(one.year, one.tests) for one in found])), ledger))


def _spent(found: Money) -> list[Section]:
    blocks: list[Block] = []
    for currency, some in drawn.currencies(found):
        rows = [
            (Cell("year not known" if one.of is None else str(one.of)), Cell(f"{one.amount:,.2f}"),
             Cell(f"{one.things:,}"), Cell(links=_links(paid_leads(one))))
            for one in some
        ]  # fmt: skip
        blocks += _money(drawn.of_years(some, currency), "Year", currency, rows, some)
    return [Section("Paid, year by year", (*blocks, *_not_in(found.not_in, "price", "paid")), SINGLE)] if blocks else []


SINGLE = "Single things alone: prices of part lots are by the piece, the bag or the lot. Nothing is converted."


def paid_leads(one: Line) -> tuple[Lead, ...]:
    """The lists of what is here of the things of a line."""
    year = "unknown" if one.of is None else str(one.of)
    return leads(one.here, ("came", f"acquired-{year}"), ("price", one.currency or NO_CURRENCY))


def insured_leads(one: Line) -> tuple[Lead, ...]:
    where = ("place", str(one.of)) if one.of else ("only", "place:")
    return leads(one.here, where, ("insured", one.currency or NO_CURRENCY))


def _insured(found: Money, whole: Figures) -> list[Section]:
    blocks: list[Block] = []
    for currency, some in drawn.currencies(found):
        rows = [
            (Cell(found.names.get(one.of, "") if one.of else NOWHERE), Cell(f"{one.amount:,.2f}"),
             Cell(f"{one.things:,}"), Cell(links=_links(insured_leads(one))))
            for one in some
        ]  # fmt: skip
        blocks += _money(drawn.of_places(some, found.names, currency, NOWHERE), "Place", currency, rows, some)
    inside = f", inside {whole.within.path}" if whole.within else ""
    told = (*blocks, *_not_in(found.not_in, "insured", "insured"))
    return [Section(f"Insured, place by place{inside}", told, "Nothing is converted.")] if blocks else []


def _money(
    bars: Bars | None, first: str, currency: str, rows: Sequence[Sequence[Cell]], some: Sequence[Line]
) -> list[Block]:
    amount = f"{currency or drawn.NO_CURRENCY}"
    columns = ((first, 0.24), (amount, 0.2), ("Things", 0.14), ("Of them here now", 0.42))
    total = (
        Cell("All"), Cell(f"{sum(one.amount for one in some):,.2f}"), Cell(f"{sum(one.things for one in some):,}"),
        Cell(),
    )  # fmt: skip
    return [*_drawing(bars), table(columns, rows, figures=[amount, "Things"], total=total)]


def _not_in(found: Sequence[NotIn], name: str, word: str) -> list[Block]:
    """What is in none of the sums, and why."""
    rows = [
        (Cell(one.words), Cell(f"{one.things:,}"), Cell(links=_links(leads(one.here, (name, one.reason)))))
        for one in found
    ]
    columns = ((f"Not in the sums {word}, because", 0.44), ("Things", 0.14), ("Of them here now", 0.42))
    return [table(columns, rows, figures=["Things"])] if rows else []
