"""What is read from one row of a keeper's list."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.holdings.rules.dates import DateReading
from inventory.holdings.rules.hazards import Hazard
from inventory.holdings.rules.prices import PriceReading
from inventory.holdings.rules.readings import TestReading
from inventory.lists.rules.odd_marks import Split
from inventory.lists.rules.quantities import Quantity
from tubes.rules.family import number_of
from tubes.rules.stamp import Reading, StampAnswer, StampTables

WRITTEN, REMARKED, HELD, REFUSED, NOT_AN_ITEM = "written", "written with a remark", "held", "refused", "not an item"


@dataclass(frozen=True, slots=True)
class Context:
    """What the keeper said of the whole list, and the tables. `kind` fixes the kind of every row.

    `dollar` is the ISO 4217 code that "$" stands for, `order` day or month (which comes first), `bare` row or each
    (what a price with no word beside it is for). `own`: the list came out of a register like this one, each cell being
    one whole value: states, serials and places are taken as they stand. `currency` is the code of a price that names
    none. `doubles` are the family numbers of tubes of two sections (``tubes.rules.family``).
    """

    tables: StampTables
    today: date
    headings: Sequence[str] = ()
    kind: str | None = None
    dollar: str | None = None
    order: str | None = None
    bare: str = ""
    own: bool = False
    currency: str | None = None
    doubles: frozenset[str] = frozenset()

    def is_double(self, stamp: StampAnswer) -> bool:
        """Whether every type that a stamp can mean is a tube of two sections."""
        named = [number_of(r.type or r.designation) for r in stamp.readings]
        return bool(named) and all(number in self.doubles for number in named)


LENT, GONE, FITTED = "lent", "gone", "fitted"  # what a row can say of a thing that is not here


@dataclass(frozen=True, slots=True)
class Away:
    """Where a row says that its thing is not here: ``kind``, the field that says so, its words, and who has it."""

    kind: str
    field: str
    words: str
    who: str = ""


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """What one column of readings says: the readings (two of a pair or of two sections), a minimum beside them.

    ``whose`` says of each reading which thing of the row it is of (from 0), ``states`` what a word that stands for a
    reading says of each thing; both empty where the readings are said of the whole row.
    ``heading`` and ``minimum_heading`` are the names of the columns in the list. ``asks``: two figures stand there, and
    what the second is, is not told.
    """

    heading: str
    readings: tuple[TestReading, ...]
    minimum: TestReading | None = None
    minimum_heading: str = ""
    asks: bool = False
    whose: tuple[int, ...] = ()
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RowRemark:
    """`column` the heading, or the field where the list has none; `found` the text as it stands in the cell.

    `code` names what others ask for by name (``row_wants.WANT``), whatever the words are.
    """

    column: str
    found: str
    reason: str
    action: str
    code: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """`count` like things in one state: good, untested, weak or dud for tubes, "" where a part's state is not said."""

    count: int
    state: str
    condition: str = ""


@dataclass(frozen=True, slots=True)
class RowReading:
    """A row as read. `why` says why it is refused, held or no item; `kept` are the cells kept as text, by heading.

    `groups` are the things to write: none where the count is unknown (not zero: `quantity.to_count` is true) or nothing
    is on the shelf. `choices` are the readings of a held mark. `register` are the cells that only a register has, by
    field; `own` as in ``Context``. `beside` says in words that a want stands beside a count, `beside_in` in which
    field. `not_known` is the reason of the remark that no table has the mark; `glued` the cell where the count may be
    glued to the number. `minimum` is that of a column of its own; where it is on the scale of the reading, the reading
    names it too. `split`, `perhaps`, `changed`: what the cell of the tube may be else (``odd_marks``). `away`: words
    that say that the thing is not here. `by_count`: the groups by the count, where the words of the readings tell
    another number of duds; `groups` are then by the words. `sort`: what a part is by the column of kinds: paper
    capacitor, relay.
    Whether a serial is already in the register, or a number is used twice in the list, only the caller can know.
    """

    outcome: str
    why: str = ""
    kind: str = ""
    remarks: tuple[RowRemark, ...] = ()
    mark: str = ""
    stamp: StampAnswer | None = None
    choices: tuple[Reading, ...] = ()
    model: str = ""
    number: str = ""
    quantity: Quantity | None = None
    groups: tuple[Group, ...] = ()
    wanted: Quantity | None = None
    condition: str = ""
    readings: tuple[ColumnReading, ...] = ()
    instrument: str = ""
    tested_on: DateReading | None = None
    places: tuple[str, ...] = ()
    place_text: str = ""
    price: PriceReading | None = None
    asked: PriceReading | None = None
    insured: PriceReading | None = None
    maker: str = ""
    date_code: str = ""
    serial: str = ""
    mate_serial: str = ""
    mate_text: str = ""
    acquired_from: str = ""
    acquired_on: DateReading | None = None
    dated: DateReading | None = None
    for_set: str = ""
    note: str = ""
    hazards: tuple[Hazard, ...] = ()
    kept: tuple[tuple[str, str], ...] = field(default_factory=tuple)
    register: Mapping[str, str] = field(default_factory=dict)
    seen_on: DateReading | None = None
    missed_on: DateReading | None = None
    left_on: DateReading | None = None
    own: bool = False
    beside: str = ""
    beside_in: str = ""
    not_known: str = ""
    glued: str = ""
    sort: str = ""
    split: Split | None = None
    perhaps: tuple[str, ...] = ()
    changed: str = ""
    away: Away | None = None
    by_count: tuple[Group, ...] = ()

    @property
    def state(self) -> str:
        """The one state of all things written, "" where there is none or more than one."""
        states = {group.state for group in self.groups}
        return states.pop() if len(states) == 1 else ""
