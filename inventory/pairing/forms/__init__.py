"""Forms of the pairing area."""

from inventory.pairing.forms.companions import (
    CompanionForm,
    CompanionKindForm,
    ComparisonForm,
    MatedPartForm,
    MatedSetForm,
    NewCompanionForm,
)
from inventory.pairing.forms.depth import (
    BridgeForm,
    InsteadForm,
    ModulationForm,
    OnAirForm,
    OnAirRecordForm,
    PairingFilterForm,
    StationForm,
)
from inventory.pairing.forms.ledger import (
    DisturbanceCorrection,
    DisturbanceForm,
    NeutralizationCorrection,
    NeutralizationForm,
    StrikeForm,
)
from inventory.pairing.forms.readings import (
    ReadingsForm,
    rows_in_words,
)

__all__ = [
    "BridgeForm",
    "CompanionForm",
    "CompanionKindForm",
    "ComparisonForm",
    "DisturbanceCorrection",
    "DisturbanceForm",
    "InsteadForm",
    "MatedPartForm",
    "MatedSetForm",
    "ModulationForm",
    "NeutralizationCorrection",
    "NeutralizationForm",
    "NewCompanionForm",
    "OnAirForm",
    "OnAirRecordForm",
    "PairingFilterForm",
    "ReadingsForm",
    "StationForm",
    "StrikeForm",
    "rows_in_words",
]
