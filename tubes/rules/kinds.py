"""Kinds of tube beyond amplifiers and rectifiers: how the judge takes them, and what of them can hurt.

A magnetron, klystron, TR tube, cathode-ray tube and the like is made for one circuit or cavity: no figure of the tables
says whether another would do. Only what a row relates is said of them.
"""

from collections.abc import Mapping

#: Not interchangeable by figures.
KIN_ONLY: Mapping[str, str] = {
    "crt": "cathode-ray tube",
    "klystron": "klystron",
    "magnetron": "magnetron",
    "tr-tube": "TR tube",
    "spark-gap": "spark gap",
    "phototube": "phototube",
    "ballast": "ballast tube",
}
#: Written for a plain kind with something beside it: (kind as judged, diodes in the bulb, use).
PLAINLY: Mapping[str, tuple[str, int, str]] = {
    "duodiode-triode": ("triode", 2, ""),
    "indicator": ("other", 0, "tuning indicator"),
    "triode-hexode": ("other", 0, "converter"),
}

_X_RAYS = "can give X-rays at its working voltage: shields on, distance, measured by somebody who may."
_PRIMER = (
    "Some makes hold a radioactive primer. Do not open or break it; check it with a counter; local rules say how to "
    "part with one."
)
_CAUTIONS: Mapping[str, str] = {
    "crt": "Cathode-ray tube: it can implode. Face shield, no knocks, box it neck down; its high voltage stays after "
    "switching off.",
    "magnetron": f"Magnetron: high-voltage pulses; it {_X_RAYS} Strong magnets near it; microwaves from an open guide "
    "burn eyes.",
    "klystron": f"Klystron: high voltage on its resonator or reflector; a large one {_X_RAYS}",
    "tr-tube": f"TR tube: {_PRIMER}",
    "spark-gap": f"Spark gap: {_PRIMER}",
}  # common practice, no source


def caution_of(kind: str) -> str:
    """What can hurt of every tube of a kind; empty where nothing is said of all of them."""
    return _CAUTIONS.get(kind, "")
