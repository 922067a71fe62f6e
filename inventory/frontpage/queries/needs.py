"""Which positions of the sets here want a tube and call for a relative of a type."""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.frontpage.queries.relatives import WITH_CARE, Kin, Places
from inventory.sets.queries.needs import SetNeed


@dataclass(frozen=True)
class FormNeed:
    """A position that calls for a type of which the tube is a relative: another form, with care, or near kin.

    ``form``: how its form differs, or how it is related; ``note``: what the tables say of the two.
    """

    need: SetNeed
    wants: str
    form: str
    note: str = ""
    verdict: str = WITH_CARE

    @property
    def words(self) -> str:
        return f"{self.form}; {self.note}" if self.note else self.form


def kin_needs(kin: Mapping[str, Kin], needs: Mapping[str, list[SetNeed]], places: Places) -> tuple[FormNeed, ...]:
    """Positions that want a tube and call for a relative of it, the most urgent first; where it is unsuitable, none."""
    found = []
    for wanted, one in kin.items():
        for need in needs.get(wanted, ()):
            if need.needy and (verdict := places.verdict(wanted, one, need.position)):
                found.append(FormNeed(need, wanted, one.how, one.note, verdict))
    return tuple(sorted(found, key=lambda one: (*one.need.urgency, one.need.chassis, one.need.mark)))
