"""Why tubes of a type are taken to bear hazards; what the same tube under another name states counts for it."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from inventory.holdings.rules.hazard_grounds import MERCURY, Ground
from inventory.holdings.rules.type_hazards import Stated, house_number, of_type, stamps_in
from inventory.house.areas import Panel
from tubes.models import Rating, TubeType
from tubes.queries import knowledge
from tubes.queries.keeping import kept
from tubes.queries.mercury import mercury_among
from tubes.rules.relations import PLAIN_FORM, RUGGEDIZED, SAME, Kinship


def hazards_of_types() -> Mapping[str, tuple[Ground, ...]]:
    """By name of a type why it bears hazards that its own caution does not name; types without are left out.

    Made anew only where tube knowledge has changed (one query where it has not).
    """
    return kept("hazards of types", _built)


def hazards_panel(kind: TubeType) -> Panel:
    """Why every tube of a type bears hazards, for its page."""
    return Panel("Hazards by rule", "holdings/panel_type.html", kind, hazards_of_types().get(kind.name, ()))


def hazards_of_stamp(marked: str, types: Mapping[str, tuple[Ground, ...]]) -> tuple[Ground, ...]:
    """Why a tube that is of no type yet bears hazards by a number in its stamp; ``types``: ``hazards_of_types``."""
    return next((types[name] for name in stamps_in(marked) if name in types), ())


def _built() -> dict[str, tuple[Ground, ...]]:
    known = knowledge()
    types = {row.name: row.caution for row in TubeType.objects.all()}
    mercury = mercury_among(types, known)
    stated: dict[str, list[Stated]] = defaultdict(list)
    for name, caution in types.items():
        stated[name].append(Stated(name, caution, mercury=name in mercury))
    for row in Rating.objects.select_related("type").order_by("origin", "pk"):  # of any hand: told in doubt
        stated[row.type.name].append(Stated(row.type.name, "", row.kind, row.note, row.plate_v_max))
    for mark in known.marks:
        if mark.note and MERCURY in mark.note.lower():  # it tells of the designation, and of the type where that is one
            for name in {mark.designation, mark.type} if mark.relation == SAME else {mark.designation}:
                stated[name].append(Stated(name, said=mark.note))
    found = {name: of_type(name, _under(name, known.kin, stated)) for name in stated}
    for name in list(found):
        if (number := house_number(name)) and number not in stated:
            under = [replace(one, how="whose number without its maker's letters is") for one in stated[name]]
            found[number] = of_type(number, under)
    return {name: grounds for name, grounds in found.items() if grounds}


def _under(name: str, kin: Kinship, stated: Mapping[str, list[Stated]]) -> list[Stated]:
    """What is stated of a tube under each of its names, and of its ruggedized or plain form."""
    same = kin.same_as(name) | {name}
    forms = {one.type for one in kin.relatives(name) if one.relation in (RUGGEDIZED, PLAIN_FORM) and not one.unchecked}
    return [
        *(one for other in same for one in stated.get(other, ())),
        *(replace(one, how="a form of") for other in sorted(forms - same) for one in stated.get(other, ())),
    ]
