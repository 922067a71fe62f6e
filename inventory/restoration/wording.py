"""How lines of a plan are told: grouped by what is to be done."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.restoration.queries.buying import BuyingOrder, Row
from inventory.restoration.queries.lines import Line
from inventory.restoration.rules.words import (
    AFTER_TEST,
    BY_RELATIVE,
    BY_SUBSTITUTE,
    COVERED,
    DONE,
    DOUBTFUL,
    ELSEWHERE,
    GOOD,
    IN_PLACE,
    LEFT_ALONE,
    NEAR_LIMIT,
    NOT_HERE,
    NOT_RECORDED,
    NOT_SAID,
    ON_WORD,
    SETTLE_BEFORE_POWER,
    SETTLE_FIRST,
    SHORT,
    STOOD_IN,
    TO_DO,
    TO_JUDGE,
    WAITING,
)
from inventory.running.wording.frame import Chart, frame

ANOTHER, WATCH, PAIRS = "Another type in place", "Watch", "Neutralize"
_GROUPS = (
    ("Not here", "Nothing can be begun on these before they are back.", (NOT_HERE,)),
    ("Settle first", "Hazards that nobody has looked for yet.", (SETTLE_FIRST,)),
    ("Settle before power", "Checks of the start sheet that failed.", (SETTLE_BEFORE_POWER,)),
    ("Judge", "Found last at a check, and nobody said whether that is as it should be.", (TO_JUDGE,)),
    ("Record", "What nobody has recorded of these sets, so that nothing can be said of it.", (NOT_RECORDED,)),
    ("Look for or order", "Nothing here covers these.", (SHORT,)),
    ("Say whether it is here", "Nothing on record can tell, and nobody said it.", (NOT_SAID,)),
    ("Decide: which goes first", "There is one, and something more urgent counts on it, by the plans' priorities.",
     (ELSEWHERE,)),
    ("Decide: whether it does", "Another type is at hand: whether it may stand there is said by what it entails.",
     (BY_RELATIVE, BY_SUBSTITUTE)),
    ("Your word", "The last test reads good, and the register still says untested.", (ON_WORD,)),
    (ANOTHER, "Good tubes that stand where another type is wanted: what they entail stands beside them.", ()),
    ("Stands in for a tube", "What changes with the stand-in stands beside it; a tube goes in once it is out.",
     (STOOD_IN,)),
    (WATCH, "Their last test was borderline: they may stay; one that is called weak asks for another.", ()),
    (PAIRS, "The unit is in its bay, and its setting does not hold on this set.", ()),
    ("Test", "Untested stock, and tubes in place that nobody vouches for.", (AFTER_TEST, DOUBTFUL)),
    ("Fit", "On the shelf and good.", (COVERED,)),
    ("Do", "Pieces of work, and what is waited for.", (TO_DO, WAITING)),
    ("Leave alone", "Known in this model, and said to be better not touched: a caution, and no work.", (LEFT_ALONE,)),
    ("In place", "Nothing to be done.", (IN_PLACE, DONE)),
)  # fmt: skip


@dataclass(frozen=True)
class Group:
    """Lines that ask for the same sort of thing."""

    title: str
    words: str
    lines: tuple[Line, ...]

    @property
    def settled(self) -> bool:
        """Whether nothing is to be done about any of them."""
        return all(line.status in (IN_PLACE, DONE) for line in self.lines)


def grouped(lines: Sequence[Line]) -> list[Group]:
    """The lines by what is to be done, what stands in the way first; empty groups are left out."""
    told = [
        Group(title, words, tuple(line for line in lines if _belongs(line, title, statuses)))
        for title, words, statuses in _GROUPS
    ]
    return [group for group in told if group.lines]


def _belongs(line: Line, title: str, statuses: tuple[str, ...]) -> bool:
    """Whether a line stands in a group; what stays in place and was tested asks for no test, nor does a pair."""
    if line.status != DOUBTFUL:
        return line.status in statuses
    standing = line.slot.standing if line.slot is not None else ""
    if standing == NEAR_LIMIT:
        return title == WATCH
    if standing == GOOD and line.substitute:
        return title == ANOTHER
    return title == PAIRS if line.pair else line.status in statuses


def _gains(row: Row) -> str:
    return "closes an empty position" if row.gap else f"{row.after_percent} %"


def buying_chart(found: BuyingOrder) -> Chart | None:
    """How sure the spares are against the money spent, tube by tube; None where nothing is bought."""
    rows = found.rows
    if not rows:
        return None
    points = [(0.0, 100 * rows[0].before), *((float(row.spent), 100 * row.after) for row in rows)]
    box = frame([money for money, _ in points], [sure for _, sure in points], from_zero=False)
    stairs = [points[0]]
    for money, sure in points[1:]:
        stairs += [(money, stairs[-1][1]), (money, sure)]
    dots = tuple(
        (box.x(money), box.y(sure), f"{row.name} for {row.price} {found.currency}: {_gains(row)}", "plain")
        for (money, sure), row in zip(points[1:], rows, strict=True)
    )
    gaps = sum(row.gap for row in rows)
    first = f", {gaps} of them into empty positions" if gaps else ""
    return Chart(
        label=f"How sure the spares are enough, from {rows[0].before_percent} % with nothing spent to "
        f"{rows[-1].after_percent} % for {rows[-1].spent} {found.currency}, in {len(rows)} steps{first}.",
        caption="A dot a tube, in the order in which to buy, as in the table below; one for an empty position makes no "
        "spare. The scale may not begin at 0.",
        x_name=f"spent, {found.currency}", y_name="sure, %", x_ticks=box.x_ticks(), y_ticks=box.y_ticks(),
        lines=((box.path(stairs), "line"),), dots=dots, from_start=True,
    )  # fmt: skip
