"""What fits in a position instead, and where a tube could serve: the judge asked for places in sets, with the stock."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from django.core.exceptions import ValidationError
from django.db.models import Q

from inventory.holdings.models import Tube
from inventory.holdings.queries import tubes_here
from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf
from inventory.sets.models import Approval, Fitting, Position
from inventory.sets.queries import good_by_type, odd_fittings, type_difference
from inventory.sets.queries.doubts import said_of_good
from inventory.sets.queries.sockets import Served, Socket, conditions_of, served_in, sockets_here
from inventory.sets.queries.unsettled import MarkedForm, marked_forms
from tubes.queries import knowledge
from tubes.queries.judging import Court, court
from tubes.rules.judge_parts import UNKNOWN, Conditions, Judgement
from tubes.rules.judge_search import TypeTable


@dataclass(frozen=True)
class Candidate:
    """A type in the place of another.

    ``owned_good``: good tubes on the shelf that are the same tube, ``said``: what is said of some of them.
    ``sockets``: sockets of the sets here that want it as it is; ``served``: those that it could serve in, by the
    judge. ``words``: approvals and refusals for this one position. ``marked``: it is no type, but the form that tubes
    here of no settled type are marked as.
    """

    judgement: Judgement
    owned_good: int
    sockets: int
    served: Served
    words: tuple[Approval, ...] = ()
    elsewhere: Served | None = None  # of other positions than the one that is asked about, where one is
    marked: MarkedForm | None = None
    said: SaidOf = NOTHING_SAID

    @property
    def told(self) -> Served:
        """The sockets beside the verdict, which speaks for the position asked about itself."""
        return self.served if self.elsewhere is None else self.elsewhere

    @property
    def type(self) -> str:
        return self.judgement.candidate

    @property
    def free(self) -> int:
        """Good ones on the shelf that are reserved for nothing."""
        return self.owned_good - len(self.said.kept)

    def as_dict(self) -> dict[str, object]:
        plain = self.judgement.as_dict()
        return {
            "type": self.type,
            "verdict": plain["verdict"],
            "owned_good": self.owned_good,
            "sockets_here": self.sockets,
            "sockets_served": self.served.as_dict(),
            "findings": plain["findings"],
            "consequences": plain["consequences"],
            "words": [
                {"verdict": w.verdict, "on": w.on.isoformat(), "source": w.source, "words": w.words} for w in self.words
            ],
            **({"taken_from": plain["taken_from"]} if "taken_from" in plain else {}),
            **({"type_not_settled": True} if self.marked else {}),
            **self.said.as_dict(),
        }


def position_named(text: str) -> Position:
    """The position that ``MODEL:MARK`` names, one that says which type it wants. Raises ValidationError."""
    model, colon, mark = text.rpartition(":")
    if not colon or "\0" in text:
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


def narrowed(place: Conditions, stated: Conditions) -> Conditions:
    """What a place gives, with what is stated beside it in its stead."""
    given = {f.name: value for f in fields(stated) if (value := getattr(stated, f.name)) not in (None, False)}
    return replace(place, **given)


def asked_for(wanted: str, where: str, stated: Conditions) -> tuple[str, list[Candidate]]:
    """The type in whose place is judged, and the candidates.

    ``wanted``: a type's name, or nothing where a position says it; ``where``: a position as ``MODEL:MARK``, or nothing;
    ``stated``: conditions that stand before those of the position. Raises ValidationError or ValueError.
    """
    position = position_named(where) if where else None
    place = conditions_of(position) if position else Conditions()
    wanted = wanted or str(position.type if position else "")
    return wanted, substitutes_of(wanted, narrowed(place, stated), position)


def _words_for(position: Position) -> dict[str, tuple[Approval, ...]]:
    """What has been approved or refused in this one position, by type."""
    told: dict[str, tuple[Approval, ...]] = {}
    for row in position.approvals.select_related("type"):
        told[row.type.name] = (*told.get(row.type.name, ()), row)
    return told


def _with_stock(
    judgements: Iterable[Judgement],
    judges: Court,
    words: Mapping[str, tuple[Approval, ...]],
    sockets: Sequence[Socket],
    position: Position | None,
    marked: Mapping[str, MarkedForm],
) -> list[Candidate]:
    """Candidates with what is owned: within a verdict, those with free good tubes on the shelf stand first."""
    judgements = list(judgements)
    names = {judgement.candidate for judgement in judgements}
    kin = {name: judges.known.kin.same_as(name) | {name} for name in names}
    good = good_by_type(set().union(*kin.values())) | {name: form.good for name, form in marked.items()}
    doubts = said_of_good(Q(type__name__in=[name for name in good if name not in marked]))
    others = [one for one in sockets if position is None or one.position.pk != position.pk]
    asked = [one for one in sockets if position is not None and one.position.pk == position.pk]
    table = TypeTable.build([judges[name] for name in sorted(names)], judges.limits)
    elsewhere, there = served_in(table, judges, others), served_in(table, judges, asked)
    served = {name: elsewhere[name] + there[name] for name in elsewhere}
    wanted: Counter[str] = Counter()
    for socket in sockets:
        wanted[socket.wanted] += socket.chassis
    found = [
        Candidate(
            judgement,
            sum(good.get(name, 0) for name in kin[judgement.candidate]),
            sum(wanted[name] for name in kin[judgement.candidate]),
            served[judgement.candidate],
            words.get(judgement.candidate, ()),
            elsewhere[judgement.candidate] if position else None,
            marked.get(judgement.candidate),
            _doubts_of(marked.get(judgement.candidate), doubts.of(kin[judgement.candidate])),
        )
        for judgement in judgements
    ]
    return sorted(found, key=_place_in_line)


def _doubts_of(marked: MarkedForm | None, settled: SaidOf) -> SaidOf:
    return settled + marked.said if marked else settled


def _place_in_line(one: Candidate) -> tuple[int, bool, bool, bool]:
    """Best first; within a verdict those with free good ones on the shelf, then those whose good ones are reserved.

    Where nothing is known kin goes before.
    """
    stranger = one.judgement.rank == UNKNOWN and one.judgement.of("kinship") is None
    return one.judgement.rank, stranger, not one.free, not one.owned_good


def substitutes_of(
    wanted: str,
    conditions: Conditions,
    position: Position | None = None,
    judges: Court | None = None,
    sockets: Sequence[Socket] | None = None,
) -> list[Candidate]:
    """Kin of ``wanted`` and every type that can be judged in its place, best first, owned good ones before others.

    A stranger is left out where it is not even known what kind of tube it, or the wanted one, is. Tubes here of no
    settled type count as the form that their mark names, where it is one of the wanted type. With a position,
    what was approved or refused there stands beside the findings; it changes none of them. ``judges``, ``sockets``:
    what the caller has fetched already. Raises ValueError for conditions that cannot be.
    """
    judges = judges or court()
    words = _words_for(position) if position else {}
    kin = {relative.type for relative in judges.known.kin.relatives(wanted)}
    marked = marked_forms(judges.known, judges.known.kin.same_as(wanted))
    among = [name for name, one in judges.figures.items() if one.numbers or name in kin or name in words]
    told = judges.judge_all(wanted, conditions, [*among, *marked])
    related = {*kin, *words, *marked}
    judgements = [one for one in told if one.candidate in related or _judged(one)]
    return _with_stock(judgements, judges, words, sockets_here() if sockets is None else sockets, position, marked)


def _judged(judgement: Judgement) -> bool:
    """Whether anything can be said of a stranger: what kind of tube both are is the least."""
    kind = judgement.of("kind")
    return judgement.rank != UNKNOWN or (kind is not None and kind.rank != UNKNOWN)


@dataclass(frozen=True)
class Service:
    """A socket that a tube could serve in, with the judgement and what was said of it there."""

    socket: Socket
    judgement: Judgement
    words: tuple[Approval, ...]


def where_it_serves(candidate: str, judges: Court, sockets: Sequence[Socket]) -> tuple[list[Service], list[str]]:
    """Every one of some sockets, best first, with this type judged in it; unsuitable ones are left out.

    The second list: positions whose values cannot be, with the reason.
    """
    words: dict[int, list[Approval]] = {}
    same = judges.known.kin.same_as(candidate) | {candidate}
    for row in Approval.objects.filter(type__name__in=same).select_related("type"):
        words.setdefault(row.position_id, []).append(row)
    found, refused = [], []
    for socket in sockets:
        told = tuple(words.get(socket.position.pk, ()))
        try:
            judgement = judges.judge(socket.wanted, candidate, socket.conditions)
        except ValueError as fault:
            refused.append(f"{socket.position}: {fault}")
            continue
        if judgement.verdict != "unsuitable" or told:
            found.append(Service(socket, judgement, told))
    return sorted(found, key=lambda one: one.judgement.rank), refused


def tube_tagged(tag: str) -> Tube | None:
    """The tube here with this tag, or None."""
    named = tag.strip() if "\0" not in tag else ""
    return tubes_here().filter(item__tag__iexact=named).select_related("item", "type").first() if named else None


def judged_before_fitting(position: Position, tube: Tube | None) -> Judgement | None:
    """The judgement on the type of a tube in a position; None where it is the type wanted.

    Raises ValueError where the values written for the position cannot be.
    """
    if tube is None or tube.type is None or position.type is None or tube.type_id == position.type_id:
        return None
    known = knowledge()
    if not type_difference(tube, position, known):
        return None
    return court(known).judge(position.type.name, tube.type.name, conditions_of(position))


def odd_as_judged(most: int | None = None) -> tuple[list[tuple[Fitting, str, Judgement | None]], int]:
    """Tubes in use that are not the type wanted, with the difference and the judgement there (None: not to be judged).

    Of the first ``most`` (None: of all), and how many there are. A fixed number of queries; the judge's own are asked
    only where there is such a tube.
    """
    known = knowledge()
    odd = odd_fittings(known)
    if not odd:
        return [], 0
    judges, given = court(known), {socket.position.pk: socket for socket in sockets_here()}
    found: list[tuple[Fitting, str, Judgement | None]] = []
    for fitting, difference in odd[:most]:
        socket, kind = given.get(fitting.position_id), fitting.tube.type
        try:
            judgement = judges.judge(socket.wanted, kind.name, socket.conditions) if socket and kind else None
        except ValueError:
            judgement = None
        found.append((fitting, difference, judgement))
    return found, len(odd)
