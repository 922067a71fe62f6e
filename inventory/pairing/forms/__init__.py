"""Forms of the pairing area."""

from inventory.pairing.forms.companions import (
    CompanionForm,
    CompanionKindForm,
    ComparisonCorrection,
    ComparisonForm,
    MatedPartForm,
    MatedSetForm,
    NewCompanionForm,
)
from inventory.pairing.forms.depth import (
    BridgeForm,
    BridgeInsteadForm,
    ModulationForm,
    OnAirCorrection,
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
    "BridgeInsteadForm",
    "CompanionForm",
    "CompanionKindForm",
    "ComparisonCorrection",
    "ComparisonForm",
    "DisturbanceCorrection",
    "DisturbanceForm",
    "MatedPartForm",
    "MatedSetForm",
    "ModulationForm",
    "NeutralizationCorrection",
    "NeutralizationForm",
    "NewCompanionForm",
    "OnAirCorrection",
    "OnAirForm",
    "OnAirRecordForm",
    "PairingFilterForm",
    "ReadingsForm",
    "StationForm",
    "StrikeForm",
    "rows_in_words",
]
