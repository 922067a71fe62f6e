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
    TO_STRIKE,
    BridgeForm,
    BridgeInsteadForm,
    ModulationForm,
    OnAirForm,
    OnAirRecordForm,
    PairingFilterForm,
    StationForm,
    ask_its_null,
)
from inventory.pairing.forms.ledger import (
    DisturbanceForm,
    NeutralizationForm,
)
from inventory.pairing.forms.readings import (
    ReadingsForm,
    rows_in_words,
)

__all__ = [
    "TO_STRIKE",
    "BridgeForm",
    "BridgeInsteadForm",
    "CompanionForm",
    "CompanionKindForm",
    "ComparisonForm",
    "DisturbanceForm",
    "MatedPartForm",
    "MatedSetForm",
    "ModulationForm",
    "NeutralizationForm",
    "NewCompanionForm",
    "OnAirForm",
    "OnAirRecordForm",
    "PairingFilterForm",
    "ReadingsForm",
    "StationForm",
    "ask_its_null",
    "rows_in_words",
]
