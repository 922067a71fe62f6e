"""What fits in a position instead, and where a tube could serve: the judge asked for places in sets, with the stock."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db.models import Count, Q

from inventory.holdings.queries import tubes_here
from inventory.sets.models import Approval, Chassis, Position
from inventory.sets.queries import good_by_type, type_difference
from tubes.queries import Knowledge
from tubes.queries.judging import court
from tubes.rules.judge_parts import Conditions, Judgement


@dataclass(frozen=True)
class Candidate:
    """A type in the place of another.

    ``owned_good``: good tubes on the shelf that are the same tube. ``sockets``: positions of the sets here that want
    it as it is. ``words``: approvals and refusals for this one position.
    """

    judgement: Judgement
    owned_good: int
    sockets: int
    words: tuple[Approval, ...] = ()

    @property
    def type(self) -> str:
        return self.judgement.candidate

    def as_dict(self) -> dict[str, object]:
        plain = self.judgement.as_dict()
        return {
            "type": self.type,
            "verdict": plain["verdict"],
            "owned_good": self.owned_good,
            "sockets_here": self.sockets,
            "findings": plain["findings"],
            "consequences": plain["consequences"],
            "words": [
                {"verdict": w.verdict, "on": w.on.isoformat(), "source": w.source, "words": w.words} for w in self.words
            ],
        }


def conditions_of(position: Position) -> Conditions:
    """What a position gives; one query to see whether its heater is in a string."""
    others = Position.objects.filter(set_model=position.set_model_id, heater_branch=position.heater_branch)
    in_string = bool(position.heater_branch) and others.exclude(pk=position.pk).exists()
    return place_given(position, in_string)


def position_named(text: str) -> Position:
    """The position that ``MODEL:MARK`` names, one that says which type it wants. Raises ValidationError."""
    model, colon, mark = text.rpartition(":")
    if not colon:
        raise ValidationError(f"{text!r} names no position; write it as MODEL:MARK, for example 'Skerry 40:V101'.")
    rows = Position.objects.select_related("set_model", "type")
    found = rows.filter(set_model__name__iexact=model.strip(), mark__iexact=mark.strip()).first()
    if found is None:
        marks = rows.filter(set_model__name__iexact=model.strip()).values_list("mark", flat=True)
        known = f"it has {', '.join(marks)}" if marks else "no set model has that name"
        raise ValidationError(f"{text!r} is no position: {known}.")
    if found.type is None:
        raise ValidationError(f"{found} does not say which type it wants; write that first.")
    return found


def place_given(position: Position, in_string: bool) -> Conditions:
    """What a position gives, as its set model states it; what is not stated is left open and the judge says so.

    In a string the filament supply of the set stands across the whole string. Elsewhere the voltage at the socket
    counts, which may be less than the supply's behind a dropper.
    """
    return Conditions(
        series=in_string,
        supply_v=position.set_model.filament_supply_v if in_string else position.heater_v,
        plate_v=position.plate_v,
        plate_w=position.plate_w,
        screen_v=position.screen_v,
        output_ma=position.output_ma,
        frequency_mhz=position.frequency_mc,
        neutralized=position.neutralized,
        tuned=position.tuned,
    )


def _sockets_here() -> Counter[str]:
    """How many sockets of the sets here want each type (one query)."""
    chassis = Count("set_model__chassis", filter=Q(set_model__chassis__item__gone_on__isnull=True))
    rows = Position.objects.filter(type__isnull=False).order_by().values_list("type__name")
    return Counter(dict(rows.annotate(sockets=chassis)))


def _words_for(position: Position) -> dict[str, tuple[Approval, ...]]:
    """What has been approved or refused in this one position, by type."""
    told: dict[str, tuple[Approval, ...]] = {}
    for row in position.approvals.select_related("type"):
        told[row.type.name] = (*told.get(row.type.name, ()), row)
    return told


def _with_stock(
    judgements: Iterable[Judgement], known: Knowledge, words: Mapping[str, tuple[Approval, ...]]
) -> list[Candidate]:
    """Candidates with what is owned: within a verdict, those with good tubes on the shelf stand first."""
    judgements = list(judgements)
    names = {judgement.candidate for judgement in judgements}
    good, sockets = good_by_type(names), _sockets_here()
    found = []
    for judgement in judgements:
        same = known.kin.same_as(judgement.candidate)
        found.append(
            Candidate(
                judgement,
                sum(good.get(name, 0) for name in same),
                sum(sockets[name] for name in same),
                words.get(judgement.candidate, ()),
            )
        )
    return sorted(found, key=lambda one: (one.judgement.rank, not one.owned_good))


def substitutes_of(wanted: str, conditions: Conditions, position: Position | None = None) -> list[Candidate]:
    """Every type of the tables judged in the place of ``wanted``, best first, owned good ones before others.

    Types of which no figure is known are left out, unless the marks relate them to the wanted one. With a position, what was approved or refused there stands beside the findings; it changes none of them.
    """
    judges = court()
    words = _words_for(position) if position else {}
    kin = {relative.type for relative in judges.known.kin.relatives(wanted)}
    among = [name for name, one in judges.figures.items() if one.numbers or name in kin or name in words]
    return _with_stock(judges.judge_all(wanted, conditions, among), judges.known, words)


@dataclass(frozen=True)
class Service:
    """A position that a tube could serve in, with the judgement; ``chassis``: how many sets here have it."""

    position: Position
    chassis: int
    judgement: Judgement
    words: tuple[Approval, ...]


def where_it_serves(candidate: str) -> list[Service]:
    """Every position of the sets here, best first, with this type judged in it; unsuitable ones are left out."""
    judges = court()
    here = Chassis.objects.filter(item__gone_on__isnull=True).order_by()
    chassis = dict(here.values_list("model").annotate(Count("pk")))
    rows = Position.objects.filter(set_model__in=chassis, type__isnull=False).select_related("set_model", "type")
    positions = list(rows.order_by("set_model__name", "id"))
    strings = Counter((p.set_model_id, p.heater_branch) for p in positions if p.heater_branch)
    words: dict[int, list[Approval]] = {}
    for row in Approval.objects.filter(type__name__in=judges.known.kin.same_as(candidate)).select_related("type"):
        words.setdefault(row.position_id, []).append(row)
    found = []
    for one in positions:
        assert one.type is not None
        place = place_given(one, strings[one.set_model_id, one.heater_branch] > 1)
        judgement = judges.judge(one.type.name, candidate, place)
        if judgement.verdict != "unsuitable" or one.pk in words:
            told = tuple(words.get(one.pk, ()))
            found.append(Service(one, chassis[one.set_model_id], judgement, told))
    return sorted(found, key=lambda one: one.judgement.rank)


def judged_before_fitting(position: Position, tag: str) -> Judgement | None:
    """The judgement on the type of the tube with this tag in a position; None where it is the type wanted."""
    tube = tubes_here().filter(item__tag__iexact=tag.strip()).select_related("type").first() if tag.strip() else None
    if tube is None or tube.type is None or position.type is None or not type_difference(tube, position):
        return None
    return court().judge(position.type.name, tube.type.name, conditions_of(position))
