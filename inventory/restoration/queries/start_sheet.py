"""The start sheet of one set of a plan: what is there, what stands against it, every check with what was found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from inventory.holdings.models import HazardMark
from inventory.restoration.models import Finding, Plan
from inventory.restoration.queries.cover import Cover, cautions_of, cover_of
from inventory.restoration.queries.findings import Findings, findings_of
from inventory.restoration.queries.lines import TUBE, Line
from inventory.restoration.queries.power import SetPower, power_of_set
from inventory.restoration.queries.set_facts import facts_of, ruled_out
from inventory.restoration.rules.findings import Standing
from inventory.restoration.rules.set_facts import SetFacts
from inventory.restoration.rules.start_rows import COMMON, PARTS
from inventory.restoration.rules.start_sheet import Check, sources_of, start_checks
from inventory.restoration.rules.words import DONE, IN_PLACE, LEFT_ALONE
from inventory.sets.models import Chassis
from inventory.sets.queries import SocketRow


@dataclass(frozen=True)
class SheetRow:
    """A check, its number on the sheet, the letter of the text behind it, and how it stands (None: not done yet)."""

    number: int
    check: Check
    letter: str
    standing: Standing | None


@dataclass(frozen=True)
class SheetSocket:
    """A position: what it wants, what the register says is in it, what the plan would put there.

    ``entails``: what has to be done with a tube of another type there.
    """

    row: SocketRow
    planned: str
    entails: tuple[str, ...] = ()

    @property
    def held(self) -> str:
        """The tube in it by the register, with its state; another type than is wanted is named."""
        fitting = self.row.fitting
        sits = [f"{one.name}, since {one.stay.since}" for one in self.row.stand_ins]
        if fitting is None:
            return ", ".join(sits) or "empty"
        tube = fitting.tube
        other = f" {tube.type or tube.marked}" if tube.type_id != self.row.position.type_id else ""
        both = f"; by the register {', '.join(sits)} too: one of them cannot be there, look" if sits else ""
        return f"{tube.tag}{other}, {tube.state}{both}"


@dataclass(frozen=True)
class StartSheet:
    """All that the sheet says. ``to_do``: lines of the plan that are not settled, in the order in which they stand.

    ``no_more``: checks at which something was found and that the set gets no more. ``sources``: letter by text.
    ``supply``: what the tubes of the plan do to its heater winding, its plate supply and its pairs.
    """

    plan: Plan
    chassis: Chassis
    on: date
    cautions: tuple[str, ...]
    ruled_out: tuple[HazardMark, ...]
    sockets: tuple[SheetSocket, ...]
    parts: Mapping[str, tuple[SheetRow, ...]]
    to_do: tuple[Line, ...]
    no_more: tuple[SheetRow, ...]
    sources: Mapping[str, str]
    findings: Findings
    facts: SetFacts
    supply: SetPower

    @property
    def power(self) -> tuple[SetPower, ...]:
        """The supply as the pages of plans show it: one of several sets."""
        return (self.supply,)

    @property
    def rows(self) -> tuple[SheetRow, ...]:
        return tuple(row for rows in self.parts.values() for row in rows)

    @property
    def done(self) -> int:
        """At how many checks something was found."""
        return sum(row.standing is not None for row in self.rows)

    @property
    def struck(self) -> tuple[Finding, ...]:
        """What was found in the set and struck out since."""
        return tuple(row for row in self.findings.struck if row.chassis_id == self.chassis.pk)

    @property
    def failed(self) -> int:
        """How many stand as not as they should be, those asked no more among them."""
        rows = (*self.rows, *self.no_more)
        return sum(row.standing is not None and row.standing.settled is False for row in rows)


def start_sheet(plan: Plan, chassis: Chassis, on: date, cover: Cover | None = None) -> StartSheet:
    """The sheet of a set of a plan as of a day (a fixed number of queries). ``cover``: of the plan, if at hand."""
    facts, sockets = facts_of(plan, chassis)
    cover = cover or cover_of(plan, on)
    supply = power_of_set(cover, chassis, on)
    facts = replace(facts, overload=supply.warning or supply.doubt)
    checks = start_checks(facts)
    letters = sources_of(checks)
    findings = findings_of(plan)
    found = findings.of(chassis)
    rows = [
        SheetRow(number, check, letters[check.source], found.pop(check.key, None))
        for number, check in enumerate(checks, 1)
    ]
    lines = [line for line in cover.lines if line.chassis.pk == chassis.pk]
    of_socket = {line.position: line for line in lines if line.kind == TUBE and line.slot}
    return StartSheet(
        plan, chassis, on, _cautions(chassis, supply, lines), tuple(ruled_out(chassis)),
        tuple(_socket(row, of_socket.get(row.position.mark)) for row in sockets),
        {part: tuple(row for row in rows if row.check.part == part) for part in PARTS},
        tuple(line for line in lines if line.status not in (IN_PLACE, DONE, LEFT_ALONE)),
        tuple(_no_more(standing) for standing in found.values()), letters, findings, facts, supply,
    )  # fmt: skip


def _cautions(chassis: Chassis, supply: SetPower, lines: Sequence[Line]) -> tuple[str, ...]:
    """What stands above the sheet: what can hurt, and which parts are to be left alone, on whose word."""
    alone = [(f"{line.need}: leave alone", *line.reasons) for line in lines if line.status == LEFT_ALONE]
    told = (" ".join(f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in texts) for texts in alone)
    return tuple(filter(None, (supply.warning, *cautions_of([chassis]), *told)))


def _socket(row: SocketRow, line: Line | None) -> SheetSocket:
    """A position with what its line of the plan would put there, and what another type there entails."""
    if line is None or line.slot is None:
        return SheetSocket(row, "")
    return SheetSocket(
        row, line.told_by if line.slot.wants else "", line.entails if line.substitute or row.stand_ins else ()
    )


def _no_more(standing: Standing) -> SheetRow:
    """A check that the set gets no more, by what was found at it."""
    row = standing.latest
    asked = Check(
        row.check_key, "", row.asked or row.step, "", "the set, its plan or its list has changed since", COMMON
    )
    return SheetRow(0, replace(asked, unit=row.unit), "", standing)
