"""What is this, and do I have one: what a text can mean, and for each meaning what is known, owned, where, wanted."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from django.db.models import Count, Q

from inventory.frontpage.queries.relatives import StandIn, forms_and_kin, marked_stand_ins
from inventory.holdings.models import Tube
from inventory.holdings.queries import tubes_here, with_own_number
from inventory.holdings.queries.doubts import with_words
from inventory.house.concerns import held_by_many
from inventory.house.search import place_words
from inventory.lists.queries.uncounted import Uncounted, uncounted_of
from inventory.sets.queries import Stock, fitted_now, good_by_type, stock_of, stock_where
from inventory.sets.queries.doubts import SaidOfGood, said_of_good
from inventory.sets.queries.sockets import positions_wanting
from inventory.sets.queries.unsettled import MarkedForm, marked_forms
from tubes.queries import (
    Knowledge,
    MarkRow,
    TypeCard,
    form_for_stamp,
    holding,
    knowledge,
    tube_for_stamp,
    type_card,
    types_like,
)
from tubes.rules.family import is_form_of, letters_tell
from tubes.rules.relations import NEAR, RELATIONS, RUGGEDIZED, SAME, VARIANT, is_unchecked
from tubes.rules.stamp import StampAnswer, fold_key
from tubes.rules.this_tube import parts_in_words, parts_read

MOST_FORMS = 24  # of one family, told with their counts
LEAD = "lead"  # that a mark means a type, and nobody checked it
READ_AS = {RUGGEDIZED: "a ruggedized form", VARIANT: "a variant", NEAR: "a near relative"}


@dataclass(frozen=True)
class AsForm:
    """A position that wants a type of which the tube is another form: it may serve there, with care."""

    set_model: str
    mark: str
    wants: str
    form: str  # how the tube differs from the type wanted


@dataclass(frozen=True)
class Match:
    """A type that a text can mean: its marks, its relatives, what is owned, where, and which positions want it.

    ``beginning``: the text is the family number of which this is a form. ``settled`` False: no type, but the mark of
    tubes here whose type is not settled; ``form`` is then the form that it names, if it is one of a known type.
    ``read_as``: how what was asked is related to the type (a relation, or "lead"), and in ``read_note`` what differs.
    """

    card: TypeCard
    stock: Stock
    positions: tuple[tuple[str, str], ...]
    good_relatives: tuple[StandIn, ...] = ()
    uncounted: tuple[Uncounted, ...] = ()  # what lists name and nobody counted
    beginning: bool = False
    settled: bool = True
    as_form: tuple[AsForm, ...] = ()
    read_as: str = SAME
    read_note: str = ""
    form: str = ""
    marked: MarkedForm | None = None  # what is on the shelf of that form

    @property
    def good_forms(self) -> tuple[StandIn, ...]:
        """Those of the relatives that are other forms of it and may serve in its place."""
        return tuple(one for one in self.good_relatives if one.form and one.verdict)

    @property
    def called(self) -> tuple[str, ...]:
        """The names under which it is wanted: of the type, or the form that an unsettled mark names."""
        return (self.form or self.card.name, *self.card.same)

    @property
    def read_words(self) -> str:
        """What to know of a type that is not the very tube that was asked for; empty where it is."""
        if self.read_as == LEAD:
            return f"That it is {self.card.name} is a lead that nobody checked."
        if self.read_as not in READ_AS:
            return ""
        differs = f" ({self.read_note})" if self.read_note else ""
        return f"What you typed is no plain {self.card.name}: {READ_AS[self.read_as]}{differs}. Counted apart."


@dataclass(frozen=True)
class LookUp:
    """The answer to a text: how it reads, each type that it can mean, and the forms of the family that it names.

    ``more_forms``: how many more forms of that family there are than ``matches`` tells. ``like``: type names to try
    instead; ``more_like``: how many more begin so. ``begun_here``: types here that begin so, with their tubes.
    ``parts``: numbers that were read and are only parts of what was asked, ``part_words`` why they answer nothing.
    ``marked_so``: the tubes here without a settled type that bear this very mark.
    """

    query: str
    stamp: StampAnswer
    matches: tuple[Match, ...]
    like: tuple[str, ...] = ()
    refuted: tuple[MarkRow, ...] = ()
    more_forms: int = 0
    more_like: int = 0
    parts: tuple[str, ...] = ()
    part_words: str = ""
    marked_so: Match | None = None
    begun_here: tuple[tuple[str, int], ...] = ()

    @property
    def told(self) -> tuple[Match, ...]:
        """All that is told with counts: what the text means, what is marked so, the forms of a family."""
        plain = [match for match in self.matches if not match.beginning]
        return (*plain, *([self.marked_so] if self.marked_so else ()), *self.forms)

    @property
    def letters_tell(self) -> str:
        """What the letters behind the family number tell."""
        return letters_tell(self.query)

    @property
    def forms(self) -> tuple[Match, ...]:
        """The matches that are forms of the family which the text names."""
        return tuple(match for match in self.matches if match.beginning)


def look_up(text: str, most_like: int = 12) -> LookUp:
    """Read a text as a stamp and gather, for each type it can mean, what is known and owned.

    A family number (6SN7) finds its forms: all that are known or here where it is no type of its own, and behind a
    type of that very number (6V6) those of which something is here.
    """
    known = knowledge()
    stamp = known.read(text)
    settled = tube_for_stamp(stamp, known)
    parts = parts_read(stamp, settled)
    names = [] if parts else _types_meant(stamp, known)
    borne = _unsettled_marks() if fold_key(text) else []
    types, marks = ([], {}) if parts else _family(text, stamp, names, borne, known)
    told = types[:MOST_FORMS], list(marks)[: max(0, MOST_FORMS - len(types))]
    every = {same for name in (*names, *told[0]) for same in known.kin.same_as(name)}
    marked = marked_forms(known, {*every, *told[1], form_for_stamp(stamp, known)} - {""})
    near = {one.type for name in every for one in known.kin.relatives(name) if not one.unchecked}
    doubts = said_of_good(Q(type__name__in={*every, *near}) | Q(type__isnull=True, marked__in=borne))
    matches = (
        *(_as_read(_match(name, known, marked, doubts), stamp) for name in names),
        *(_match(name, known, marked, doubts, beginning=True) for name in told[0]),
        *(_of_mark(mark, marks[mark], known, marked, doubts) for mark in told[1]),
    )
    like = [] if matches else types_like(text, known, None)
    key = fold_key(text)
    refuted = tuple(mark for mark in known.refuted if key and fold_key(mark.designation) == key)
    more = len(types) + len(marks) - len(told[0]) - len(told[1])
    return LookUp(
        text,
        stamp,
        matches,
        tuple(like[:most_like]),
        refuted,
        more,
        len(like[most_like:]),
        parts,
        parts_in_words(stamp, settled),
        _marked_so(text, borne, known, marked, doubts),
        () if matches else _begun_here(text, known),
    )


def _as_read(match: Match, stamp: StampAnswer) -> Match:
    """A match with the way in which the text means it, the closest where there are several."""
    name = match.card.name
    if any(reading.designation == name for reading in stamp.readings):
        return match
    ways = [
        (LEAD if is_unchecked(reading.note) else reading.relation or SAME, reading.note)
        for reading in stamp.readings
        if reading.type == name
    ]
    rank = [*RELATIONS, LEAD]
    way, note = min(ways, key=lambda one: rank.index(one[0]) if one[0] in rank else len(rank), default=(SAME, ""))
    return match if way == SAME else replace(match, read_as=way, read_note=note)


def _begun_here(text: str, known: Knowledge, most: int = 12) -> tuple[tuple[str, int], ...]:
    """Types of which tubes are here and whose name begins so, each with how many they are (one query)."""
    key = fold_key(text)
    names = [name for name in known.types if len(key) > 1 and fold_key(name).startswith(key)]
    rows = tubes_here().filter(type__name__in=names).order_by("type__name").values_list("type__name")
    return tuple(rows.annotate(count=Count("pk"))[:most]) if names else ()


def _marked_so(
    text: str, borne: Iterable[str], known: Knowledge, marked: Mapping[str, MarkedForm], doubts: SaidOfGood
) -> Match | None:
    """The tubes here without a type whose mark says what was asked and no more (VT-60, EL3N, STV 280/80)."""
    key = fold_key(text)
    bearing = [mark for mark in borne if key and key in fold_key(mark) and _says(mark, key, known)]
    return _of_mark(text.strip(), bearing, known, marked, doubts, beginning=False) if bearing else None


def _says(mark: str, key: str, known: Knowledge) -> bool:
    if fold_key(mark) == key:
        return True
    answer = known.read(mark)
    if parts_read(answer, tube_for_stamp(answer, known)):
        return False
    return any(fold_key(reading.designation) == key for reading in answer.readings)


def _unsettled_marks() -> list[str]:
    """The marks of tubes here without a type, each once (one query)."""
    rows = tubes_here().filter(type__isnull=True).order_by("marked")
    return list(rows.values_list("marked", flat=True).distinct())


def _types_meant(stamp: StampAnswer, known: Knowledge) -> list[str]:
    """Types by the readings, the tube itself first, each once.

    A mark that names a tube of its own (6SN7WGT) comes before the types it is related to. A type named by its plain
    number is left out where a table row already gave the same tube under another name.
    """
    names: list[str] = []
    for reading in stamp.readings:
        own = reading.designation in known.types and reading.relation != "same"
        if own and reading.designation not in names:
            names.insert(0, reading.designation)
        if reading.type is None or reading.type in names:
            continue
        if reading.scheme == "plain" and known.kin.same_as(reading.type) & set(names):
            continue
        names.append(reading.type)
    return names


def _family(
    text: str, stamp: StampAnswer, meant: list[str], borne: Iterable[str], known: Knowledge
) -> tuple[list[str], dict[str, list[str]]]:
    """(types, marks of unsettled tubes here) that are forms of the number which a text names, without those meant.

    Each mark stands with all ways in which it is written on tubes. Where the text means a type, only forms of which
    something is here; of a text that means types of other numbers alone (VT-231), none.
    """
    asked = {fold_key(reading.designation) for reading in stamp.readings} or {fold_key(text)}
    if meant:
        asked &= {fold_key(name) for name in meant}
    types = known.forms_of(asked)
    marks = _unsettled_forms(asked, borne, known)
    if meant and types:
        types = _with_tubes(types)
    told: set[str] = set().union(*(known.kin.same_as(name) for name in meant))
    found = []
    for name in types:
        if name not in told:
            found.append(name)
            told |= known.kin.same_as(name)
    return found, marks


def _unsettled_forms(numbers: Iterable[str], borne: Iterable[str], known: Knowledge) -> dict[str, list[str]]:
    """Forms of these numbers among ``borne``, marks of tubes without a type: the form -> the marks as they stand."""
    asked = [number for number in numbers if number]
    found: dict[str, list[str]] = {}
    for marked in borne if asked else ():
        key = fold_key(marked)
        if not any(number in key for number in asked):
            continue
        for name in dict.fromkeys(reading.designation for reading in known.read(marked).readings):
            if name not in known.types and any(is_form_of(name, number) for number in asked):
                found.setdefault(name, []).append(marked)
    return found


def _with_tubes(names: list[str]) -> list[str]:
    """Those of some types of which tubes are here, or stand uncounted on a list (two queries)."""
    here = set(tubes_here().filter(type__name__in=names).order_by().values_list("type__name", flat=True).distinct())
    here |= {one.type for one in uncounted_of(names) if one.type}
    return [name for name in names if name in here]


def _match(
    name: str, known: Knowledge, marked: Mapping[str, MarkedForm], doubts: SaidOfGood, *, beginning: bool = False
) -> Match:
    card = type_card(name, known)
    same = (name, *card.same)
    counts = good_by_type(r.type for r in card.relatives if not r.unchecked)
    good = (*forms_and_kin([name], known, counts, doubts), *marked_stand_ins(same, known, marked))
    positions = tuple((position.set_model.name, position.mark) for position in positions_wanting(same))
    stock, uncounted = replace(stock_of(same), said=doubts.of(same)), tuple(uncounted_of(same))
    return Match(card, stock, positions, good, uncounted, beginning, True, _as_form(same, known))


def _as_form(names: Iterable[str], known: Knowledge) -> tuple[AsForm, ...]:
    """Positions that want a type of which one of these is another form (one query, where there is such a type)."""
    forms = known.other_forms(names)
    rows = positions_wanting(forms) if forms else []
    return tuple(AsForm(row.set_model.name, row.mark, str(row.type), forms[str(row.type)]) for row in rows)


def _of_mark(
    name: str,
    borne: list[str],
    known: Knowledge,
    marked: Mapping[str, MarkedForm],
    doubts: SaidOfGood,
    *,
    beginning: bool = True,
) -> Match:
    """A mark that is no type yet: the tubes here that bear it."""
    card = TypeCard(name, "", own_mark=True, marks=(), relatives=(), same=(), figures=())
    stock = replace(stock_where(Q(type__isnull=True, marked__in=borne)), said=doubts.marked(borne))
    form = form_for_stamp(known.read(name), known)
    as_form = _as_form([form or name], known)
    return Match(
        card, stock, (), beginning=beginning, settled=False, as_form=as_form, form=form, marked=marked.get(form)
    )


def pieces_for(found: LookUp, limit: int = 60) -> list[Tube]:
    """The tubes that a look-up is about: of the types meant, and untyped ones that bear the very text."""
    names = {name for match in found.matches for name in (match.card.name, *match.card.same)}
    marked = Q(type__isnull=True) & holding("marked", found.query)
    rows = tubes_here().filter(Q(type__name__in=names) | marked)
    fitted = fitted_now()
    return with_words(with_own_number(rows.annotate(is_fitted=fitted)).order_by("state", "item_id")[:limit])


def untyped_bearing(text: str, limit: int = 12) -> list[Tube]:
    """Tubes here whose type is not settled and whose mark holds this text, each with where it is.

    A fixed number of queries.
    """
    words = text.replace("\0", "").strip()
    if len(words) < 3:
        return []
    rows = tubes_here().filter(holding("marked", words), type__isnull=True).select_related("item__place")
    found = with_words(rows.order_by("item_id")[:limit])
    held = held_by_many([tube.item for tube in found])
    for tube in found:
        tube.where = place_words(tube.item, held.get(tube.pk, ()))
    return found
