"""Why tubes of a type are taken to bear hazards; what the same tube under another name states counts for it."""

from collections import defaultdict
from collections.abc import Mapping

from inventory.holdings.rules.hazard_grounds import Ground
from inventory.holdings.rules.type_hazards import Stated, of_type
from inventory.house.areas import Panel
from tubes.models import Rating, TubeType
from tubes.queries import knowledge
from tubes.queries.keeping import kept
from tubes.queries.mercury import mercury_among


def hazards_of_types() -> Mapping[str, tuple[Ground, ...]]:
    """By name of a type why it bears hazards that its own caution does not name; types without are left out.

    Made anew only where tube knowledge has changed (one query where it has not).
    """
    return kept("hazards of types", _built)


def hazards_panel(kind: TubeType) -> Panel:
    """Why every tube of a type bears hazards, for its page."""
    return Panel("Hazards by rule", "holdings/panel_type.html", kind, hazards_of_types().get(kind.name, ()))


def _built() -> dict[str, tuple[Ground, ...]]:
    known = knowledge()
    types = {row.name: row.caution for row in TubeType.objects.all()}
    mercury = mercury_among(types, known)
    stated: dict[str, list[Stated]] = defaultdict(list)
    for name, caution in types.items():
        stated[name].append(Stated(name, caution, mercury=name in mercury))
    for row in Rating.objects.select_related("type").order_by("origin", "pk"):  # of any hand: told in doubt
        stated[row.type.name].append(Stated(row.type.name, "", row.kind, row.note, row.plate_v_max))
    found = {
        name: of_type(name, [one for other in known.kin.same_as(name) | {name} for one in stated[other]])
        for name in types
    }
    return {name: grounds for name, grounds in found.items() if grounds}
