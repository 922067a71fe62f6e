"""What one person may lift, by the revised NIOSH lifting equation.

NIOSH 94-110, revised 2021; what-when-how.com p. 892. 23 kg at best, less the further away, lower or higher it is taken
up, and the further it is raised. Turning, a poor grip and doing it often take more off: their factors are 1 here.
"""

from dataclasses import dataclass

IDEAL_KG = 23.0
NEAREST_CM, FARTHEST_CM = 25.0, 63.0
HIGHEST_CM = 175.0
CAUTION = (
    "For a healthy adult with a good grip, both feet firm and no turning; an old chassis has none of that. Above 1 it"
    " is a risk, from 3 a high one: two people or a hoist, racks emptied first, fingers clear. Local rules come first."
)


@dataclass(frozen=True, slots=True)
class Lift:
    """A set of ``weight_kg``: how far in front of the ankles, how high it is taken up, how far it is raised, in cm.

    Raises ValueError where the equation does not reach.
    """

    reach_cm: float
    height_cm: float
    raised_cm: float
    weight_kg: float | None = None

    def __post_init__(self) -> None:
        most = (("reach", self.reach_cm, FARTHEST_CM), ("height", self.height_cm, HIGHEST_CM),
                ("way up", self.raised_cm, HIGHEST_CM))  # fmt: skip
        for name, figure, limit in most:
            if not 0 <= figure <= limit:
                raise ValueError(f"{name} {figure:g} cm; the equation knows 0 to {limit:g} cm")
        if self.weight_kg is not None and not self.weight_kg > 0:
            raise ValueError(f"weight {self.weight_kg:g} kg; expected more than 0")

    @property
    def limit_kg(self) -> float:
        """The recommended limit of weight."""
        across = NEAREST_CM / max(self.reach_cm, NEAREST_CM)
        height = 1 - 0.003 * abs(self.height_cm - 75)
        way = 0.82 + 4.5 / max(self.raised_cm, NEAREST_CM)
        return IDEAL_KG * across * height * way

    @property
    def index(self) -> float | None:
        """Weight over limit: above 1 is a risk, from 3 a high one. None where the weight is not known."""
        return None if self.weight_kg is None else self.weight_kg / self.limit_kg
