"""The register of hazards: every hazard of every thing here, where it stands, why, and who looked."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Value

from inventory.holdings.models import Fact, HazardCheck, HazardMark, Item, Place
from inventory.holdings.queries.hazard_grounds import grounds_of_type, made_on, mark_of, own_grounds, weight_of
from inventory.holdings.queries.type_hazards import hazards_of_stamp, hazards_of_types
from inventory.holdings.rules import hazard_grounds as why
from inventory.holdings.rules.facts import MADE, WEIGHT
from inventory.holdings.rules.hazard_kinds import BY_WORDS, HazardKind
from inventory.holdings.rules.hazard_register import BEARS, OPEN, UNSEEN, Line, Look, Mark, lines_of
from inventory.house.areas import thing_columns
from inventory.house.hazard_concerns import Inside, grounds_now, inside_now

NO_PLACE = "no place"
THROUGH: Any = HazardCheck.things.through


@dataclass(frozen=True, slots=True)
class Entry:
    """A hazard of a thing. ``path``: where it stands, with the set that holds it; ``way``: how it came to be there."""

    item: Item
    what: str
    path: str
    line: Line
    inside: Inside | None = None
    quantity: str = ""

    @property
    def way(self) -> str:
        """That it is in a set, or away with it or alone; empty where it stands there itself."""
        away = f"lent to {self.item.lent_to}" if self.item.lent_to else ""
        missed = f"not found on {self.item.missed_on}" if self.item.missed_on else ""
        inside = (self.inside.words, self.inside.away) if self.inside else ()
        return ", ".join(filter(None, (*inside, away, missed)))

    def as_dict(self) -> dict[str, Any]:
        line = self.line
        own = ("own record",) if line.on or line.standing == "proposed" else ()
        return {
            "thing": self.item.tag, "place": self.path or None, "hazard": line.hazard,
            "source": "; ".join((*own, *(line.texts if line.grounds or not own else ()))) or None,
            "checked_on": line.on.isoformat() if line.on else None, "by": line.by or None,
            "what_to_do": line.to_do, "what": self.what, "kind": self.item.kind, "found": line.standing,
            "why": list(line.reasons), "note": line.note or None, "against": line.against or None,
            "in": self.inside.holder if self.inside else None, "way": self.way or None,
            "quantity": self.quantity or None,
        }  # fmt: skip


@dataclass(frozen=True)
class Register:
    """``entries`` by place, hazard, thing. ``things``: how many things there are in all; ``looked``: at how many of
    them anybody looked.
    """

    entries: tuple[Entry, ...]
    things: int
    looked: int

    def narrowed(
        self, *, hazard: str = "", standing: str = "", before: date | None = None, words: Sequence[str] = ()
    ) -> list[Entry]:
        """Entries of a hazard, of a standing (see ``NARROWED``), checked before a day, with all of the words."""
        found = [one for one in self.entries if standing == UNSEEN or one.line.standing != UNSEEN]
        if hazard:
            found = [one for one in found if one.line.hazard == hazard]
        if standing:
            found = [one for one in found if _stands(one.line, standing)]
        if before:
            found = [one for one in found if one.line.on and one.line.on < before]
        folded = [word.casefold() for word in words]
        return [one for one in found if all(word in _said(one) for word in folded)] if folded else found

    @property
    def kinds(self) -> list[HazardKind]:
        return kinds_in(self.entries)


def kinds_in(entries: Iterable[Entry]) -> list[HazardKind]:
    """The kinds of hazard that entries tell of, in their order."""
    named = {one.line.hazard for one in entries}
    return list(dict.fromkeys(kind for words, kind in BY_WORDS.items() if words in named))


AGAINST, NOT_CHECKED, BORNE = "contradicted", "not checked", "borne"
#: What the register can be narrowed to, with its words.
NARROWED = (
    (BORNE, "hazards that stand: found, likely, or by a rule"), (NOT_CHECKED, "hazards that nobody checked yet"),
    ("confirmed", "confirmed"), ("disproved", "rules that were disproved"), ("none found", "looked for, none found"),
    (AGAINST, "what contradicts a check"), (UNSEEN, "things that nobody looked at"),
)  # fmt: skip


def _stands(line: Line, standing: str) -> bool:
    if standing == AGAINST:
        return bool(line.against)
    if standing == NOT_CHECKED:
        return line.standing in OPEN
    return line.standing in BEARS if standing == BORNE else line.standing == standing


def _said(one: Entry) -> str:
    line = one.line
    told = (one.item.tag, one.what, one.path, one.way, line.hazard, line.standing, line.by, line.against)
    return "\n".join((*told, *line.reasons)).casefold()


def hazard_register(place: Place | None = None, *, unseen: bool = False, only: Item | None = None) -> Register:
    """Every hazard here, in a fixed number of queries. ``unseen``: also things without a hazard that nobody looked at.

    ``place``: only what is in it or below, with what stands in the sets there. ``only``: of one thing.
    """
    inside, told = inside_now(), grounds_now()
    types = hazards_of_types()
    rows: Any = Item.objects.filter(gone_on__isnull=True)
    here = rows.filter(pk=only.pk) if only else rows.filter(_within(place, inside)) if place else rows
    marks, looks, facts = _marks(here), _looks(here), _facts(here)
    entries: list[Entry] = []
    wanted = here if unseen or only else here.filter(_may_bear(types))
    for item in wanted.select_related(*thing_columns()).order_by("tag").iterator(chunk_size=5000):
        holder = inside.get(item.pk)
        path = (holder.path if holder else "") or (item.place.path if item.place else "")
        if place and not _under(path, place):
            continue
        grounds = [*told.get(item.pk, ()), *_grounds(item, types, facts.get(item.pk, {}))]
        quantity = item.partlot.quantity_text if item.kind == Item.PARTS and item.row else ""
        for line in lines_of(grounds, marks.get(item.pk, ()), looks.get(item.pk, ())):
            if unseen or only or line.standing != UNSEEN:
                entries.append(Entry(item, _name(item), path, line, holder, quantity))
    looked = len({one.item.pk for one in entries if one.line.on})
    return Register(tuple(sorted(entries, key=_order)), _count(rows, place, inside) if not only else 1, looked)


def _under(path: str, place: Place) -> bool:
    return path == place.path or path.startswith(f"{place.path} / ")


def _within(place: Place, inside: Mapping[int, Inside]) -> Q:
    """Things with their own place there, and what stands in the sets there; more of them than is there at most."""
    held = [key for key, one in inside.items() if _under(one.path, place)]
    return Q(place__path=place.path) | Q(place__path__startswith=f"{place.path} / ") | Q(pk__in=held)


def hazards_at(place: Place) -> list[tuple[str, int]]:
    """The hazards that things in a place and below it bear, found, likely or by a rule, with how many bear each."""
    counted: dict[str, set[int]] = defaultdict(set)
    for one in hazard_register(place).entries:
        if one.line.standing in BEARS:
            counted[one.line.hazard].add(one.item.pk)
    return [(name, len(counted[name])) for name in sorted(counted, key=lambda one: (_ORDER.get(one, 99), one))]


def checks_at(place: Place, most: int = 5) -> list[HazardCheck]:
    """The last checks of places that found none and of which things stand here now, here or in a set.

    Each with ``here``, at how many of the things here it looked, and ``among``, how many there are: whatever the place
    was called then, it says nothing of what came since or was left out.
    """
    inside = inside_now()
    here = Item.objects.filter(_within(place, inside), gone_on__isnull=True)
    rows = HazardCheck.objects.filter(struck="", where__gt="").annotate(
        here=Count("things", filter=Q(things__in=here.values("pk")), distinct=True),
        among=Value(_count(here, place, inside)),
    )
    return list(rows.filter(here__gt=0).order_by("-on", "-pk")[:most])


def _name(item: Item) -> str:
    """A tube by its type, so that like ones stand together; all else as its own page calls it."""
    return str(item.row.label_name) if item.kind == Item.TUBE and item.row and item.row.type_id else item.words


_ORDER = {words: at for at, words in enumerate(BY_WORDS)}


def _order(one: Entry) -> tuple[Any, ...]:
    return (not one.path, one.path, _ORDER.get(one.line.hazard, 99), one.line.hazard, one.what, one.item.tag)


def _count(rows: QuerySet[Item], place: Place | None, inside: dict[int, Inside]) -> int:
    """How many things are in a place and below it, with what stands in the sets there."""
    if place is None:
        return rows.count()
    below = f"{place.path} / "
    held = {key for key, one in inside.items() if one.path}
    itself = rows.filter(Q(place__path=place.path) | Q(place__path__startswith=below)).values_list("pk", flat=True)
    standing = {key for key, one in inside.items() if one.path == place.path or one.path.startswith(below)}
    return len((set(itself) - held) | standing)


def _may_bear(types: Mapping[str, tuple[why.Ground, ...]]) -> Q:
    """Things that something can be said of: all but tubes whose type, record and words say nothing."""
    stamps = Item.objects.filter(gone_on__isnull=True, tube__marked__gt="").values_list("tube__marked", flat=True)
    named = [stamp for stamp in stamps.order_by().distinct() if why.of_words(stamp) or hazards_of_stamp(stamp, types)]
    tubes = Q(tube__type__name__in=list(types)) | Q(tube__marked__in=named)
    for field in ("type__table_caution", "type__hazard", "condition", "note"):
        tubes |= Q(**{f"tube__{field}__gt": ""})
    on_record = Exists(HazardMark.objects.filter(item=OuterRef("pk")))
    looked_at = Exists(THROUGH.objects.filter(item=OuterRef("pk"), hazardcheck__struck=""))
    weighed = Exists(Fact._base_manager.filter(item=OuterRef("pk"), about=WEIGHT, struck=""))
    return ~Q(kind=Item.TUBE) | tubes | Q(on_record) | Q(looked_at) | Q(weighed)


def _marks(here: Any) -> dict[int, list[Mark]]:
    found: dict[int, list[Mark]] = defaultdict(list)
    rows = HazardMark.objects.filter(item__in=here.values("pk")).order_by("pk")
    for row in rows:
        found[row.item_id].append(mark_of(row))
    return found


def _looks(here: Any) -> dict[int, list[Look]]:
    found: dict[int, list[Look]] = defaultdict(list)
    rows = THROUGH.objects.filter(hazardcheck__struck="", item__in=here.values("pk"))
    columns = ("on", "by_whom", "how", "hazard", "pk")
    for key, *cells in rows.values_list("item_id", *(f"hazardcheck__{name}" for name in columns)):
        found[key].append(Look(*cells))
    return found


def _facts(here: Any) -> dict[int, dict[str, Any]]:
    """By key the weight in kg and the earliest day of making, as facts say them (``hazard_grounds.made_on``)."""
    told: dict[int, list[Any]] = defaultdict(list)
    rows = Fact._base_manager.filter(about__in=(MADE, WEIGHT), struck="", item__in=here.values("pk"))
    for key, *cells in rows.values_list("item_id", "about", "value", "unit", "first", "estimated"):
        told[key].append(cells)
    return {
        key: {
            MADE: made_on((first, estimated) for about, _, _, first, estimated in facts if about == MADE),
            WEIGHT: weight_of((value, unit) for about, value, unit, _, _ in facts if about == WEIGHT),
        }
        for key, facts in told.items()
    }


def _grounds(item: Item, types: Mapping[str, tuple[why.Ground, ...]], facts: dict[str, Any]) -> list[why.Ground]:
    row: Any = item.row
    found: list[why.Ground] = []
    if row is None:
        return []
    name = str(row.label_name)
    for caution in row.cautions:
        found += why.of_caution(caution, name) if caution else ()
    found += grounds_of_type(item, types)
    weighed = facts.get(WEIGHT)
    own = own_grounds(item, facts.get(MADE), weighed)
    found += own
    said = next(filter(None, map(why.weight_in, row.cautions)), None)
    if said and not weighed and all(one.hazard != why.WEIGHT for one in own):
        found += why.of_weight(said, "its caution says")
    return found


def bearing_now(place: Place, hazard: str = "") -> set[int]:
    """The keys of things in a place that bear a hazard, or one of a kind (its mark), found, likely or by a rule."""
    kind = BY_WORDS.get(hazard)
    return {
        one.item.pk for one in hazard_register(place).entries
        if one.line.standing in BEARS and (kind is None or one.line.kind == kind)
    }  # fmt: skip


def hazards_as_list(register: Register) -> list[dict[str, Any]]:
    """The contract of command and API: a row for each hazard of each thing, and for each check that found none."""
    return [one.as_dict() for one in register.narrowed()]
