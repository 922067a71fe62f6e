"""The checks of the start sheet, one row each: what, how, for which sets, on whose word.

A new check is a row. Local codes and licensed practice come first, whatever stands here. Where a row names no text, its
check is common practice, no source. Texts named were read on the network where their address is given.
"""

from collections.abc import Callable
from dataclasses import dataclass

from inventory.restoration.rules import start_cases as when
from inventory.restoration.rules.printed_limit import NO_LIMIT, Limit
from inventory.restoration.rules.set_facts import SetFacts

TOUCHING, DEAD, FIRST_POWER = "Before touching", "Before power, supply off", "First power"
PARTS = (TOUCHING, DEAD, FIRST_POWER)
COMMON = "common practice, no source"

_STORED = "DOE-HDBK-1092, 10.10.1, capacitors (as summarized at nuclearpowerradiation.tpub.com)"
_ORDER = "a restorer's order of work, technosaurus.neocities.org/zenith/restoration.htm"
_PLAN = "describe, photograph, plan, handbook before the screwdriver: goto.glocalnet.net/bosradio/strategy/strategy.htm"
_DISPUTED_POWER = "disputed; the thread of forums.qrz.com, CPR method for a boat anchor, names the ways"
_PAPER = "for: milsurplus list, November 2019, 059626; against changing all: boatanchors list, March 2022, 052270"
_TEN = "radiobanter.com/445871-post7.html; 20 % elsewhere (technosaurus.neocities.org)"
_PINS = "U.S. Navy, Communication Equipment Maintenance Bulletin, September 1945"
_STRINGS = "hb9aik.ch/technotes.htm"
_SELENIUM = "yarchive.net; boatanchors list, June 2002, 000807"
_X_RAYS = "R. Lyles, Amps list, March 2001, 00042"
_BLEEDS = "50 V in 5 min for power capacitors: electrotechnik.net, October 2009; t = R C ln(V0/V)"
_OPEN_BLEEDER = "DOE-HDBK-1092, 10.10.1; that they open without warning: classiccmp list"
_HOUR = "an unissued set burned a capacitor after an hour of good running: radiobanter.com/692424-post2.html"
_UNDO = "arc5 list, May 2005, 001670; changes written down: arc5 list, September 2010, 006406"

#: In which order a set is worked on; the lines of the plan come into it where they belong.
ORDER_OF_WORK = (
    "Look and photograph", "count the parts", "mains transformer", "filter and paper capacitors", "resistors", "tubes",
    "sockets", "cord and fuse", "first power", "alignment",
)  # fmt: skip
ORDER_RULE = "As little as possible, one change at a time, nothing that cannot be undone, each change written down."
ORDER_SOURCE, UNDO_SOURCE = _ORDER, _UNDO


@dataclass(frozen=True, slots=True)
class Row:
    """A check. ``words`` may name ``{of}`` and ``{marks}`` of the case; ``unit``: where a number is asked.

    ``loads_heaters``: the heater winding carries its load at it, so that an overload is told beside it.
    """

    key: str
    part: str
    words: str
    how: str = ""
    asked_of: Callable[[SetFacts], when.Cases] = when.always
    source: str = COMMON
    unit: str = ""
    expected: str = ""
    loads_heaters: bool = False
    limit: Limit = NO_LIMIT


ROWS = (
    Row("unplugged", TOUCHING, "Plug out, batteries and leads from other units off, the plug in sight",
        "The switch of the set is not enough: one side of the mains may stay on."),
    Row("discharged", TOUCHING, "Discharged through a bleeder, proved dead, shorted",
        "Bleeder resistor on an insulated stick first, every capacitor; a meter proved on a live source before and "
        "after; then the shorting stick, left on while hands are in. One hand, never alone. Capacitors recover charge "
        "by themselves: short anew before each grip.", source=_STORED, unit="V",
        expected="0 V (below 1 V) before it is shorted", limit=Limit(most=1)),
    Row("hazard", TOUCHING, "{of}: looked for and seen to", asked_of=when.each_hazard),
    Row("photographs", TOUCHING, "Photographs: all sides, plates, the inside, each wire before it comes off",
        source=_PLAN),
    Row("list", TOUCHING, "What is there and what is missing, by the list of positions; knobs, covers, screws, cables",
        source=_ORDER),
    Row("papers", TOUCHING, "Circuit drawing or handbook at hand", source=_PLAN),
    Row("plates", TOUCHING, "Plates, serials and tags noted, out of the way of paint and cleaning"),
    Row("looked-over", TOUCHING, "Looked over: burnt, leaking, cracked, nests, loose screws, changes by others",
        source=_ORDER),
    Row("cord", DEAD, "Cord, plug and fuse sound, fuse of the value on the plate",
        "Perished rubber and woven cords that may hold asbestos are not bent or cut to find out.", source=_ORDER),
    Row("isolation", DEAD, "Fed through an isolation transformer: the chassis may be live",
        "Such heaters can hang on the mains themselves, and one side of these on the chassis.",
        when.mains_on_chassis),
    Row("earth", DEAD, "Chassis to the earth pin of the plug", "Not where the chassis is a side of the mains.",
        unit="ohm", limit=Limit(most=1)),
    Row("insulation", DEAD, "Mains side to chassis, insulation tester",
        "Switch on, plug out; capacitors across the mains taken off first.", unit="Mohm", limit=Limit(least=1)),
    Row("transformer", DEAD, "Mains transformer: every winding whole, both halves of the plate winding alike",
        asked_of=when.own_supply, source=_ORDER),
    Row("short", DEAD, "Plate supply line to chassis", "Both ways round, until the meter has stopped rising.",
        unit="kohm", expected="no short; by the drawing"),
    Row("filter", DEAD, "Filter capacitors reformed or replaced; leakage left",
        "Electrolytics: raised slowly through a resistor from a supply that is watched; one that does not settle, is "
        "swollen or has leaked is replaced.", when.own_supply, source=_ORDER, unit="mA"),
    Row("paper", DEAD, "Paper and moulded capacitors measured: grid coupling, across plate supply, across mains",
        "Disputed: none of five from one receiver was good; of some forty other sets four needed it. Measure, then "
        "change.", source=_PAPER),
    Row("bleeder", DEAD, "Bleeder and dividers measured",
        "One that is open leaves the filter charged with the set switched off.", when.stores_charge, _OPEN_BLEEDER,
        "kohm", "by the drawing"),
    Row("resistors", DEAD, "Resistors more than 10 % off changed or noted", source=_TEN),
    Row("string", DEAD, "Heater string {of} ({marks}) whole, end to end", "Cold; one open heater leaves all dark.",
        when.each_string, unit="ohm"),
    Row("heaters", DEAD, "Heaters of {marks}: each whole, none shorted to its cathode", asked_of=when.parallel_heaters),
    Row("tubes", DEAD, "Tubes tested, each in the position that wants it",
        "By the list, not by what was found: a wrong tube in a socket is easily taken for right.", source=_ORDER),
    Row("stand-in", DEAD, "Stand-in in {marks}, {of}: right way round, whole, what changes with it seen to",
        asked_of=when.each_stand_in),
    Row("pins", DEAD, "Pins and sockets clean, top caps tight", source=_PINS),
    Row("interlocks", DEAD, "Interlocks, door switches and earthing switch work", asked_of=when.high_voltage),
    Row("selenium", DEAD, "Selenium rectifier measured, or replaced before it burns", asked_of=when.with_selenium,
        source=_SELENIUM),
    Row("mercury", DEAD, "Mercury rectifiers {marks}: whole, upright, not tipped since",
        "One that was tipped wants the long warm-up.", when.with_mercury),
    Row("part", DEAD, "{of}", asked_of=when.each_weak_part),
    Row("line", DEAD, "{of}", asked_of=when.each_line),
    Row("second-person", FIRST_POWER, "A second person is there and knows the switch; who"),
    Row("method", FIRST_POWER, "Which way: series lamp of how many watts, variable transformer, other",
        "A lamp in series limits what a short can draw. A variable transformer raises slowly and separates nothing "
        "from the mains; mercury rectifiers are not brought up on it with plate voltage on.", source=_DISPUTED_POWER),
    Row("load", FIRST_POWER, "Dummy load on, aerial off, key up, drive off", asked_of=when.transmits),
    Row("rectifier-out", FIRST_POWER, "Rectifier {marks} out, tags noted", asked_of=when.rectifier_out,
        source=_DISPUTED_POWER),
    Row("supply-off", FIRST_POWER, "Plate supply opened where it comes in: fuse, link, the other unit",
        asked_of=when.without_rectifier),
    Row("cleared", FIRST_POWER, "Proved dead once more; tools, clips and shorting stick out and counted; covers on"),
    Row("filaments", FIRST_POWER, "Filaments alone: how long",
        "Watch, smell, listen. None dark that should glow, none flaring; off at once at smoke.", when.with_heaters,
        source=_DISPUTED_POWER, unit="min", loads_heaters=True),
    Row("mains-filaments", FIRST_POWER, "Mains current, filaments alone", asked_of=when.with_heaters, unit="A",
        loads_heaters=True),
    Row("heater-volts", FIRST_POWER, "Heater voltage {of} at the pins of {marks}",
        "Warm, one hand, plate supply still out.", when.each_heater_voltage, unit="V", loads_heaters=True),
    Row("string-volts", FIRST_POWER, "String {of} end to end, and each of {marks}",
        "Each in words, the sum as reading.", when.each_string_volts, _STRINGS, "V"),
    Row("rectifier-volts", FIRST_POWER, "Filament voltage {of} at the empty sockets of {marks}",
        "Only now: with plate voltage on, this winding stands at all of it.", when.rectifier_filaments, unit="V"),
    Row("off-again", FIRST_POWER, "Off, plug out, discharged, proved dead; then {marks} in",
        asked_of=when.with_rectifier),
    Row("warm-up", FIRST_POWER, "Mercury rectifiers {marks}: filament alone before plate voltage",
        asked_of=when.with_mercury, unit="min"),
    Row("plate-on", FIRST_POWER, "Plate supply on, as slowly as the way chosen allows; what was seen",
        "Hands off, one at the switch. Off at once at red plates, smoke, hiss, growing hum, a series lamp that stays "
        "bright.", source=_DISPUTED_POWER),
    Row("b-plus", FIRST_POWER, "B+ at the filter output", "Meter clipped on while dead, read without touching.",
        when.plate_supply, unit="V"),
    Row("mains-all", FIRST_POWER, "Mains current, plate supply on", unit="A"),
    Row("regulator", FIRST_POWER, "Regulator {marks} glows; voltage across it", asked_of=when.with_regulator, unit="V"),
    Row("plate-current", FIRST_POWER, "Plate current of the last stage into the dummy load",
        asked_of=when.transmits, unit="mA"),
    Row("x-rays", FIRST_POWER, "X-rays measured by somebody who may", "Shields on, distance, before long running.",
        when.gives_x_rays, _X_RAYS),
    Row("warm", FIRST_POWER, "After ten minutes off and discharged: what has become hot",
        "The set stays in sight for its first hours.", source=_HOUR),
    Row("decay", FIRST_POWER, "Time from switching off until B+ is below 50 V",
        "On the meter that is clipped on. Some seconds are usual; minutes mean an open bleeder.", when.stores_charge,
        _BLEEDS, "s"),
    Row("neutralization", FIRST_POWER, "Neutralization of {marks} checked before drive and plate voltage meet",
        asked_of=when.with_neutralized),
    Row("alignment", FIRST_POWER, "Alignment only when all voltages stand; trimmers marked before they are turned",
        source=_ORDER),
)  # fmt: skip
