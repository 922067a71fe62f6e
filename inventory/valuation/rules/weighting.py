"""How much the rows of evidence count beside one another."""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import YEAR, Evidence, Vector
from inventory.valuation.rules.words import VENUES


@dataclass(frozen=True, slots=True)
class Weighting:
    """How much rows count: half as much for every ``half_life`` years of age; venues by word, 1 where none is named."""

    half_life: float | None = None
    venues: tuple[tuple[str, float], ...] = ()

    def of(self, evidence: Evidence, on: int) -> Vector:
        """Weights of the rows. Raises ValueError: a half life or weight that is none, a word that is no venue."""
        weights = np.ones(len(evidence))
        if self.half_life is not None:
            if not 0 < self.half_life < np.inf:
                raise ValueError(f"a half life of {self.half_life:g} years; expected more than 0")
            weights *= 0.5 ** ((on - evidence.day) / YEAR / self.half_life)
        for word, weight in self.venues:
            if word not in VENUES or not 0 <= weight < np.inf:
                raise ValueError(f"a weight of {weight:g} for {word!r}; expected 0 or more for one of {VENUES}")
            weights[evidence.venue == VENUES.index(word)] *= weight
        return weights
