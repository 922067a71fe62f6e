"""How near a type is to the one that a position wants, by the judge and by the keeper's word for that position."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.holdings.models import Tube
from inventory.sets.models import Approval, Position
from inventory.sets.queries.sockets import Socket, conditions_of
from tubes.queries.judging import Court, court
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, UNSUITABLE
from tubes.rules.judge_search import TypeTable, verdict_ranks
from tubes.rules.relations import RUGGEDIZED

EXACT, RELATIVE, SUBSTITUTE = 1, 2, 3  # how near a type is to the one that is wanted; 0: it may not stand there
NEARNESS = {EXACT: "exact", RELATIVE: "relative", SUBSTITUTE: "substitute"}

Words = Mapping[int, Mapping[str, Approval]]  # by position and type


def approvals_in(models: Iterable[int]) -> Words:
    """What was approved or refused in the positions of some set models; the last word counts (one query)."""
    found: dict[int, dict[str, Approval]] = defaultdict(dict)
    rows = Approval.objects.filter(position__set_model__in=list(models)).select_related("type").order_by("on", "id")
    for row in rows:
        found[row.position_id][row.type.name] = row
    return found


def nearness(sockets: Sequence[Socket], types: Sequence[str], judges: Court, words: Words) -> NDArray[np.int8]:
    """How near each type is to what each socket wants, sockets x types. Places alike are judged once.

    The very type, the same tube under another number and its ruggedized forms are exact unless the place forbids them;
    kin and strangers that fit or fit with care are relatives and substitutes. What is not known covers nothing; what
    was refused in a position never does, what was approved there does, whatever the judge says of the place as it was
    drawn (the line says so, and nothing is reserved on that alone).
    """
    table = TypeTable.build([judges[name] for name in types], judges.limits)
    alike: dict[tuple[str, object], NDArray[np.int8]] = {}
    found = np.zeros((len(sockets), len(types)), np.int8)
    for number, socket in enumerate(sockets):
        key = (socket.wanted, socket.conditions)
        if key not in alike:
            alike[key] = _near(socket, table, judges)
        found[number] = alike[key]
        for name, said in words.get(socket.position.pk, {}).items():
            if (at := table.at.get(name)) is not None:
                found[number, at] = (found[number, at] or SUBSTITUTE) if said.verdict == Approval.APPROVED else 0
    return found


def the_very(name: str, judges: Court) -> frozenset[str]:
    """The types that are the very one where a type is wanted: itself, the same tube under another number, and its
    ruggedized forms.
    """
    kin = judges.known.kin
    rugged = (one.type for one in kin.relatives(name) if one.relation == RUGGEDIZED and not one.unchecked)
    return frozenset({name}).union(kin.same_as(name), rugged)


def _near(socket: Socket, table: TypeTable, judges: Court) -> NDArray[np.int8]:
    told = np.zeros(len(table.types), np.int8)
    try:
        ranks = verdict_ranks(judges[socket.wanted], socket.conditions, table, judges.bench)
    except ValueError:  # values of the position that cannot be: then the very type alone may stand there
        ranks = np.full(len(table.types), UNSUITABLE, np.int8)
        ranks[[at for name, at in table.at.items() if name == socket.wanted]] = FITS
    relatives = judges.known.kin.relatives(socket.wanted)
    kin = {one.type for one in relatives if not one.unchecked and not one.never}
    exact = the_very(socket.wanted, judges)
    for name, at in table.at.items():
        if name in exact and ranks[at] != UNSUITABLE:
            told[at] = EXACT
        elif ranks[at] in (FITS, CARE):
            told[at] = RELATIVE if name in kin else SUBSTITUTE
    return told


def is_unknown(socket: Socket, name: str, judges: Court) -> bool:
    """Whether nobody can say if a type may stand in a socket, since figures are missing or cannot be."""
    try:
        return judges.judge(socket.wanted, name, socket.conditions).rank == UNKNOWN
    except ValueError:
        return True


def why_not_there(tube: Tube, position: Position) -> str:
    """Why a tube may not stand in a position, in words that go behind its tag; empty where it may (some queries)."""
    if position.type is None:
        return f"cannot be compared: which type {position.mark} wants is not recorded"
    if tube.type is None:
        return "is of a type that has not been settled"
    name, judges = tube.type.name, court()
    socket = Socket(position, position.type.name, 1, conditions_of(position))
    if nearness([socket], [name], judges, approvals_in([position.set_model_id]))[0, 0]:
        return ""
    if is_unknown(socket, name, judges):
        return f"is a {name}, and nobody can say whether it may stand in {position.mark}, which wants a {socket.wanted}"
    return f"is a {name}, which may not stand in {position.mark}, which wants a {socket.wanted}"
