"""What the house must know of this area."""

from inventory.house.areas import Area, Kind, Way

AREA = Area(
    "Pairing",
    urls="inventory.pairing.urls",
    ways=(Way("Pairings", "pairing:table", 70),),
    kinds=(Kind("companion", "companion", "K", "companion", "pairing:companion", ("companion__kind__set_model",)),),
)
