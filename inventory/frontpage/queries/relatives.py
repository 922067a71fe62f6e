"""What may serve in the place of a type beside the very tube: its other forms, settled or only marked, and near kin."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf
from inventory.sets.queries.doubts import SaidOfGood
from inventory.sets.queries.sockets import sockets_here
from inventory.sets.queries.unsettled import MarkedForm
from tubes.queries import Knowledge
from tubes.queries.judging import Court, court
from tubes.rules.judge_parts import CARE, UNKNOWN, UNSUITABLE, VERDICTS, Conditions
from tubes.rules.relations import SAME, Relative

WITH_CARE = VERDICTS[CARE]
RANK = {verdict: rank for rank, verdict in enumerate(VERDICTS)}


@dataclass(frozen=True)
class StandIn:
    """Good tubes on the shelf that are a relative of a type.

    ``form``: how its form differs, empty for one of another number; ``relation`` and ``note``: what the tables say of
    the two. ``verdict``: whether it may serve there. ``marked``: they have no settled type and are marked so.
    """

    type: str
    good: int
    form: str = ""
    relation: str = ""
    note: str = ""
    verdict: str = ""
    marked: MarkedForm | None = None
    said: SaidOf = NOTHING_SAID  # of some of the good ones

    @property
    def words(self) -> str:
        """How it differs from the type, and whether it is settled."""
        told = (self.form or self.relation, self.note, self.marked.words if self.marked else "")
        return "; ".join(filter(None, told))


def forms_and_kin(names: Iterable[str], known: Knowledge, good: Mapping[str, int], doubts: SaidOfGood) -> list[StandIn]:
    """Good tubes of the relatives of a type (under any of its ``names``), by the marks; forms that may serve say so.

    ``good``: how many good ones there are, by type, ``doubts``: what is said of some of them. What is only a
    lead, or the same tube, is left out.
    """
    found: dict[str, StandIn] = {}
    for name in names:
        for one in known.kin.relatives(name):
            if one.unchecked or one.relation == SAME or one.type in found or not good.get(one.type):
                continue
            verdict = WITH_CARE if one.form and not one.never else ""
            note = _note(name, one, known)
            said = doubts.of([one.type])
            found[one.type] = StandIn(one.type, good[one.type], one.form, one.relation, note, verdict, said=said)
    return list(found.values())


def _note(wanted: str, one: Relative, known: Knowledge) -> str:
    """What rows say of a relative: not of a form of the same issue, whose letters tell what differs."""
    told_by_letters = one.derived or known.kin.forms.same_issue(wanted, one.type)
    return one.said if one.never or not told_by_letters else ""


def marked_stand_ins(names: Iterable[str], known: Knowledge, marked: Mapping[str, MarkedForm]) -> list[StandIn]:
    """Good tubes of no settled type that are marked as a form of a type: with care, in its place."""
    found: dict[str, StandIn] = {}
    for name in names:
        for form in marked.values():
            between = known.kin.forms.between(name, form.name)
            if between is not None and form.good and form.name not in found:
                found[form.name] = StandIn(
                    form.name, form.good, between.words, verdict=WITH_CARE, marked=form, said=form.said
                )
    return list(found.values())


@dataclass(frozen=True)
class Kin:
    """How a tube is related to a type in whose place it may stand.

    ``how``: how its form differs (``by_form``), else the relation that a row of the tables states; ``note``: what the
    row says of the two.
    """

    candidate: str
    how: str
    note: str
    by_form: bool


def kin_of(names: Iterable[str], known: Knowledge) -> dict[str, Kin]:
    """By type: how a tube of these names, all of one tube, is related to it; what a row forbids is left out."""
    names = list(names)
    found: dict[str, Kin] = {}
    for wanted, how in known.other_forms(names).items():
        candidate = next(name for name in names if known.kin.forms.between(wanted, name))
        row = known.kin.relative(wanted, candidate)
        found[wanted] = Kin(candidate, how, _note(wanted, row, known) if row else "", by_form=True)
    for name in names:
        for wanted in dict.fromkeys(one.type for one in known.kin.relatives(name)):
            row = known.kin.relative(wanted, name)
            if row and not (row.form or row.never or row.relation == SAME or wanted in found or wanted in names):
                found[wanted] = Kin(name, row.relation, row.said, by_form=False)
    return found


@dataclass(frozen=True)
class Places:
    """What is asked of kin that is no form: the judge, and what each position of the sets here gives."""

    known: Knowledge
    judges: Court
    given: Mapping[int, Conditions]

    def verdict(self, wanted: str, kin: Kin, position: int) -> str:
        """The word on a relative in a position: with care for another form, else the judge's; empty: unsuitable."""
        return WITH_CARE if kin.by_form else self._judged(wanted, kin.candidate, self.given.get(position, Conditions()))

    def as_rated(self, wanted: str, relatives: Iterable[StandIn]) -> tuple[StandIn, ...]:
        """Those relatives that may serve where the type wanted works as rated, near kin with the judge's word.

        What fits comes first, what is known least last.
        """
        told = (
            one if one.form else replace(one, verdict=self._judged(wanted, one.type, Conditions())) for one in relatives
        )
        return tuple(sorted((one for one in told if one.verdict), key=lambda one: (RANK[one.verdict], one.type)))

    def _judged(self, wanted: str, candidate: str, conditions: Conditions) -> str:
        try:
            found = self.judges.judge(wanted, candidate, conditions)
        except ValueError:  # the values written for the position cannot be
            return VERDICTS[UNKNOWN]
        return "" if found.rank == UNSUITABLE else found.verdict


def places_of(known: Knowledge) -> Places:
    """Ask it many times (one query, and those of the judge)."""
    return Places(known, court(known), {one.position.pk: one.conditions for one in sockets_here()})
