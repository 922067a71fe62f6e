"""What may stand in for parts of a set model: the keeper's own words, and what is generally known of such tubes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef, Q

from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.holdings.rules import stand_ins as curated
from inventory.house.words_on_parts import WordOnPart
from inventory.sets.models import Chassis, Fitting, Position, SetModel, StandIn, StandInFitted
from inventory.sets.queries import open_fittings
from inventory.sets.rules.stand_ins import StandInWord, differing
from tubes.models import Rating
from tubes.queries import knowledge
from tubes.queries.keeping import kept
from tubes.queries.mercury import mercury_among
from tubes.rules.relations import is_unchecked

_HERE = {"until__isnull": True, "chassis__item__gone_on__isnull": True}  # of a stay: it sits in a set that has not left


@dataclass(frozen=True)
class OwnStandIn:
    """A word of the keeper's own with what follows from it.

    ``general``: the curated row that it follows; ``differs``: another word here says the contrary; ``sits``: in which
    sets it is now; ``here``: in the set that was asked for; ``holds``: the tube that its position holds there.
    """

    row: StandIn
    general: curated.StandIn | None
    differs: bool
    sits: tuple[StandInFitted, ...] = ()
    here: StandInFitted | None = None
    holds: Fitting | None = None

    def as_dict(self) -> dict[str, Any]:
        row = self.row
        return {
            "part": row.replaced, "position": row.position.mark if row.position else None, "instead": row.instead,
            "word": row.verdict, "differs": self.differs, "changes": row.changes, "reversible": row.reversible or None,
            "caution": row.caution, "source": row.source, "on": row.on.isoformat(), "general": row.general or None,
            "sits_in": [one.chassis.tag for one in self.sits], "struck": row.struck or None,
            "holds": self.holds.tube.tag if self.holds else None,
        }  # fmt: skip


@dataclass(frozen=True)
class OfPositions:
    """A curated row, and the positions of a model whose tubes it is for."""

    row: curated.StandIn
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class StandIns:
    """The answer for a set model, or for one set of it; for neither, all that is curated."""

    model: SetModel | None = None
    chassis: Chassis | None = None
    own: tuple[OwnStandIn, ...] = ()
    general: tuple[OfPositions, ...] = ()
    fitted: tuple[StandInFitted, ...] = field(default=())

    @property
    def general_tubes(self) -> tuple[OfPositions, ...]:
        """The curated rows that no word of the keeper's names already."""
        named = {one.row.general for one in self.own if not one.row.struck}
        return tuple(one for one in self.general if one.row.key not in named)

    def as_dict(self) -> dict[str, Any]:
        """The contract of ``manage.py stand_ins``."""
        return {
            "set_model": self.model.name if self.model else None,
            "set": self.chassis.tag if self.chassis else None,
            "own": [one.as_dict() for one in self.own],
            "general": [{**one.row.as_dict(), "positions": list(one.marks)} for one in self.general],
        }


def stand_ins_asked(name: str) -> StandIns:
    """For the set model or the set here of that name, or tag; without a name all that is curated. Raises ValueError."""
    text = name.strip().replace("\0", "")
    if not text:
        return StandIns(general=tuple(OfPositions(row) for row in stand_in_table()))
    if model := model_named(text):
        return stand_ins_of(model)
    sets = Chassis.objects.select_related("model", "item").filter(item__gone_on__isnull=True)
    if chassis := sets.filter(item__tag__iexact=text).first():
        return stand_ins_of(chassis.model, chassis)
    known = ", ".join(SetModel.objects.values_list("name", flat=True)[:12]) or "none yet"
    raise ValueError(f"No set model is called {name!r}, and no set here has that tag; set models: {known}.")


def model_named(text: str) -> SetModel | None:
    """The set model of a name: written so, else in other letters, where that is one. Raises ValueError for several."""
    alike = list(SetModel.objects.filter(name__iexact=text).order_by("name", "pk"))
    exact = [model for model in alike if model.name == text]
    if len(found := exact or alike) > 1:
        names = ", ".join(repr(model.name) for model in found)
        raise ValueError(f"{text!r} can be {names}: write the one that is meant, in its own letters.")
    return found[0] if found else None


def stand_ins_of(model: SetModel, chassis: Chassis | None = None, *, holding: bool = True) -> StandIns:
    """For a set model, and what of it sits in one set of it (a fixed number of queries). Struck words are left out, but
    for one whose stand-in sits in that set all the same.

    ``holding``: whether the tubes in its positions are asked, which a page may have at hand.
    """
    here = StandInFitted.objects.filter(stand_in=OuterRef("pk"), chassis=chassis, **_HERE)
    standing = Q(struck="") | Exists(here) if chassis else Q(struck="")
    rows = list(model.stand_ins.filter(standing).select_related("position", "set_model"))
    sits = _sits(rows)
    asked = holding and chassis is not None and any(row.position_id for row in rows)
    holds = {one.position_id: one for one in _held(chassis)} if asked and chassis else {}
    own = own_words(rows, sits, chassis, holds)
    fitted = tuple(one.here for one in own if one.here)
    return StandIns(model, chassis, own, _of_tubes(model), fitted)


def own_words(
    rows: Iterable[StandIn], sits: Mapping[int, list[StandInFitted]], chassis: Chassis | None = None,
    holds: Mapping[int, Fitting] | None = None,
) -> tuple[OwnStandIn, ...]:  # fmt: skip
    """Words with the curated row that each follows and whether another of the same model says the contrary."""
    rows = list(rows)
    table = {row.key: row for row in stand_in_table()}
    split = differing(
        StandInWord(row.pk, f"{row.set_model_id} {row.replaced}", row.instead, row.serves, row.general)
        for row in rows
        if not row.struck
    )
    return tuple(
        OwnStandIn(
            row, table.get(row.general), row.pk in split, tuple(sits.get(row.pk, ())),
            next((one for one in sits.get(row.pk, ()) if chassis and one.chassis_id == chassis.pk), None),
            (holds or {}).get(row.position_id or 0),
        )
        for row in rows
    )  # fmt: skip


def words_of_every_model() -> list[WordOnPart]:
    """The words on parts of all set models that stand, for whoever looks for such a part (two queries)."""
    rows = list(StandIn.objects.filter(struck="").select_related("position", "set_model"))
    return [
        WordOnPart(
            one.row.set_model.name, one.row.replaced, one.row.instead, one.row.get_verdict_display(), one.differs,
            one.row.caution or (one.general.caution if one.general else ""), f"{one.row.source}, {one.row.on}",
            one.row.general, f"{one.row.set_model.get_absolute_url()}#stand-ins",
            {"set_model": one.row.set_model.name, **one.as_dict()},
        )
        for one in own_words(rows, _sits(rows) if rows else {})
    ]  # fmt: skip


def _sits(rows: Iterable[StandIn]) -> dict[int, list[StandInFitted]]:
    found: dict[int, list[StandInFitted]] = defaultdict(list)
    now = StandInFitted.objects.filter(stand_in__in=[row.pk for row in rows], **_HERE)
    for one in now.select_related("chassis__model", "chassis__item", "stand_in__position"):
        found[one.stand_in_id].append(one)
    return found


def _held(chassis: Chassis) -> Iterable[Fitting]:
    return open_fittings().filter(chassis=chassis).select_related("tube__item", "tube__type")


def _of_tubes(model: SetModel) -> tuple[OfPositions, ...]:
    """The curated rows for tubes that positions of a model want, by kind and filling."""
    wanted: dict[str, list[str]] = defaultdict(list)
    for mark, name in _positions(model):
        wanted[name].append(mark)
    marks: dict[str, list[str]] = defaultdict(list)
    kinds = kinds_of(wanted)
    for name, several in wanted.items():
        for row in curated.for_tube(stand_in_table(), *kinds[name]):
            marks[row.key] += several
    return tuple(OfPositions(row, tuple(marks[row.key])) for row in stand_in_table() if row.key in marks)


def _positions(model: SetModel) -> list[tuple[str, str]]:
    rows = Position.objects.filter(set_model=model, type__isnull=False).order_by("id")
    return list(rows.values_list("mark", "type__name"))


def kinds_of(names: Iterable[str]) -> dict[str, tuple[str, str]]:
    """Kind and filling (mercury, or empty) of some tube types, as the same tube is on record; kept between requests."""
    names = list(names)
    every = kept("kinds and fillings", _kinds) if names else {}
    return {name: every.get(name, ("", "")) for name in names}


def _kinds() -> dict[str, tuple[str, str]]:
    """Those of every type (four queries)."""
    known = knowledge()
    rows = Rating.objects.order_by("-origin").values_list("type__name", "kind", "note")
    kinds = {name: kind for name, kind, note in rows if kind and not is_unchecked(note)}
    mercury = mercury_among(known.types, known)
    found = {}
    for name in known.types:
        alike = (name, *sorted(known.kin.same_as(name)))
        kind = next((kinds[other] for other in alike if other in kinds), "")
        found[name] = kind, curated.MERCURY if name in mercury else ""
    return found
