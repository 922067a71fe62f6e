"""What was found at the checks of the start sheets, and what of it stands open."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.restoration.models import Finding, Plan
from inventory.restoration.queries.lines import FOUND, Line, sets_asked
from inventory.restoration.rules.findings import Standing, standing_of
from inventory.restoration.rules.words import DONE, SETTLE_BEFORE_POWER, TO_JUDGE
from inventory.sets.models import Chassis

At = tuple[int, str]  # key of the set, key of the check


@dataclass(frozen=True)
class Findings:
    """All findings of a plan: how each check stands, and those struck out."""

    standings: Mapping[At, Standing]
    struck: tuple[Finding, ...]

    def at(self, chassis: Chassis, check: str) -> Standing | None:
        """How a check of a set stands; None: nothing was found there yet."""
        return self.standings.get((chassis.pk, check))

    def failed(self, chassis: Chassis, check: str) -> bool:
        """Whether a check of a set was found not as it should be."""
        standing = self.at(chassis, check)
        return standing is not None and standing.settled is False

    def of(self, chassis: Chassis) -> dict[str, Standing]:
        """All that was found in a set, by check."""
        return {check: standing for (key, check), standing in self.standings.items() if key == chassis.pk}


def findings_of(plan: Plan) -> Findings:
    """What was found in a plan (one query)."""
    if not plan.pk:
        return Findings({}, ())
    by_check: dict[At, list[Finding]] = defaultdict(list)
    struck = []
    for row in plan.findings.all():
        if row.struck:
            struck.append(row)
        else:
            by_check[row.chassis_id, row.check_key].append(row)
    standings = {at: standing for at, rows in by_check.items() if (standing := standing_of(rows))}
    return Findings(standings, tuple(struck))


def found_well(plans: Iterable[Plan]) -> set[tuple[int, int, str]]:
    """What was found as it should be: keys of the plan, of the set, of the check (one query)."""
    by_check: dict[tuple[int, int, str], list[Finding]] = defaultdict(list)
    for row in Finding.objects.filter(plan__in=[plan.pk for plan in plans if plan.pk], struck=""):
        by_check[row.plan_id, row.chassis_id, row.check_key].append(row)
    return {at for at, rows in by_check.items() if (standing := standing_of(rows)) and standing.settled}


def parts_found_well(sets: Iterable[int]) -> dict[At, Finding]:
    """What settled the check of a weak part of some sets, by their keys, in whichever plan (one query).

    The last finding with a judgement counts, and it is well.
    """
    by_check: dict[At, list[Finding]] = defaultdict(list)
    rows = Finding.objects.filter(chassis__in=list(sets), struck="", weak__isnull=False, all_well__isnull=False)
    for row in rows.select_related("plan"):
        by_check[row.chassis_id, row.check_key].append(row)
    lasts = {at: standing.latest for at, rows in by_check.items() if (standing := standing_of(rows))}
    return {at: last for at, last in lasts.items() if last.all_well}


def with_findings(lines: Iterable[Line], found: Findings, sets: Sequence[Chassis]) -> list[Line]:
    """Lines of a plan with what was found at their checks; a check that failed is a line where none asks for it.

    A weak part, or a piece of work, that was found as it should be is done; one found otherwise is to be settled. What
    was found last and not judged is a line beside, unless the check failed. A line that names no set is done when it
    was found so at each of them.
    """
    told, asked = [], set()
    for line in lines:
        at = sets_asked(line.requirement, sets) if line.requirement else (line.chassis,)
        judged = _judged_at(line, {one: found.at(one, line.check) for one in at} if line.check else {})
        told.append(judged)
        if judged.status == SETTLE_BEFORE_POWER:  # that it failed at another set, too, stands beside
            at = [one for one in at if one == judged.chassis or not found.failed(one, line.check)]
        asked |= {(one.pk, line.check) for one in at}
    for one in sets:
        for check, standing in found.of(one).items():
            if standing.settled is False and (one.pk, check) not in asked:
                line = Line(FOUND, standing.latest.asked or standing.latest.step, SETTLE_BEFORE_POWER, one, check=check)
                told.append(_judged(line, standing))
            elif standing.unjudged and standing.settled is not False:
                told.append(_to_judge(one, check, standing))
    return told


def _judged_at(line: Line, standings: Mapping[Chassis, Standing | None]) -> Line:
    """A line by what was found at its check, set by set."""
    for one, standing in standings.items():
        if standing and standing.settled is False:
            return _judged(replace(line, chassis=one), standing)
    well = {one: standing for one, standing in standings.items() if standing and standing.settled}
    if not well or line.status == DONE:
        return line
    if len(well) == len(standings):
        return _judged(line, list(well.values())[-1])
    left = ", ".join(str(one) for one in standings if one not in well)
    said = f"Found as it should be at {', '.join(map(str, well))}; not yet at {left}."
    return replace(line, reasons=(said, *line.reasons))


def _to_judge(chassis: Chassis, check: str, standing: Standing) -> Line:
    row = standing.latest
    said = [f"Found on {row.on}: {row.words}. Nobody said whether that is as it should be."]
    if standing.settled:
        said.append(f"Before, on {standing.decides.on}: {standing.decides.words}.")
    return Line(FOUND, row.asked or row.step, TO_JUDGE, chassis, check=check, reasons=tuple(said))


def _judged(line: Line, standing: Standing) -> Line:
    row = standing.decides
    said = [f"Found on {row.on}: {row.words}."]
    if row.note and not standing.settled:
        said.append(row.note)
    if standing.latest is not row:
        said.append(f"On {standing.latest.on}, without a judgement: {standing.latest.words}.")
    if standing.settled and line.kept:
        said.append(f"{line.kept} pieces stay reserved for it until they are released.")
    if standing.settled:
        return replace(line, status=DONE, by="", reasons=(*said, *line.reasons), before_power=False)
    return replace(
        line, status=SETTLE_BEFORE_POWER, reasons=(*said, *line.reasons), before_power=True, finding=row,
    )  # fmt: skip
