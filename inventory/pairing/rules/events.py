"""The facts that the pairing rules fold: plates, neutralizations, upsets and tubes in neutralized positions.

A *moment* is a day and a second of that day. Where no time of day is known, work (a tube change, a repair) counts as
done at the start of its day and a neutralization as done at the end of it: whoever works on a set and neutralizes it
on the same day does it in that order (common practice, no source). So the order of entry never matters. An accident is
not work: unless both have a time, one of the day of a neutralization counts as having come after it.

Times are known to the minute, and two events of one minute are in no order: work of the minute of a neutralization
counts as later than it, so that what may have spoilt it is never passed over.
"""

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum

from inventory.house.records.moments import END_OF_DAY, Moment, at_end, at_start

DIAL_SET_BACK, NOT_NEUTRALIZED = "set back", "not"  # before it went on the air: dial set as written; nothing


def moment_of_work(day: date, at: time | None) -> Moment:
    """When a tube change or a disturbance counts as done."""
    return at_start(day, at)


def moment_of_null(day: date, at: time | None) -> Moment:
    """When a neutralization counts as done."""
    return at_end(day, at)


def moment_of_upset(day: date, at: time | None, accident: bool) -> Moment:
    """When a disturbance counts as done: an accident without a time at the end of its day (it may have come last)."""
    return at_end(day, at) if accident else at_start(day, at)


@dataclass(frozen=True, slots=True)
class Plate:
    """What a serial plate says: the serial as text, and whether it could be ``read`` (else unreadable or missing)."""

    serial: str
    reading: str = "read"

    @property
    def readable(self) -> bool:
        return self.reading == "read" and bool(self.serial.strip())

    def agrees_with(self, other: "Plate") -> bool:
        """Equal digit for digit: 01432 is not 1432."""
        return self.readable and other.readable and self.serial.strip() == other.serial.strip()

    def __str__(self) -> str:
        if self.readable:
            return self.serial.strip()
        return "cannot be read" if self.reading == "unreadable" else "bears no number"


@dataclass(frozen=True, slots=True)
class Null:
    """One neutralization of a unit on a chassis (both by their keys)."""

    unit: int
    chassis: int
    moment: Moment
    setting: str = ""
    by_whom: str = ""
    locked: bool | None = None  # whether the lock of the capacitor was tightened; None: not said

    @property
    def day(self) -> date:
        return self.moment.day

    @property
    def timed(self) -> bool:
        return self.moment.second != END_OF_DAY


@dataclass(frozen=True, slots=True)
class Use:
    """A unit on the air on a chassis: the capacitor that the two share was set for one another then.

    Without a time it counts, like a neutralization, as of the end of its day. ``readied``: what was done before, one of
    ``DIAL_SET_BACK`` and ``NOT_NEUTRALIZED`` or anything else.
    """

    unit: int
    chassis: int
    moment: Moment
    readied: str = ""

    @property
    def day(self) -> date:
        return self.moment.day

    @property
    def timed(self) -> bool:
        return self.moment.second != END_OF_DAY


@dataclass(frozen=True, slots=True)
class Upset:
    """One disturbance: of a unit on every chassis, of a chassis with every unit, of ``both`` so, or of one pair."""

    moment: Moment
    cause: str
    unit: int | None = None
    chassis: int | None = None
    note: str = ""
    accident: bool = False
    both: bool = False  # unit and chassis, each with every partner

    @property
    def day(self) -> date:
        return self.moment.day

    @property
    def timed(self) -> bool:
        return self.moment.timed

    def may_be_since(self, null: Null) -> bool:
        """Whether it came after a neutralization, or (an accident of that day) may have."""
        if self.accident and self.day == null.day and not (self.timed and null.timed):
            return True
        return self.moment >= null.moment

    def same_minute(self, null: Null) -> bool:
        """Whether it has no order with a neutralization, both having a time, and is only taken as later."""
        return self.timed and self.moment == null.moment

    def concerns(self, unit: int, chassis: int) -> bool:
        if self.both:
            return self.unit == unit or self.chassis == chassis
        return self.unit in (None, unit) and self.chassis in (None, chassis)


@dataclass(frozen=True, slots=True)
class TubeStay:
    """A tube in a neutralized position of a chassis, from one moment to another (``end`` None: still there)."""

    position: str
    tube: str
    start: Moment
    end: Moment | None = None


class Because(StrEnum):
    """The causes of the state of a pair. Who decides by a cause asks for its name; its words are for readers."""

    NO_POSITION = "no neutralized position"
    NEUTRALIZED = "neutralized"
    NO_RECORD = "no record"
    SERIALS_MATCH = "serials match"
    TUBE = "tube changed"
    DISTURBED = "disturbed"
    OTHER_CHASSIS = "set for another chassis"
    OTHER_UNIT = "set for another unit"
    LOOSE = "lock not tightened"  # a task, the state stands
    SAME_DAY = "same day"
    BACK = "tube out and back"  # a fact, the state stands


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a state holds: a date where there is one, a cause in two words (of a pair: ``Because``), and a sentence."""

    date: date | None
    cause: str
    text: str

    def as_dict(self) -> dict[str, str | None]:
        return {"date": self.date.isoformat() if self.date else None, "cause": self.cause, "text": self.text}
