"""The lists of companions and of the ledger, as they are taken out."""

from inventory.holdings.lists_out import GONE, WHERE, ThingList
from inventory.house.lists_out import EVENT, PAIR, ListOut, both
from inventory.pairing.models import Companion, CompanionCheck, Disturbance, Neutralization, OnAirRecord
from inventory.sets.lists_out import PLATE

COMPANIONS = ThingList(
    "companions", "Companions", "pairing.companion",
    (
        ("Tag", "item__tag"), ("What", "kind__name"), ("Set model", "kind__set_model__name"), *PLATE,
        ("Belongs to serial", "mate_serial"), ("That number", "mate_reading"), ("Kept with", "kept_with__item__tag"),
        *WHERE, ("Note", "note"), *GONE,
    ),
    lambda: Companion.objects.filter(item__gone_on__isnull=True), Companion.objects.all,
    ("kind__name", "mate_serial", "item__tag"),
    order=20,
)  # fmt: skip
NEUTRALIZATIONS = ListOut(
    "neutralizations", "Neutralizations", "pairing.neutralization",
    (
        ("Date", "on"), ("Time", "at"), *PAIR, ("Dial setting", "setting"), ("Scale of the dial", "dial_scale"),
        ("Frequency used, kc", "frequency_kc"), ("Method", "method"), ("Reading at the null", "null_reading"),
        ("Lock tightened", "locked"), *EVENT,
    ),
    **both(lambda: Neutralization.objects.order_by("on", "pk")),
    order=30,
)  # fmt: skip
DISTURBANCES = ListOut(
    "disturbances", "Disturbances", "pairing.disturbance",
    (("Date", "on"), ("Time", "at"), *PAIR, ("Cause", "cause"), *EVENT, ("Each with every partner", "both")),
    **both(lambda: Disturbance.objects.order_by("on", "pk")),
    order=30,
)  # fmt: skip
ON_AIR = ListOut(
    "on-air", "On the air", "pairing.onairrecord",
    (
        ("Date", "on"), ("Time", "at"), *PAIR, ("Frequency, kc", "frequency_kc"), ("Plate supply, V", "supply_v"),
        ("Filament supply, V", "filament_v"), ("Filament current, A", "filament_a"), ("Plate current, mA", "plate_ma"),
        ("Antenna current, A", "antenna_a"), ("Full scale of that meter, A", "antenna_scale_a"),
        ("Output, W", "output_w"), ("Load, ohm", "load_ohm"), *EVENT, ("Before it went on the air", "readied"),
    ),
    **both(lambda: OnAirRecord.objects.order_by("on", "pk")),
    order=30,
)  # fmt: skip
COMPARISONS = ListOut(
    "comparisons", "Companions compared with sets", "pairing.companioncheck",
    (
        ("Date", "on"), ("Companion", "companion__item__tag"), ("What", "companion__kind__name"), *PAIR[:3],
        ("Outcome", "outcome"), *EVENT,
    ),
    **both(lambda: CompanionCheck.objects.order_by("on", "pk")),
    order=30,
)  # fmt: skip

LISTS = (COMPANIONS, NEUTRALIZATIONS, DISTURBANCES, ON_AIR, COMPARISONS)
