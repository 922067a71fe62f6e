"""Marks that no row states and a rule gives from one that does.

The R.A.F. valve VRn became CV(1000 + n) in the joint register: bvws-valvenos gives the rule, VR135 and CV1135 its
example. It is taken to hold between the lowest and the highest number of which the tables have both, whose rows all
keep it (CV1053 to CV1137); beyond, and of numbers with a letter (VR65A), nothing is derived, nor against any row.
"""

import re
from collections.abc import Iterable

from tubes.rules.relations import SAME, is_unchecked
from tubes.rules.schemes import UK_CV, UK_SERVICES
from tubes.rules.stamp_tables import DesignationRow

SOURCE = "bvws-valvenos"
NOTE = "derived by the rule of the R.A.F. numbers, VRn is CV(1000 + n); no row states it"
_VR = re.compile("VR([1-9][0-9]{0,2})")


def joint_numbers(rows: Iterable[DesignationRow]) -> list[DesignationRow]:
    """The CV numbers that the rule gives and no row has, in the order of the numbers."""
    rows = list(rows)
    registered = {row.designation: row for row in rows if row.scheme == UK_CV}
    checked = [row for row in rows if row.relation == SAME and not is_unchecked(row.note)]
    valves = {
        int(match[1]): row
        for row in checked
        if row.scheme == UK_SERVICES and (match := _VR.fullmatch(row.designation)) is not None
    }
    stated = {(row.type, row.designation) for row in checked if row.scheme == UK_CV}
    both = [number for number, row in valves.items() if (row.type, f"CV{1000 + number}") in stated]
    if not both:
        return []
    return [
        DesignationRow(row.type, UK_CV, mark, SAME, NOTE)
        for number, row in sorted(valves.items())
        if min(both) <= number <= max(both) and (mark := f"CV{1000 + number}") not in registered
    ]
