"""What stops a row of a list: each function gives the question or the refusal, or None where the row may go on."""

from collections.abc import Sequence
from dataclasses import replace

from inventory.lists.actions.ask import Ask, Refuse, Stop
from inventory.lists.actions.before import Before
from inventory.lists.actions.facts import exact_day
from inventory.lists.actions.register import Serials
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_result import FITTED, LENT, Away, Group
from inventory.lists.rules.rows import RowReading
from inventory.lists.rules.states import DUD

MOST_OF_A_ROW = 1000  # things with a tag each; more on one row is asked about
IT_IS_HERE = "it is here already: leave this row out"
WANTED_ONLY = "they are wanted, not here: leave this row out (its page offers to put it on the want list)"
Answers = dict[str, str]


def here_already(before: Before, answers: Answers) -> Stop | None:
    """Ask about a row that may stand for a thing which is here."""
    if before.tag_of and answers.get("tag") != "another":
        text = f"its number is the tag of {before.tag_of}, which is in the register"
        return Ask("tag", f.NUMBER, text, [("another", "another thing: write it with a tag of its own")], IT_IS_HERE)
    if before.alike and answers.get("already") != "more":
        run, row = before.alike
        text = f"already here from list {run}, row {row}"
        return Ask("already", "", text, [("more", "more of the same: write it")], IT_IS_HERE)
    if before.corrected and "more" not in (answers.get("corrected"), answers.get("already")):
        text = f"the same but for its reading as {_rows_told(before.corrected)}"
        leave = "it is the same one: leave this row out, and enter the reading on its page"
        return Ask("corrected", f.READING, text, [("more", "another one: write it")], leave)
    if before.changed and "more" not in (answers.get("changed"), answers.get("already")):
        run, row, what = before.changed
        text = f"as list {run}, row {row}, which is here, but for {what}"
        leave = "it is that one, corrected: leave this row out, and change it on its page"
        return Ask("changed", "", text, [("more", "another one: write it")], leave)
    if before.repeats and answers.get("repeat") != "more":
        text = f"says the same as row {before.repeats} of this list"
        return Ask("repeat", "", text, [("more", "more of them: write it")], "written down twice: leave this row out")
    return None


def _rows_told(rows: Sequence[tuple[int, int]]) -> str:
    """Rows of lists before in words; of several only one is meant."""
    if len(rows) == 1:
        return f"list {rows[0][0]}, row {rows[0][1]}, which is here"
    by_list: dict[int, list[str]] = {}
    for run, row in rows:
        by_list.setdefault(run, []).append(str(row))
    told = [f"list {run}, row{'s' if len(some) > 1 else ''} {', '.join(some)}" for run, some in by_list.items()]
    return f"one of {'; '.join(told)}, which are here"


def whether_here(found: RowReading, answers: Answers) -> Stop | None:
    """Ask about what the list counts but may not lie on the shelf: wanted, in a set, gone on no plain day."""
    register = found.register
    if found.away and not answers.get("away"):
        return _away(found.away)
    if found.glued and answers.get("glued") != "count":
        total = sum(group.count for group in found.groups)
        told = f"{total} of {found.mark}" if total else f"{found.mark}, so many as the row counts"
        return Ask("glued", f.MARK, f"{found.glued}: {told}?", [("count", told)])
    if found.beside and answers.get("want") != "here":
        here = [("here", "they are here: write them")]
        return Ask("want", found.beside_in or f.STATE, found.beside, here, WANTED_ONLY)
    if register.get(f.FITTED) and answers.get("fitted") != "out":
        text = f"it stands in {register[f.FITTED]} by the list, and is no spare while it does"
        out = [("out", "it is out of the set: write it as lying at its place")]
        return Ask("fitted", f.FITTED, text, out, "it is in the set: leave this row out")
    gone = register.get(f.LEFT_ON) or register.get(f.LEFT_HOW)
    if gone and not exact_day(found.left_on) and answers.get("left") != "here":
        text = f"it left the collection by the list ({gone}), on no plain day"
        return Ask("left", f.LEFT_ON, text, [("here", "it is here: write it")])
    return None


def _away(away: Away) -> Ask:
    """Offer what a thing that is not here by the list can be: lent, back, gone."""
    text = f"{away.words!r} by the list: is it here?"
    if away.kind == LENT:
        lent = [("lent", f"lent to {away.who}: write it so, no spare")] if away.who else []
        return Ask("away", away.field, text, [*lent, ("here", "it is back: write it as here")])
    if away.kind == FITTED:
        here = [("here", "it is out of the set: write it as here")]
        return Ask("away", away.field, text, here, "it is in the set: leave this row out")
    here = [("here", "it is here all the same: write it")]
    return Ask("away", away.field, text, here, "it is gone: leave this row out")


def several_types(found: RowReading, answers: Answers) -> Stop | None:
    """Offer a row for each type where one row names several with a count of each."""
    split = found.split
    if split is None or answers.get("split") == "each":
        return None
    text = f"{found.mark}: {len(split.marks)} types on one row, {split.each} of each?"
    if split.count:
        text += f" That makes {split.total}; the column of counts says {split.count}."
    words = ", ".join(f"{split.each} × {mark}" for mark in split.marks)
    return Ask("split", f.MARK, text, [("each", f"{len(split.marks)} rows: {words}")])


def duds_differ(found: RowReading, answers: Answers) -> Stop | None:
    """Ask where a count and the words of its readings tell two numbers of duds."""
    if not found.by_count or answers.get("duds"):
        return None
    counted, named = _duds(found.by_count), _duds(found.groups)
    text = f"the count tells {counted} dud, the readings {named}: how many are there?"
    by_count = ("count", f"{counted} by the count: the readings are kept as said of the row")
    return Ask("duds", f.QUANTITY, text, [("readings", f"{named} by the readings"), by_count])


def by_the_count(found: RowReading, answers: Answers) -> RowReading:
    """The row with its duds by the count, where the keeper said so: whose the readings are is not told then."""
    if not found.by_count or answers.get("duds") != "count":
        return found
    readings = tuple(replace(one, whose=(), states=()) for one in found.readings)
    return replace(found, groups=found.by_count, readings=readings)


def _duds(groups: tuple[Group, ...]) -> int:
    return sum(group.count for group in groups if group.state == DUD)


def no_plate(found: RowReading) -> Stop | None:
    """Refuse what does not fit the columns of serialled things."""
    for name, text, most in (
        (f.MODEL, found.model, 80),
        (f.SERIAL, found.serial, 40),
        (f.MATE, found.mate_serial, 40),
    ):
        if len(text) > most:
            return Refuse(name, text, f"longer than {most} letters", "move the words to the notes")
    return None if found.model else Refuse(f.MODEL, "", "no model is given", "add the model")


def twin(row: int, kind: str, name: str, found: RowReading, answers: Answers, serials: Serials) -> Stop | None:
    """Ask where the same serial is on the same model, in the register or further up in the list."""
    there = serials.claim(kind, name, found.serial, row) if found.serial else ""
    if not there or answers.get("twin") == "another":
        return None
    text = f"{name} {found.serial} {there}: is this another one?"
    return Ask("twin", f.SERIAL, text, [("another", "another thing with the same serial: write it")])


def many(found: RowReading, answers: Answers) -> Stop | None:
    """Ask about more things on one row than anybody counts by mistake."""
    total = sum(group.count for group in found.groups)
    if total <= MOST_OF_A_ROW or answers.get("many") == "all":
        return None
    text = f"{total} things on one row, each with a tag of its own"
    return Ask("many", f.QUANTITY, text, [("all", f"write all {total}")])


def one_serial(found: RowReading, answers: Answers) -> int | Stop:
    """How many to write: one serial beside a larger count is a question."""
    total = sum(group.count for group in found.groups)
    if total < 2 or not found.serial or answers.get("serial") == "all":
        return total
    if answers.get("serial") == "one":
        return 1
    text = f"one serial, {found.serial}, and a count of {total}"
    choices = [("one", "one thing with that serial"), ("all", f"{total} things, the others without a number")]
    return Ask("serial", f.QUANTITY, text, choices)
