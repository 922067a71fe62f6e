"""The usual cautions where tubes are changed and filaments are supplied."""

CHANGING_TUBES = (
    "Caution: plate and screen voltages kill, capacitors hold them after switching off, tubes are hot. Power off, "
    "discharge, prove dead before a tube is changed; follow local codes, and leave it to licensed practice if in doubt."
)
FILAMENT_SUPPLIES = (
    "Caution: filament windings, of rectifiers above all, can stand at full plate voltage; droppers burn. Power off, "
    "discharge, prove dead before work; follow local codes. Voltages count at the pins, warmed up, true rms."
)
