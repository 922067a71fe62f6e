"""What every paper of a valuation says: on which basis, of which day, by whom, how sure, and what it is not."""

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal

from inventory.holdings.models import Loan
from inventory.house.printed import Cell, Section, Words, table
from inventory.valuation.queries.on_paper import Piece
from inventory.valuation.queries.stated import Stated
from inventory.valuation.rules.bases import BASES
from inventory.valuation.rules.remarks import to_come
from inventory.valuation.rules.scatter import FEWEST

NOT_CERTIFIED = (
    "These are the keeper's own estimates from sales noted in the register. This is not a certified appraisal, and no "
    "appraiser signed it."
)
LAW = "Local codes and licensed practice come first."
MOST_RUNS = 40  # of tags in one cell
MOST_TYPES = 20  # in one sentence
NO_EVIDENCE, NO_AMOUNT = "no evidence", "no amount"


def heading_lines(found: Stated) -> tuple[str, ...]:
    """Basis, valuation date, currency, place and by whom, in a line or two."""
    basis = BASES[found.basis].title if found.basis in BASES else found.basis
    what = f"what is in {found.place}" if found.place else "everything owned"
    real = ", in prices of that day by U.S. CPI-U" if found.real else ""
    then = f" on {found.made_on}, by the evidence of {found.on}" if found.on < found.made_on else f" on {found.on}"
    first = f"{basis[0].upper()}{basis[1:]} of {what}{then}, in {found.currency}{real}."
    if told := to_come(found.on, found.made_on):
        first = f"{first} {told}"
    if found.appraisal:
        kept = f"Figures, grades and places of appraisal {found.appraisal}, kept by {found.made_by} on {found.made_on}"
        return first, f"{kept}: as they were then. What stands in which set, and all else, is as the register says now."
    return first, f"Made by {found.made_by} on {found.made_on}, from the register of that day."


def without_told(found: Stated) -> str:
    """How many things have no amount, since nothing was sold of them or none in their grade; and what that means."""
    bare, graded = found.without_evidence, found.at_most
    if not bare and not graded:
        return "Everything on it has evidence of a price."
    told = [f"{_things(len(bare))} no evidence of a price"] if bare else []
    if graded:
        told.append(f"{_things(len(graded))} no amount, since no sales tell what such ones fetch in that grade")
    nothing = "What has no amount counts as nothing in the sums; that does not say that it is worth nothing."
    return f"{'; '.join(told)}. {nothing}"


def _things(many: int) -> str:
    return "1 thing has" if many == 1 else f"{many} things have"


def opening(found: Stated) -> tuple[Words, ...]:
    """What stands before all else."""
    return (Words(tuple(filter(None, (NOT_CERTIFIED, without_told(found), found.lost)))),)


def meaning(found: Stated) -> tuple[str, ...]:
    """What the figures mean and what the range is."""
    basis = BASES.get(found.basis)
    told = [f"{basis.title[0].upper()}{basis.title[1:]} is {basis.meaning} ({basis.source})."] if basis else []
    return (
        *told, *found.market, *_at_most(found),
        f"From, to: where eight in ten such sales lie, by {FEWEST} comparables or more; below {FEWEST}, the range of "
        "the comparables. Sold prices only, none after the valuation date; each went by the rate of its own day.",
    )  # fmt: skip


def _at_most(found: Stated) -> tuple[str, ...]:
    """Of which grades of which types no sales tell what they fetch: of others of that grade they may."""
    by_grade: dict[str, set[str]] = defaultdict(set)
    for one in found.figures:
        if one.at_most:
            by_grade[one.grade].add(one.what)
    return tuple(
        f"What {grade} ones of {_named_types(sorted(types))} fetch the evidence does not tell: they have no amount."
        for grade, types in sorted(by_grade.items())
    )


def _named_types(names: Sequence[str]) -> str:
    told, more = ", ".join(names[:MOST_TYPES]), len(names) - MOST_TYPES
    return f"{told} and {more} more types" if more > 0 else told


def not_ours(borrowed: Sequence[tuple[Loan, Piece]], title: str, hint: str) -> list[Section]:
    """What is here on loan, where there is any."""
    if not borrowed:
        return []
    rows = [
        (named(piece, piece.serial, piece.tag), Cell(loan.who), Cell(str(loan.due or "no day was agreed")),
         Cell(piece.item.place.path if piece.item.place else "", (loan.terms,) if loan.terms else ()))
        for loan, piece in borrowed
    ]  # fmt: skip
    columns = (("What", 0.34), ("Belongs to", 0.24), ("Due back on", 0.16), ("Where it is, on which terms", 0.26))
    return [Section(title, (table(columns, rows),), hint)]


def meaning_section(found: Stated) -> Section:
    return Section("What these figures are", (Words(meaning(found)),))


def statement(found: Stated) -> list[str]:
    """All of it, as data."""
    told = (*heading_lines(found), NOT_CERTIFIED, without_told(found), found.lost, *meaning(found))
    return [one for one in told if one]


def figure(amount: Decimal | None, otherwise: str = "") -> str:
    """An amount as papers write it: 1,234.50."""
    return otherwise if amount is None else f"{amount:,.2f}"


def named(piece: Piece, *small: str, count: int = 1) -> Cell:
    """What a thing is, with lines below; the page leads to it."""
    text = f"{count} × {piece.name}" if count > 1 else piece.name
    return Cell(text, tuple(filter(None, small)), address=piece.item.get_absolute_url())


def tags_told(tags: tuple[str, ...]) -> str:
    """Tags on one line, runs of them drawn together: T-0003 to T-0006, T-0009. Of many runs the first, and how many
    tags more.
    """
    runs: list[list[str]] = []
    for tag in tags:
        if runs and _next(runs[-1][-1]) == tag:
            runs[-1].append(tag)
        else:
            runs.append([tag])
    told = ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs[:MOST_RUNS])
    more = sum(map(len, runs[MOST_RUNS:]))
    return f"{told} and {more} more" if more else told


def _next(tag: str) -> str:
    head, dash, number = tag.rpartition("-")
    return f"{head}{dash}{int(number) + 1:0{len(number)}d}" if number.isdecimal() else ""
