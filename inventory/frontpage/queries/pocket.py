"""What a keeper asks with a tube in one hand: do I own it, who needs it, which serial would match, what to look at."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Q

from inventory.frontpage.queries.look_up import Match, look_up, untyped_bearing
from inventory.frontpage.queries.needs import FormNeed, kin_needs
from inventory.frontpage.queries.pocket_prices import Asked, Equipment, asked_for, equipment_card
from inventory.frontpage.queries.relatives import StandIn, kin_of, places_of
from inventory.frontpage.queries.search import tag_not_here
from inventory.holdings.models import Item, Tube, Want
from inventory.holdings.queries import tag_in, wants_by_type, wants_in_words
from inventory.holdings.queries.doubts import with_words_of_items
from inventory.house.areas import thing_columns
from inventory.lists.queries.uncounted import Uncounted, uncounted_marked
from inventory.pairing.models import Companion
from inventory.pairing.queries import COMPANION, PairFilter, pairing_table
from inventory.pairing.rules.companions import MATE_MISSING
from inventory.sets.models import Position, SetModel, UnitModel
from inventory.sets.queries import Stock, chassis_here, units_here
from inventory.sets.queries.mercury import mercury_cautions
from inventory.sets.queries.needs import SetNeed, needs_of, sorted_needs
from inventory.sets.queries.unsettled import MarkedForm
from inventory.valuation.queries.going import going
from inventory.valuation.rules.goes_for import Going
from tubes.queries import Knowledge, TypeCard, knowledge
from tubes.rules.schemes import BY_NAME
from tubes.rules.stamp import fold_key

NOT_WANTED = "not on the want list"


@dataclass(frozen=True)
class Wanted:
    """A set here without its own plug-in unit or companion: the serial that would match it.

    ``maybe_here``: such a thing is here whose plate cannot be read; it may be the one.
    """

    thing: str
    serial: str
    set_name: str
    set_tag: str
    maybe_here: bool = False


@dataclass(frozen=True)
class PocketMatch:
    """A type that the text can mean, with all that is asked about it."""

    card: TypeCard
    stock: Stock
    needs: tuple[SetNeed, ...]
    cautions: tuple[tuple[str, str], ...]
    on_list: tuple[Want, ...] = ()
    uncounted: tuple[Uncounted, ...] = ()
    beginning: bool = False  # the text is the family number of which this is a form
    settled: bool = True  # else no type: the mark of tubes whose type is not settled
    as_form: tuple[FormNeed, ...] = ()  # what wants one, by the state of the tube in it
    stand_ins: tuple[StandIn, ...] = ()  # good ones here of its other forms and near kin
    read_words: str = ""  # what to know of a type that is not the very tube that was asked for
    marked: MarkedForm | None = None  # no settled type, but the form of one that its mark names
    going: Going | None = None  # what it goes for; None of what is no type
    verdict: str = ""  # on the price that is asked
    money: bool = True  # whether the house's own prices are seen

    @property
    def price(self) -> str:
        """What the want list says of it."""
        return price_told(self.on_list, money=self.money)

    @property
    def needy(self) -> tuple[SetNeed, ...]:
        """Positions that want a tube: empty, or holding a dud, a weak one or one in doubt."""
        return tuple(need for need in self.needs if need.needy)

    @property
    def content(self) -> tuple[SetNeed, ...]:
        return tuple(need for need in self.needs if not need.needy)


@dataclass(frozen=True)
class PocketAnswer:
    """The answer to one text. ``item``: the text is the tag of this thing of the register."""

    query: str
    matches: tuple[PocketMatch, ...] = ()
    ambiguous: bool = False
    refused: str = ""
    item: Item | None = None
    wanted: tuple[Wanted, ...] = ()
    fits: tuple[Wanted, ...] = field(default=())
    like: tuple[str, ...] = ()
    more_like: int = 0
    more_forms: int = 0
    here: tuple[tuple[str, str, str], ...] = ()  # things here with that very serial: name, tag, place
    untyped: tuple[Tube, ...] = ()  # tubes here that bear it and whose type is not settled
    uncounted: tuple[Uncounted, ...] = ()  # marks so on lists, without a type, that nobody counted
    on_list: tuple[Want, ...] = ()  # things of the want list that are no known type
    part_words: str = ""  # why numbers that were read answer nothing
    marked_so: tuple[PocketMatch, ...] = ()  # what bears this very mark and has no settled type
    no_tag: str = ""  # the text has the shape of this tag, and no thing bears it
    begun_here: tuple[tuple[str, int], ...] = ()  # types here that begin so, with their tubes
    asked: Asked = field(default_factory=lambda: Asked(""))
    equipment: Equipment | None = None  # a set, unit or book that it names

    @property
    def told(self) -> tuple[PocketMatch, ...]:
        """All that is told with counts, in the order of ``LookUp.told``."""
        forms = [match for match in self.matches if match.beginning]
        return (*(match for match in self.matches if not match.beginning), *self.marked_so, *forms)

    @property
    def nothing(self) -> bool:
        told = (self.matches, self.item, self.wanted, self.fits, self.here, self.on_list, self.untyped, self.uncounted)
        return not any((*told, self.equipment))


def pocket_answer(text: str, on: date, price: str = "", *, money: bool = True) -> PocketAnswer:
    """Answer a typed number, a scanned tag or the address on a scanned label.

    A price behind it, or given as ``price``, is weighed against what such a thing goes for. ``money``: whether
    whoever asks sees the house's own (``house.access.may_see_money``); else all goes by sales of others.
    """
    said = asked_for(text, price, on)
    text = said.text
    item = _item_tagged(text)
    asked = text
    if item is not None:
        tube = getattr(item, "tube", None)
        asked = (tube.type.name if tube.type else tube.marked) if tube else ""
    found = look_up(asked) if asked.strip() else None
    wanted = serials_wanted(on)
    words = _words_for_serials(text, item)
    return PocketAnswer(
        query=text.strip(),
        matches=_matches(found.matches, on, said, money) if found else (),
        ambiguous=bool(found and found.stamp.ambiguous),
        refused=(found.stamp.refused or "") if found and not found.matches else "",
        item=item,
        wanted=tuple(w for w in wanted if _names(words, w)),
        fits=tuple(w for w in wanted if item is None and _is_serial(text, w.serial)),
        like=found.like if found else (),
        more_like=found.more_like if found else 0,
        more_forms=found.more_forms if found else 0,
        part_words=found.part_words if found else "",
        marked_so=_matches([found.marked_so], on, said, money) if found and found.marked_so else (),
        no_tag=tag_not_here(text) if item is None else "",
        begun_here=found.begun_here if found else (),
        here=() if item is not None else bearing_serial(text),
        untyped=tuple(untyped_bearing(text)) if item is None else (),
        uncounted=tuple(uncounted_marked(text)) if item is None else (),
        on_list=tuple(wants_in_words(text)) if item is None else (),
        asked=said,
        equipment=equipment_card(text, item, said, on, knowledge(), money=money),
    )


def bearing_serial(text: str) -> tuple[tuple[str, str, str], ...]:
    """Sets, units and companions here whose serial, or whose set's, is this text digit for digit (three queries)."""
    serial = text.strip()
    if not serial:
        return ()
    companions = Companion.objects.filter(Q(serial__iexact=serial) | Q(mate_serial__iexact=serial))
    rows: list[Any] = [
        *chassis_here().filter(serial__iexact=serial),
        *units_here().filter(serial__iexact=serial),
        *companions.filter(item__gone_on__isnull=True).select_related("kind__set_model", "item__place"),
    ]
    return tuple((str(row), row.item.tag, row.item.place.path if row.item.place else "") for row in rows)


def _item_tagged(text: str) -> Item | None:
    rows = Item.objects.select_related(*thing_columns())
    item = rows.filter(tag=tag_in(text)).first()
    with_words_of_items([item] if item else [])
    return item


def _matches(found: Sequence[Match], on: date, asked: Asked, money: bool) -> tuple[PocketMatch, ...]:
    named = [match.called for match in found]
    places = places_of(knowledge())
    kin = [kin_of(names, places.known) for names in named]
    needs = needs_of({name for names in (*named, *kin) for name in names})
    cautions = cautions_for({name for names in named for name in names})
    wants = wants_by_type({name for names in named for name in names})
    settled = [match.card.name for match in found if match.settled]
    prices = going(settled, on, known=places.known, grade=asked.grade, own=money)
    return tuple(
        PocketMatch(
            match.card,
            match.stock,
            sorted_needs(need for name in names for need in needs.get(name, ())),
            tuple(dict.fromkeys(one for name in names for one in cautions.get(name, ()))),
            tuple(want for name in names for want in wants.get(name, ())),
            match.uncounted,
            match.beginning,
            match.settled,
            kin_needs(related, needs, places),
            places.as_rated(match.card.name, match.good_relatives),
            match.read_words,
            match.marked,
            prices.get(match.card.name) if match.settled else None,
            asked.verdict(prices.get(match.card.name)) if match.settled else "",
            money,
        )
        for match, names, related in zip(found, named, kin, strict=True)
    )


def price_told(wants: Iterable[Want], *, money: bool = True) -> str:
    """The lines of the want list about one type: how many, for what, at what price at most where ``money`` is seen."""
    lines = []
    for want in wants:
        price = f"{want.price_text or 'no price set'}; " if money else ""
        lines.append(f"{price}{want.quantity} wanted" + (f" for {want.purpose}" if want.purpose else ""))
    return ". ".join(lines) or NOT_WANTED


def cautions_for(names: Iterable[str] | None = None) -> dict[str, list[tuple[str, str]]]:
    """By type: (set model, caution) of the set models that use it, and what speaks against mercury there.

    Two queries, and those of ``mercury_among`` where a set lies on its side or switches plate and filament together.
    """
    names = names if names is None else list(names)
    rows = Position.objects.filter(type__isnull=False).exclude(set_model__caution="")
    if names is not None:
        rows = rows.filter(type__name__in=list(names))
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    cells = rows.order_by("set_model__name").values_list("type__name", "set_model__name", "set_model__caution")
    for name, model, caution in cells.distinct():
        found[name].append((model, caution))
    for name, model, against in mercury_cautions(names):
        found[name].append((model, against))
    return found


def serials_wanted(on: date) -> list[Wanted]:
    """Serials that would match a set here whose own plug-in unit or companion is not here.

    Units are matched to a set by their maker only where something is neutralized, so plain sets want none. A set
    without a readable plate cannot name a serial.
    """
    chassis = list(chassis_here().exclude(serial=""))
    owned = set(units_here().values_list("model_id", "serial"))
    wanted = []
    for model in UnitModel.objects.prefetch_related("fits"):
        fits = {row.pk for row in model.fits.all() if row.neutralizing != SetModel.NONE}
        wanted += [
            Wanted(model.name, one.serial, str(one), one.tag, maybe_here=(model.pk, "") in owned)
            for one in chassis
            if one.model_id in fits and (model.pk, one.serial) not in owned
        ]
    rows = pairing_table(on, PairFilter(states=(MATE_MISSING,), kinds=(COMPANION,)))
    wanted += [
        Wanted(row.unit.model, row.chassis.serial, row.chassis.name, row.chassis.tag)
        for row in rows
        if row.chassis.serial and row.chassis.tag and not row.unit.tag
    ]
    return wanted


def _words_for_serials(text: str, item: Item | None) -> str:
    """What to look for among the serials wanted: the text, or the model of the thing that was scanned."""
    if item is None:
        return text
    for name in ("pluginunit", "chassis"):
        if thing := getattr(item, name, None):
            return str(thing.model.name if name == "pluginunit" else thing.serial)
    companion = getattr(item, "companion", None)
    return companion.kind.name if companion else ""


def _names(words: str, wanted: Wanted) -> bool:
    """Whether every word stands in the names of the thing and its set; a lone short word is too little."""
    told = f"{wanted.thing} {wanted.set_name}".casefold()
    parts = re.findall(r"\w+", words.casefold())
    return len("".join(parts)) > 2 and all(part in told for part in parts)


def _is_serial(text: str, serial: str) -> bool:
    """A serial is text: 01432 is not 1432."""
    return bool(text.strip()) and text.strip().casefold() == serial.casefold()


def mark_index(known: Knowledge) -> dict[str, list[tuple[str, str]]]:
    """Folded mark -> (type, relation) of all that it can mean; what nobody checked has relation "lead"."""
    index: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for name in known.types:
        index[fold_key(name)].append((name, "same"))
    for mark in known.marks:
        if mark.scheme == BY_NAME:
            continue
        entry = (mark.type, "lead" if mark.unchecked else mark.relation)
        if entry not in index[fold_key(mark.designation)]:
            index[fold_key(mark.designation)].append(entry)
    return index
