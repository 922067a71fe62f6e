"""The pocket page's answers for every type owned or wanted, in one piece, for places without a signal."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import Count, Q

from inventory.frontpage.queries.needs import kin_needs
from inventory.frontpage.queries.pocket import cautions_for, mark_index, price_told, serials_wanted
from inventory.frontpage.queries.relatives import (
    WITH_CARE,
    Places,
    forms_and_kin,
    kin_of,
    marked_stand_ins,
    places_of,
)
from inventory.holdings.models import Item, Tube, Want
from inventory.holdings.queries import AT_HAND, open_wants, tubes_here, wants_by_type
from inventory.house.concerns import doubts_of_many
from inventory.lists.queries.uncounted import Uncounted, uncounted_by_type
from inventory.sets.queries import chassis_here, fitted_now, units_here
from inventory.sets.queries.doubts import SaidOfGood, said_of_good
from inventory.sets.queries.needs import SetNeed, needs_of, sorted_needs
from inventory.sets.queries.unsettled import MarkedForm, marked_forms
from inventory.valuation.queries.going import going
from inventory.valuation.rules.goes_for import Going
from tubes.models import TubeType
from tubes.queries import Knowledge, knowledge
from tubes.rules.family import form_of
from tubes.rules.relations import RELATIONS
from tubes.rules.text import SOVIET

RANKS = (*RELATIONS, "lead")
MOST_TAGS = 20_000  # more would make the file too heavy for a telephone; it says that it holds none
STATES = (Tube.GOOD, Tube.UNTESTED, Tube.WEAK, Tube.DUD)


@dataclass
class _Tally:
    """Tubes of one type (and of all that are the same tube), as ``sets.queries.stock_of`` counts them."""

    states: dict[str, int] = field(default_factory=lambda: dict.fromkeys(STATES, 0))
    fitted: int = 0
    lent: int = 0
    missed: int = 0
    places: dict[str, list[int]] = field(default_factory=dict)

    def add(self, state: str, place: str | None, fitted: bool, lent: bool, missed: bool, count: int) -> None:
        self.lent += count if lent else 0
        if fitted:
            self.fitted += count
        elif missed and not lent:
            self.missed += count
        elif not lent:
            self.states[state] += count
            if state in (Tube.GOOD, Tube.UNTESTED):
                at = self.places.setdefault(place or "without a place", [0, 0])
                at[state == Tube.UNTESTED] += count


def saved_copy(on: date, *, with_places: bool, money: bool = True) -> dict[str, Any]:
    """All answers as plain lists: a fixed number of queries, however many tubes there are.

    ``types``: name, other names, counts, places, needs, top price, what it goes for, cautions of the tube, cautions of
    set models.
    ``marks``: folded mark to its meanings. ``dangers``: folded mark to what can hurt, of whatever type it can mean.
    ``other_forms``: relatives that are here of types that are not. ``untyped``: marks of no settled type;
    ``marked_forms``: where those may serve whose letters name a form. ``wanted``: serials that would match. ``things``:
    wants that are no known type, with their price. ``sets``, ``units``: the serials here. ``money``: as in the pocket
    page: without, no top price of the want list, and what things go for by sales of others alone.
    """
    known = knowledge()
    places, marked = places_of(known), marked_forms(known)
    needs, cautions, wants = needs_of(), cautions_for(), wants_by_type()
    tallies, uncounted, doubts = _tallies(known), uncounted_by_type(), said_of_good()
    groups = sorted({_group(known, name) for name in (*tallies, *needs, *wants, *filter(None, uncounted))})
    related = _Related(places, marked, tallies, needs, doubts)
    others = related.to_what_is_not_here(groups)
    prices = going([group[0] for group in groups], on, last=0, known=known, own=money)
    marks, families = _marks(known, groups, others), _families(known, groups)
    hazards = {row.name: row.caution for row in TubeType.objects.exclude(table_caution="", hazard="")}
    return {
        "on": on.isoformat(),
        "with_places": with_places,
        "types": [
            _type_row(group, tallies.get(group[0], _Tally()), needs, cautions, hazards, wants, uncounted, with_places)
            | {"forms": related.lines(group), "said": doubts.of(group).told, "goes": _goes(prices[group[0]])}
            | {"price": price_told((want for name in group for want in wants.get(name, ())), money=money)}
            for group in groups
        ],
        "marks": marks,
        "dangers": _dangers(known, hazards),
        "families": families,
        "other_forms": others,
        "soviet": {letter: latin.upper() for letter, latin in SOVIET.items()},
        "untyped": _untyped(with_places),
        "marked_forms": {mark: lines for form in marked.values() for mark, lines in related.of_marks(form).items()},
        "not_counted": [
            [kind, u.in_words(with_places)] for kind, rows in sorted(uncounted.items()) if kind for u in rows
        ],
        "untold": [[u.mark, u.in_words(with_places)] for u in uncounted.get("", ())],
        "tags": _tags(with_places),
        "wanted": [[w.thing, w.serial, w.set_name, w.maybe_here] for w in serials_wanted(on)],
        "things": [[str(want), price_told([want], money=money)] for want in open_wants().filter(type__isnull=True)],
        "sets": list(chassis_here().values_list("model__name", "serial", "item__tag")),
        "units": list(units_here().values_list("model__name", "serial", "item__tag")),
    }


def _group(known: Knowledge, name: str) -> tuple[str, ...]:
    return tuple(sorted(known.kin.same_as(name)))


def _tallies(known: Knowledge) -> dict[str, _Tally]:
    """By the first name of a group of equal types (one query)."""
    fitted = fitted_now()
    rows = (
        tubes_here()
        .filter(type__isnull=False)
        .annotate(is_fitted=fitted, missed=Q(item__missed_on__isnull=False))
        .order_by()
        .values_list("type__name", "state", "item__place__path", "is_fitted", "item__lent_to", "missed")
        .annotate(count=Count("pk"))
    )
    found: dict[str, _Tally] = defaultdict(_Tally)
    for name, state, place, is_fitted, lent_to, missed, count in rows:
        found[_group(known, name)[0]].add(state, place, is_fitted, bool(lent_to), missed, count)
    return found


@dataclass(frozen=True)
class _Related:
    """What relatives of a type are here and what wants one: a line each, which begins with the verdict.

    ``marked``: those of no settled type.
    """

    places: Places
    marked: Mapping[str, MarkedForm]
    tallies: Mapping[str, _Tally]
    needs: Mapping[str, list[SetNeed]]
    doubts: SaidOfGood

    @cached_property
    def good(self) -> dict[str, int]:
        """Good ones on the shelf by type, those of the same tube counted together."""
        known = self.places.known
        counted = {first: tally.states[Tube.GOOD] for first, tally in self.tallies.items()}
        return {name: count for first, count in counted.items() if count for name in known.kin.same_as(first)}

    def lines(self, names: Sequence[str]) -> list[str]:
        known = self.places.known
        here = [*forms_and_kin(names, known, self.good, self.doubts), *marked_stand_ins(names, known, self.marked)]
        told = self.places.as_rated(names[0], here)
        return [
            f"{one.verdict}: {one.good} good {one.type} ({one.words}){one.said.behind}" for one in told
        ] + self.asked(names)

    def asked(self, names: Sequence[str]) -> list[str]:
        """The positions that want a tube and in which one of these names may stand as a relative."""
        needs = kin_needs(kin_of(names, self.places.known), self.needs, self.places)
        return [
            f"{n.verdict}: {n.need.chassis} {n.need.mark} wants {n.wants}: {n.need.told} ({n.words})" for n in needs
        ]

    def of_marks(self, form: MarkedForm) -> dict[str, list[str]]:
        """For each mark as it stands on tubes of no settled type: whose figures count, and what wants one."""
        lines = [f"{WITH_CARE}: {form.words}", *self.asked([form.name])]
        return dict.fromkeys(form.marks, lines)

    def to_what_is_not_here(self, groups: Sequence[tuple[str, ...]]) -> dict[str, list[str]]:
        """As ``lines``, of types of which nothing is owned or wanted, by name."""
        known = self.places.known
        here = {*self.good, *self.needs}
        near = {one.type for name in here for one in known.kin.relatives(name)}
        near |= {name for form in self.marked for name in known.kin.forms.others(form)}
        met = {name for group in groups for name in group}
        told = {name: self.lines(_group(known, name)) for name in sorted(near - met)}
        return {name: lines for name, lines in told.items() if lines}


def _type_row(
    group: tuple[str, ...],
    tally: _Tally,
    needs: Mapping[str, list[SetNeed]],
    cautions: Mapping[str, list[tuple[str, str]]],
    hazards: Mapping[str, str],
    wants: Mapping[str, list[Want]],
    uncounted: Mapping[str, list[Uncounted]],
    with_places: bool,
) -> dict[str, Any]:
    asked = sorted_needs(need for name in group for need in needs.get(name, ()))
    places = [[path, good, untested] for path, (good, untested) in sorted(tally.places.items())]
    return {
        "names": list(group),
        "counts": [tally.states[state] for state in STATES] + [tally.fitted, tally.lent, tally.missed],
        "places": places if with_places else [],
        "needs": [[n.chassis, n.mark, n.told] for n in asked if n.needy],
        "content": sum(not n.needy for n in asked),
        "uncounted": [u.in_words(with_places) for name in group for u in uncounted.get(name, ())],
        "hazard": list(dict.fromkeys(hazards[name] for name in group if name in hazards)),
        "look": list(dict.fromkeys(f"{model}: {text}" for name in group for model, text in cautions.get(name, ()))),
    }


def _goes(one: Going) -> str:
    """The fair range of a type and what one may cost at most; empty without evidence."""
    return f"{one.range_text}; at most {one.top.price}: {one.top.reason}" if one.range_text and one.top else ""


def _marks(
    known: Knowledge, groups: list[tuple[str, ...]], others: Mapping[str, list[str]]
) -> dict[str, list[list[Any]]]:
    """By folded mark: [number of the type here, relation], or the type's name where none is owned or wanted.

    All meanings of a mark stand together, or two of them would look like one. Marks that lead to nothing here are out,
    and so are names that are no more than an unsettled mark, unless a tube is counted under one. ``others``: types that
    are not here, and have relatives that are.
    """
    bare = known.by_handbook | set(TubeType.objects.filter(own_mark=True).values_list("name", flat=True))
    number = {name: index for index, group in enumerate(groups) for name in group}
    found: dict[str, list[list[Any]]] = {}
    for key, entries in mark_index(known).items():
        meanings: dict[Any, str] = {}
        for name, relation in sorted(entries, key=lambda entry: RANKS.index(entry[1])):
            if name not in number and (name in bare or known.kin.same_as(name) & meanings.keys()):
                continue
            meanings.setdefault(number.get(name, name), relation)
        if key and any(isinstance(meaning, int) or meaning in others for meaning in meanings):
            found[key] = [[meaning, relation] for meaning, relation in meanings.items()]
    return found


def _dangers(known: Knowledge, hazards: Mapping[str, str]) -> dict[str, list[list[str]]]:
    """By folded mark: [type, caution] of each dangerous type it can mean, also where none is owned or wanted."""
    found: dict[str, list[list[str]]] = {}
    for key, entries in mark_index(known).items():
        names = sorted({name for name, _ in entries if name in hazards})
        if key and names:
            found[key] = [[name, hazards[name]] for name in names]
    return found


def _families(known: Knowledge, groups: list[tuple[str, ...]]) -> dict[str, list[Any]]:
    """By family number: its forms, each as in ``marks``; numbers of which nothing is owned or wanted are left out."""
    number = {name: index for index, group in enumerate(groups) for name in group}
    found: dict[str, list[Any]] = defaultdict(list)
    for name in sorted(known.types):
        form, meaning = form_of(name), number.get(name, name)
        if form and meaning not in found[form[0]]:
            found[form[0]].append(meaning)
    return {key: entries for key, entries in found.items() if any(isinstance(entry, int) for entry in entries)}


def _tags(with_places: bool) -> dict[str, list[str]]:
    """By tag of a tube, part lot or companion here: [what is marked on it, state, doubt and place in words]."""
    rows = Item.objects.filter(gone_on__isnull=True, kind__in=(Item.TUBE, Item.PARTS, Item.COMPANION))
    if rows.count() > MOST_TAGS:
        return {}
    cells = rows.order_by("tag").values_list(
        "pk", "tag", "tube__marked", "tube__state", "partlot__name", "companion__kind__name", "place__path", "lent_to",
        "missed_on",
    )  # fmt: skip
    rows_told = list(cells)
    doubts = doubts_of_many(pk for pk, *_ in rows_told)
    found = {}
    for pk, tag, marked, state, lot, kind, place, lent_to, missed_on in rows_told:
        where = (f"lent to {lent_to}" if lent_to else place) if with_places else ("lent" if lent_to else "")
        told = [state, doubts[pk].text if pk in doubts else "", where]
        told.append(f"not found at the stock-take of {missed_on}" if missed_on else "")
        found[tag] = [marked or lot or kind or "", ", ".join(filter(None, told))]
    return found


def _untyped(with_places: bool) -> list[list[Any]]:
    """Marks of tubes whose type is not settled: [mark, how many, where]."""
    rows = tubes_here().filter(AT_HAND, ~fitted_now(), type__isnull=True).order_by("marked", "item__place__path")
    found: dict[str, list[Any]] = {}
    for mark, place, count in rows.values_list("marked", "item__place__path").annotate(count=Count("pk")):
        entry = found.setdefault(mark, [mark, 0, []])
        entry[1] += count
        if with_places:
            entry[2].append(f"{place or 'without a place'}: {count}")
    return list(found.values())
