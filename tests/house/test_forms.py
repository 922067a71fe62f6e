"""Each form: a good entry does its change and goes on; a bad one answers 422, names the field and changes nothing."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.holdings.models import Item, Paper, PartLot, Place, StockTake, Tube, Want
from inventory.lists.models import ImportRun
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind, Disturbance, Neutralization
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    MatchedSet,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from inventory.sets.models import (
    Bay,
    Chassis,
    Fitting,
    MatedPart,
    MatedSet,
    PlugInUnit,
    Position,
    Seating,
    SetModel,
    UnitModel,
)
from tests.factories import PlaceFactory, PlugInUnitFactory, TubeFactory
from tests.house.world import ADD, ADDRESSES, CHANGE, POST_ONLY, a_picture
from tests.pages import seen_at
from tests.rooms import brought
from tubes.models import Designation, Limit, Rating, Source, TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("world")]


# For each form: what to send, how to see that it was done, a field to spoil, and with what. A field that is spoilt
# with None is left out. Values may be functions of the world.
FORMS = {
    "tubes:type-add": (
        {"name": "ZZ9", "hazard": "mercury; keep upright"},
        lambda w: TubeType.objects.get(name="ZZ9", origin="keeper").hazard == "mercury; keep upright",
        ("name", lambda w: w.type.name),
    ),
    "tubes:type-change": (
        {"name": lambda w: w.type.name, "hazard": "radium"},
        lambda w: TubeType.objects.get(pk=w.type.pk).hazard == "radium",
        ("name", ""),
    ),
    "holdings:want-add": (
        {
            "thing": "ZZ5-MIL",
            "besides": "on",
            "quantity": "2",
            "top_price": "9.50",
            "currency": "gbp",
            "purpose": "",
            "note": "",
            "type": "",
            "since": lambda w: w.today,
        },
        lambda w: Want.objects.filter(thing="ZZ5-MIL", type=w.type, quantity=2, currency="GBP").count() == 1,
        ("currency", "pounds"),
    ),
    "holdings:want-change": (
        {"thing": "ZZ5-MIL", "quantity": "3", "type": "", "since": lambda w: w.today},
        lambda w: Want.objects.get(pk=w.want.pk).quantity == 3,
        ("quantity", "0"),
    ),
    "holdings:want-settle": (
        {"why": "bought"},
        lambda w: Want.objects.get(pk=w.want.pk).settled == "bought",
        ("why", ""),
    ),
    "tubes:source-add": (
        {"key": "own-notes", "title": "Own notes", "publisher": "", "year": "", "location": "", "read_at": ""},
        lambda w: Source.objects.get(key="own-notes").origin == "keeper",
        ("title", ""),
    ),
    "tubes:designation-add": (
        {"scheme": "maker", "designation": "ZZ77", "relation": "near", "note": "", "source": lambda w: w.source.pk},
        lambda w: Designation.objects.get(designation="ZZ77").type == w.type,
        ("relation", "alike"),
    ),
    "tubes:rating-write": (
        {"heater_v": "6.3", "source": lambda w: w.source.pk, "grade": "stated"},
        lambda w: Rating.objects.get(type=w.type, origin="keeper").heater_v == 6.3,
        ("heater_v", "six"),
    ),
    "tubes:limit-change": (
        {"value": "0.7", "source": lambda w: w.source.pk},
        lambda w: Limit.objects.get(key="judge.mu_low", origin="keeper").value == 0.7,
        ("value", "six"),
    ),
    "lists:list-add": (
        {"file": lambda w: SimpleUploadedFile("shelf.csv", b"Tube,Qty\n807,2\n")},
        lambda w: ImportRun.objects.get(file_name="shelf.csv").state == "trial",
        ("mapping", 999999),
    ),
    "holdings:things-change": (
        {"tags": lambda w: w.tube.tag, "maker": "Acme"},
        lambda w: ImportRun.objects.latest("pk").counts["changed_cells"] == 1,
        ("tags", "T-9999"),
    ),
    "lists:came-back-add": (
        {"file": lambda w: SimpleUploadedFile("own.csv", f"Tag,Maker\n{w.tube.tag},Acme\n".encode())},
        lambda w: ImportRun.objects.get(file_name="own.csv").counts["changed_cells"] == 1,
        ("why", "x" * 61),
    ),
    "lists:list-columns": (
        {"column_0": "mark"},
        lambda w: ImportRun.objects.get(pk=w.trial.pk).counts["tried"],
        ("dollar", "dollars"),
    ),
    "lists:list-undo": ({}, lambda w: ImportRun.objects.get(pk=w.undoable.pk).state == "undone", None),
    "holdings:paper-add": (
        {"uploads": lambda w: SimpleUploadedFile("a.jpg", a_picture()), "kind": "photograph", "caption": "plate"},
        lambda w: Paper.objects.get(caption="plate").item == w.tube.item,
        ("kind", "postcard"),
    ),
    "holdings:paper-change": (
        {"caption": "serial", "kind": "paper"},
        lambda w: Paper.objects.get(pk=w.paper.pk).caption == "serial",
        ("kind", "postcard"),
    ),
    "holdings:paper-remove": ({}, lambda w: not Paper.objects.filter(pk=w.paper.pk).exists(), None),
    "holdings:tube-add": (
        {"marked": "ZZ5-MIL", "state": "good", "count": "2", "place": lambda w: w.place.pk, "type": "", "tag": ""},
        lambda w: [t.type for t in Tube.objects.filter(marked="ZZ5-MIL")] == [w.type, w.type],
        ("count", "0"),
    ),
    "holdings:tube-change": (
        {"marked": "other", "state": "dud", "type": lambda w: w.type.name},
        lambda w: Tube.objects.get(pk=w.tube.pk).state == "dud",
        ("type", "QQQ99"),
    ),
    "holdings:place-add": (
        {"code": "B7", "parent": lambda w: w.place.pk, "name": "", "note": ""},
        lambda w: Place.objects.get(code="B7").path == f"{w.place.path} / B7",
        ("code", "B/7"),
    ),
    "holdings:place-change": (
        {"code": "Attic", "parent": "", "name": "", "note": ""},
        lambda w: Place.objects.get(pk=w.inner.pk).path.startswith("Attic / "),
        ("parent", lambda w: w.inner.pk),
    ),
    "holdings:place-move": (
        {"into": lambda w: PlaceFactory().pk, "on": lambda w: w.today, "reason": "moved house"},
        lambda w: w.tube.item.movements.filter(reason="moved house").exists(),
        ("on", "soon"),
    ),
    "holdings:place-count-begin": (
        {"place": lambda w: w.place.pk, "note": "spring"},
        lambda w: StockTake.objects.get(note="spring").lines.filter(item=w.tube.item).exists(),
        ("percent", "101"),
    ),
    "holdings:place-count-close": (
        {"rest": "missing"},
        lambda w: StockTake.objects.get(pk=w.take.pk).closed == w.today,
        ("rest", ""),
    ),
    "holdings:place-count-drop": ({}, lambda w: not StockTake.objects.filter(pk=w.take.pk).exists(), None),
    "holdings:shelf": (
        {"marked": "ZZ5-MIL", "state": "good", "count": "2", "place": lambda w: w.place.pk},
        lambda w: [t.type for t in Tube.objects.filter(marked="ZZ5-MIL")] == [w.type, w.type],
        ("count", "0"),
    ),
    "holdings:things-move": (
        {"tags": lambda w: w.tube.tag, "place": lambda w: w.inner.pk, "on": lambda w: w.today, "apart": "on"},
        lambda w: Item.objects.get(pk=w.tube.pk).place == w.inner,
        ("tags", "T-9999"),
    ),
    "holdings:things-lend": (
        {
            "tags": lambda w: w.spare.tag,
            "lent_to": "R. Oddsworth",
            "on": lambda w: w.today,
            "sure": "yes",
            "why": "he asked for one",
        },
        lambda w: Item.objects.get(pk=w.spare.pk).lent_to == "R. Oddsworth",
        ("tags", "T-9999"),
    ),
    "holdings:things-back": (
        {"tags": lambda w: w.lent.tag, "on": lambda w: w.today, "sure": "yes"},
        lambda w: Item.objects.get(pk=w.lent.pk).lent_to == "",
        ("tags", "T-9999"),
    ),
    "holdings:things-hazard": (
        {
            "tags": lambda w: w.spare.tag,
            "hazards": ["radioactive"],
            "standing": "confirmed",
            "on": lambda w: w.today,
            "reason": "marked so",
            "sure": "yes",
        },
        lambda w: w.spare.item.hazards.filter(hazard="radioactive").exists(),
        ("tags", "T-9999"),
    ),
    "holdings:part-add": (
        {"name": "knob", "value": "bar", "duds": "0", "least": "3", "most": "3", "place": lambda w: w.place.pk},
        lambda w: PartLot.objects.get(name="knob").item.place == w.place,
        ("name", ""),
    ),
    "holdings:part-change": (
        {"name": "crystal", "value": "5030 kc", "duds": "1"},
        lambda w: PartLot.objects.get(pk=w.lot_item.pk).duds == 1,
        ("duds", "-1"),
    ),
    "holdings:hazard-add": (
        {"hazards": "radium", "standing": "none found", "reason": "counter", "on": lambda w: w.today},
        lambda w: w.tube.item.hazards.get(hazard="radium").standing == "none found",
        ("hazards", "fire"),
    ),
    "holdings:hazard-settle": (
        {"standing": "confirmed", "reason": "drops seen", "on": lambda w: w.today},
        lambda w: w.tube.item.hazards.get(hazard="mercury").standing == "confirmed",
        ("standing", "perhaps"),
    ),
    "holdings:fact-add": (
        {"about": "reading", "text": "2250/1200", "instrument": "Prover 3"},
        lambda w: (
            [str(f) for f in w.tube.item.facts.exclude(pk=w.fact.pk)]
            == [
                "reading: 2250 on its scale, Prover 3",
                "reject minimum: 1200 on its scale, Prover 3",
            ]
        ),
        ("text", "two thousand"),
    ),
    "holdings:fact-strike": (
        {"why": "of another tube"},
        lambda w: w.tube.item.facts.get(pk=w.fact.pk).struck == "of another tube",
        ("why", " "),
    ),
    "holdings:item-move": (
        {"place": lambda w: w.inner.pk, "on": lambda w: w.today, "reason": "sorted"},
        lambda w: Item.objects.get(pk=w.tube.pk).place == w.inner,
        ("on", "soon"),
    ),
    "holdings:item-lend": (
        {"lent_to": "R. Oddsworth", "on": lambda w: w.today, "why": "he asked for one"},
        lambda w: Item.objects.get(pk=w.tube.pk).lent_to == "R. Oddsworth",
        ("lent_to", " "),
    ),
    "holdings:item-back": (
        {"on": lambda w: w.today, "condition": "as it went"},
        lambda w: Item.objects.get(pk=w.lent.pk).lent_to == "",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "holdings:item-mistake": (
        {"why": "read wrongly"},
        lambda w: not Item.objects.filter(pk=w.spare.pk).exists(),
        ("why", ""),
    ),
    "holdings:item-part-with": (
        {"on": lambda w: w.today, "how": "sold to P. Quillan", "why": "no mate left"},
        lambda w: Item.objects.get(pk=w.tube.pk).gone_how == "sold to P. Quillan; alone: no mate left",
        ("how", ""),
    ),
    "sets:chassis-add": (
        {"model": lambda w: w.model.pk, "serial": "01432", "serial_reading": "read", "note": "", "tag": ""},
        lambda w: Chassis.objects.get(serial="01432").model == w.model,
        ("serial", lambda w: w.chassis.serial),
    ),
    "sets:chassis-change": (
        {"model": lambda w: w.model.pk, "serial": "01432", "serial_reading": "read", "note": ""},
        lambda w: Chassis.objects.get(pk=w.chassis.pk).serial == "01432",
        ("serial", ""),
    ),
    "sets:tube-fit": (
        {
            "tube": lambda w: w.spare.tag.lower(),
            "since": lambda w: w.today,
            "replace": "on",
            "other_type": "on",
            "note": "",
        },
        lambda w: Fitting.objects.get(tube=w.spare).position == w.position,
        ("tube", "T-9999"),
    ),
    "sets:fitting-correct": (
        {
            "since": lambda w: w.fitting.since - timedelta(days=1),
            "since_at": "",
            "until": "",
            "note": "plate read again",
        },
        lambda w: Fitting.objects.get(pk=w.fitting.pk).note == "plate read again",
        ("since", "1066-10-14"),
    ),
    "sets:seating-correct": (
        {
            "since": lambda w: w.seating.since - timedelta(days=1),
            "since_at": "",
            "until": "",
            "note": "book read again",
        },
        lambda w: Seating.objects.get(pk=w.seating.pk).note == "book read again",
        ("since", "1066-10-14"),
    ),
    "sets:tube-out": (
        {"until": lambda w: w.today, "until_at": "00:00", "place": lambda w: w.place.pk},
        lambda w: Fitting.objects.get(pk=w.fitting.pk).until == w.today,
        ("until", lambda w: w.fitting.since - timedelta(days=1)),
    ),
    "sets:seat": (
        {"unit": lambda w: w.unit.pk, "since": lambda w: w.today},
        lambda w: Seating.objects.get(unit=w.unit).bay == w.free_bay,
        ("since", lambda w: w.today + timedelta(days=1)),
    ),
    "sets:seat-out": (
        {"until": lambda w: w.today, "place": ""},
        lambda w: Seating.objects.get(pk=w.seating.pk).until == w.today,
        ("until", lambda w: w.today + timedelta(days=1)),
    ),
    "sets:model-add": (
        {"name": "Tarnhollow RX 9", "kind": "receiver", "neutralizing": "none", "caution": "", "note": ""},
        lambda w: SetModel.objects.get(name="Tarnhollow RX 9").kind == "receiver",
        ("name", lambda w: w.model.name),
    ),
    "sets:model-change": (
        {"name": "Ostercape 6", "kind": "transmitter", "neutralizing": "chassis", "caution": "2 kV", "note": ""},
        lambda w: SetModel.objects.get(pk=w.model.pk).caution == "2 kV",
        ("neutralizing", "somewhere"),
    ),
    "sets:position-add": (
        {"mark": "V9", "type": "ZZ5-MIL", "role": "buffer", "neutralized": ""},
        lambda w: Position.objects.get(mark="V9").type == w.type,
        ("type", "QQQ99"),
    ),
    "sets:position-change": (
        {"mark": "V8", "type": "", "role": "", "neutralized": "on"},
        lambda w: Position.objects.get(pk=w.position.pk).mark == "V8",
        ("mark", ""),
    ),
    "sets:approval-add": (
        {"type": "807", "verdict": "approved", "on": lambda w: w.today, "source": "bench book, leaf 9", "words": ""},
        lambda w: w.position.approvals.get(verdict="approved").source == "bench book, leaf 9",
        ("verdict", "perhaps"),
    ),
    "sets:bay-add": ({"mark": "middle"}, lambda w: Bay.objects.get(mark="middle").set_model == w.model, ("mark", "")),
    "sets:unit-add": (
        {"model": lambda w: w.unit_model.pk, "serial": "", "serial_reading": "missing", "note": "", "tag": "U-0777"},
        lambda w: PlugInUnit.objects.get(item__tag="U-0777").model == w.unit_model,
        ("tag", lambda w: w.unit.tag),
    ),
    "sets:unit-change": (
        {"model": lambda w: w.unit_model.pk, "serial": "077", "serial_reading": "read", "note": ""},
        lambda w: PlugInUnit.objects.get(pk=w.unit.pk).serial == "077",
        ("serial_reading", "missing"),
    ),
    "sets:unit-model-add": (
        {"name": "drawer Q", "fits": lambda w: [w.model.pk], "low_kc": "1500 kc", "high_kc": "3 Mc", "note": ""},
        lambda w: list(UnitModel.objects.get(name="drawer Q").fits.all()) == [w.model],
        ("low_kc", "low"),
    ),
    "sets:unit-model-change": (
        {"name": "drawer Q", "fits": lambda w: [w.model.pk], "low_kc": "1500 kc", "high_kc": "3 Mc", "note": ""},
        lambda w: UnitModel.objects.get(pk=w.unit_model.pk).name == "drawer Q",
        ("name", ""),
    ),
    "pairing:neutralize": (
        {
            "chassis": lambda w: w.chassis.pk,
            "unit": lambda w: w.unit.pk,
            "on": lambda w: w.today,
            "setting": "52",
            "frequency_kc": "3.6 Mc",
            "off_range": "on",
            "locked": "true",
        },
        lambda w: (n := Neutralization.objects.get(setting="52")).frequency_kc == 3600 and n.locked,
        ("frequency_kc", "3600"),
    ),
    "pairing:neutralization-correct": (
        {
            "chassis": lambda w: w.chassis.pk,
            "unit": lambda w: w.unit.pk,
            "on": lambda w: w.neutralization.on,
            "setting": "25",
            "reason": "read from the wrong dial",
        },
        lambda w: Neutralization.objects.get(pk=w.neutralization.pk).setting == "25",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "pairing:disturb": (
        {"chassis": "", "unit": lambda w: w.unit.pk, "cause": "repair", "on": lambda w: w.today},
        lambda w: Disturbance.objects.get(cause="repair").unit == w.unit,
        ("cause", "ghost"),
    ),
    "pairing:disturbance-correct": (
        {
            "chassis": lambda w: w.chassis.pk,
            "unit": "",
            "cause": "repair",
            "on": lambda w: w.disturbance.on,
            "reason": "it was a repair",
        },
        lambda w: Disturbance.objects.get(pk=w.disturbance.pk).cause == "repair",
        ("cause", "ghost"),
    ),
    "pairing:companion-add": (
        {
            "kind": lambda w: w.kind.pk,
            "mate_serial": "0458",
            "mate_reading": "read",
            "serial": "",
            "serial_reading": "missing",
        },
        lambda w: Companion.objects.get(mate_serial="0458").kind == w.kind,
        ("mate_serial", ""),
    ),
    "pairing:companion-change": (
        {
            "kind": lambda w: w.kind.pk,
            "mate_serial": "0459",
            "mate_reading": "read",
            "serial": "",
            "serial_reading": "missing",
        },
        lambda w: Companion.objects.get(pk=w.companion.pk).mate_serial == "0459",
        ("mate_reading", "unreadable"),
    ),
    "pairing:companion-compare": (
        {"chassis": lambda w: w.chassis.pk, "outcome": "not matched", "on": lambda w: w.today},
        lambda w: CompanionCheck.objects.get(outcome="not matched").companion == w.companion,
        ("outcome", "perhaps"),
    ),
    "pairing:comparison-correct": (
        {
            "chassis": lambda w: w.chassis.pk,
            "outcome": "not matched",
            "on": lambda w: w.today,
            "reason": "looked again",
        },
        lambda w: CompanionCheck.objects.get(pk=w.check.pk).outcome == "not matched",
        ("outcome", "perhaps"),
    ),
    "pairing:event-strike": (
        {"why": "entered for the wrong unit"},
        lambda w: Neutralization.objects.get(pk=w.neutralization.pk).struck == "entered for the wrong unit",
        ("why", ""),
    ),
    "pairing:on-air-add": (
        {"on": lambda w: w.today, "frequency_kc": "1.6 Mc", "filament_a": "7.9", "by_whom": "R. Halden"},
        lambda w: w.chassis.on_air_records.get(filament_a=7.9).frequency_kc == 1600,
        ("frequency_kc", "1600"),
    ),
    "pairing:on-air-correct": (
        {"on": lambda w: w.today, "antenna_a": "1.3", "reason": "read again"},
        lambda w: w.chassis.on_air_records.get(pk=w.on_air.pk).antenna_a == 1.3,
        ("on", "1066-10-14"),
    ),
    "pairing:bridge-set": (
        {"bridge_circuit": "plate-tap", "np": "12", "nn": "18", "cn_min_pf": "4", "cn_max_pf": "20"},
        lambda w: SetModel.objects.get(pk=w.model.pk).bridge == {"np": 12, "nn": 18},
        ("nn", ""),
    ),
    "running:strike": ({"why": "entered twice"}, lambda w: Run.objects.get(pk=w.run.pk).struck, ("why", "")),
    "running:run-add": (
        {"on": lambda w: w.today, "hours": "3.5", "starts": "1", "filament": "full"},
        lambda w: Run.objects.get(hours=3.5).chassis == w.chassis,
        ("hours", "25"),
    ),
    "running:run-correct": (
        {"on": lambda w: w.today, "hours": "7", "starts": "2", "filament": "standby"},
        lambda w: Run.objects.get(pk=w.run.pk).filament == "standby",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "running:meter-add": (
        {
            "since": lambda w: w.today,
            "digits": "4",
            "decimals": "2",
            "serial": "E-9",
            "last_wheels": "00120.5",
            "first_wheels": "0007.25",
        },
        lambda w: Meter.objects.get(pk=w.meter.pk).until == w.today and Meter.objects.get(serial="E-9").readings.get(),
        ("first_wheels", "12345.1"),
    ),
    "running:meter-correct": (
        {"since": lambda w: w.meter.since, "digits": "5", "decimals": "2", "serial": "E-117"},
        lambda w: Meter.objects.get(pk=w.meter.pk).decimals == 2,
        ("digits", "0"),
    ),
    "running:reading-add": (
        {"on": lambda w: w.today, "wheels": "00112.5"},
        lambda w: MeterReading.objects.get(wheels="00112.5").meter == w.meter,
        ("wheels", "about 112"),
    ),
    "running:reading-correct": (
        {"on": lambda w: w.meter_reading.on, "wheels": "00101.0"},
        lambda w: MeterReading.objects.get(pk=w.meter_reading.pk).wheels == "00101.0",
        ("on", "1066-10-14"),
    ),
    "running:earlier-hours": (
        {"standing": "estimated", "hours": "400"},
        lambda w: EarlierHours.objects.get(tube=w.tube).hours == 400,
        ("hours", ""),
    ),
    "running:hours-correct": (
        {"on": lambda w: w.today, "hours": "-2.5", "starts": "0", "reason": "the other set ran"},
        lambda w: HoursCorrection.objects.get(hours=-2.5).tube == w.tube,
        ("reason", ""),
    ),
    "running:hours-correction-change": (
        {"on": lambda w: w.today, "hours": "3", "starts": "0", "reason": "read again"},
        lambda w: HoursCorrection.objects.get(pk=w.correction.pk).hours == 3,
        ("hours", "0"),
    ),
    "running:test-add": (
        {"instrument": lambda w: w.instrument.pk, "on": lambda w: w.today, "reading_text": "2250", "shorts": "none"},
        lambda w: TubeTest.objects.get(reading_text="2250").reading == 2250 and w.tube,
        ("reading_text", "strong"),
    ),
    "running:test-correct": (
        {"instrument": lambda w: w.instrument.pk, "on": lambda w: w.today, "reading_text": "1,9"},
        lambda w: TubeTest.objects.get(pk=w.test.pk).reading == 1.9,
        ("reading_text", "2 mA/V"),
    ),
    "running:session": (
        {
            "tube": lambda w: w.tube.tag.lower(),
            "instrument": lambda w: w.instrument.pk,
            "on": lambda w: w.today,
            "reading_text": "2251",
        },
        lambda w: TubeTest.objects.get(reading_text="2251").tube == w.tube,
        ("tube", "X-9999"),
    ),
    "running:instrument-add": (
        {"name": "Travelling tester", "scale": "percent"},
        lambda w: Instrument.objects.get(name="Travelling tester").unit == "%",
        ("name", lambda w: w.instrument.name),
    ),
    "running:instrument-change": (
        {"name": "Bench 1", "scale": "micromho", "calibrated_on": lambda w: w.today},
        lambda w: Instrument.objects.get(pk=w.instrument.pk).calibrated_on == w.today,
        ("scale", "percent"),
    ),
    "running:minimum-add": (
        {"type": lambda w: w.type.name, "section": "2", "minimum": "1100", "source": "roll chart"},
        lambda w: TypeMinimum.objects.get(section="2").type == w.type,
        ("minimum", "-1"),
    ),
    "running:minimum-change": (
        {"type": lambda w: w.type.name, "minimum": "1100", "source": "roll chart"},
        lambda w: TypeMinimum.objects.get(pk=w.minimum.pk).minimum == 1100,
        ("source", ""),
    ),
    "running:matched-add": (
        {"made_on": lambda w: w.today, "tolerance_pct": "10"},
        lambda w: MatchedSet.objects.get(members__tube=w.one.tube).members.count() == 2,
        ("made_on", lambda w: w.today + timedelta(days=1)),
    ),
    "running:matched-split": (
        {"split_on": lambda w: w.today, "split_why": "one went soft"},
        lambda w: MatchedSet.objects.get(pk=w.matched.pk).split_on == w.today,
        ("split_why", ""),
    ),
    "running:care-add": (
        {"work": "condition", "type": lambda w: w.type.name, "every_months": "12", "since": lambda w: w.today},
        lambda w: Care.objects.get(work="condition").type == w.type,
        ("work", "polish"),
    ),
    "running:care-change": (
        {"work": "oil", "item": lambda w: w.chassis.tag, "every_hours": "250", "since": lambda w: w.today},
        lambda w: Care.objects.get(pk=w.care.pk).every_hours == 250,
        ("item", "X-9999"),
    ),
    "running:care-done": (
        {"item": lambda w: w.chassis.tag, "on": lambda w: w.today - timedelta(days=3)},
        lambda w: CareDone.objects.filter(care=w.care).count() == 2,
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "pairing:mated-add": (
        {"name": "Net Gull", "kind": "net", "number": "G-7"},
        lambda w: MatedSet.objects.get(name="Net Gull").number == "G-7",
        ("name", lambda w: w.mated.name),
    ),
    "pairing:mated-change": (
        {"name": "Net Tern", "kind": "net"},
        lambda w: MatedSet.objects.get(pk=w.mated.pk).name == "Net Tern",
        ("kind", "flock"),
    ),
    "pairing:mated-part-add": (
        {
            "name": "channel A",
            "frequency_kc": "3885 kc",
            "item": lambda w: w.spare.tag,
            "number": "G-7",
            "number_reading": "read",
        },
        lambda w: MatedPart.objects.get(name="channel A").item == w.spare.item,
        ("item", lambda w: w.companion.tag),
    ),
    "pairing:mated-part-change": (
        {
            "name": "thermocouple",
            "item": lambda w: w.companion.tag,
            "number": "3317",
            "number_reading": "read",
            "verdict": "matched",
            "compared_on": lambda w: w.today,
        },
        lambda w: MatedPart.objects.get(pk=w.mated_part.pk).verdict == "matched",
        ("compared_on", lambda w: w.today + timedelta(days=1)),
    ),
    "pairing:companion-kind-add": (
        {"set_model": lambda w: w.model.pk, "name": "crystal"},
        lambda w: CompanionKind.objects.get(name="crystal").set_model == w.model,
        ("name", ""),
    ),
    "pairing:companion-kind-change": (
        {"name": "crystal"},
        lambda w: CompanionKind.objects.get(pk=w.kind.pk).name == "crystal",
        ("name", "x" * 61),
    ),
}


FORMS = brought("TRIED", FORMS)
NO_FORM = brought("READ_BY_HELPERS", ("lists:list-refused",))  # pages that visitors do not read, without a form


def filled(cells, world):
    return {name: value(world) if callable(value) else value for name, value in cells.items()}


def test_every_form_is_tried():
    forms = {name for name, (needs, *_) in ADDRESSES.items() if needs in (ADD, CHANGE) and name not in POST_ONLY}
    forms -= {"holdings:tubes-settle", *NO_FORM}  # that one has no field: tests/holdings/test_settling.py
    assert forms == set(FORMS)


def address_of(world, name):
    if name == "sets:seat":  # the bay of the table of addresses is taken
        return reverse(name, args=[world.chassis.tag, world.free_bay.pk])
    if name == "running:matched-add":  # the tubes come with the address
        return f"{world.address(name)}?test={world.one.pk}&test={world.two.pk}"
    return world.address(name)


@pytest.mark.parametrize("name", FORMS)
def test_a_good_entry_does_the_change_and_goes_on(world, as_keeper, name):
    cells, done, _ = FORMS[name]
    address = address_of(world, name)
    answer = as_keeper.post(address, filled(cells, world) | seen_at(as_keeper, address))
    if answer.status_code != 302:
        pytest.fail(f"{answer.status_code}: {answer.context['form'].errors.as_text()}")
    assert done(world)
    page = as_keeper.get(answer.url)
    assert page.status_code == 200
    assert [str(message) for message in page.context["messages"]]


@pytest.mark.parametrize("name", [name for name, (_, _, bad) in FORMS.items() if bad])
def test_a_bad_entry_changes_nothing_and_names_the_field(world, as_keeper, snapshot, name):
    cells, _, (field, value) = FORMS[name]
    sent = filled(cells | {field: value}, world)
    before = snapshot()
    address = address_of(world, name)
    answer = as_keeper.post(address, sent | seen_at(as_keeper, address))
    assert answer.status_code == 422
    form = answer.context["form"]
    assert list(form.errors) == [field]
    text = answer.content.decode()
    assert "Not saved" in text
    assert form[field].label in text and 'aria-invalid="true"' in text
    assert snapshot() == before


@pytest.mark.worked_out
@pytest.mark.parametrize("name", [name for name, (cells, _, _) in FORMS.items() if cells])
def test_an_empty_entry_is_refused_too(world, as_keeper, snapshot, name):
    before = snapshot()
    answer = as_keeper.post(address_of(world, name), {})
    assert answer.status_code == 422 and answer.context["form"].errors
    assert snapshot() == before


# --- what the actions refuse comes back beside its field -------------------------------------------------------------


def refusal(client, address, **cells):
    answer = client.post(address, cells)
    assert answer.status_code == 422
    return answer.context["form"].errors


def test_a_taken_position(world, as_keeper):
    address = world.address("sets:tube-fit")
    errors = refusal(as_keeper, address, tube=world.spare.tag, since=world.today, other_type="on")
    assert f"holds {world.fitting.tube.tag}" in errors.as_text()


def test_a_twin_serial_asks_and_is_confirmed(world, as_keeper):
    cells = {"model": world.model.pk, "serial": world.chassis.serial, "serial_reading": "read"}
    errors = refusal(as_keeper, "/sets/add/", **cells)
    assert "confirm that there are two" in errors["serial"][0]
    assert as_keeper.post("/sets/add/", cells | {"twin_confirmed": "on"}).status_code == 302
    assert Chassis.objects.filter(serial=world.chassis.serial).count() == 2


def test_a_neutralization_of_what_does_not_fit(world, as_keeper):
    other = PlugInUnitFactory()
    errors = refusal(
        as_keeper, "/pairings/neutralize/", chassis=world.chassis.pk, unit=other.pk, on=world.today, setting="1"
    )
    assert "does not go into" in errors["unit"][0]


def test_a_tag_that_was_used(world, as_keeper):
    gone = TubeFactory(gone_on=world.today)
    errors = refusal(as_keeper, "/tubes/add/", marked="VT-231", state="good", count=1, tag=gone.tag)
    assert "a tag is never used again" in errors["tag"][0]


def test_a_thing_in_a_set_does_not_leave(world, as_keeper):
    errors = refusal(as_keeper, f"/things/{world.fitting.tube.tag}/part-with/", on=world.today, how="sold")
    assert "take it out first" in errors.as_text()


def test_a_mark_with_two_meanings_leaves_the_type_open(world, as_keeper, reference):
    page = as_keeper.post("/tubes/add/", {"marked": "VT-60", "state": "good", "count": 1}, follow=True)
    assert Tube.objects.get(marked="VT-60").type is None
    assert "can mean 850, 807" in str([str(m) for m in page.context["messages"]])
    errors = refusal(as_keeper, "/tubes/add/", marked="VT-60", type="VT-60", state="good", count=1)
    assert "850" in errors["type"][0] and "807" in errors["type"][0]


def test_a_mark_with_one_meaning_settles_the_type(world, as_keeper, reference):
    as_keeper.post("/tubes/add/", {"marked": "JAN-CHS-6SN7GT", "state": "good", "count": 1})
    assert Tube.objects.get(marked="JAN-CHS-6SN7GT").type.name == "6SN7GT"


def test_a_change_is_written_under_the_persons_name(world, as_helper, helper):
    as_helper.post("/tubes/add/", {"marked": "VT-231", "state": "good", "count": 1, "place": world.place.pk})
    tube = Tube.objects.get(marked="VT-231")
    assert tube.history.get().history_user == helper
    assert tube.item.movements.get().by == helper


# --- weak spots ------------------------------------------------------------------------------------------------------


def test_a_helper_adds_figures_but_does_not_change_the_keepers(world, as_keeper, as_helper):
    """A helper adds, a keeper changes and corrects (the roles of inventory.house.access)."""
    address = world.address("tubes:rating-write")
    cells = {"source": world.source.pk, "grade": "stated"}
    as_keeper.post(address, cells | {"heater_v": "6.3"})
    as_helper.post(address, cells | {"heater_v": "12.6"})
    assert Rating.objects.get(type=world.type).heater_v == 6.3


@pytest.mark.parametrize("onward", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"])
def test_no_form_sends_people_to_another_host(world, as_keeper, onward):
    """OWASP, Unvalidated redirects and forwards: an address to go on to is only taken when it is of this host."""
    cells = {"key": "own-notes", "title": "Own notes"}
    try:
        answer = as_keeper.post(f"/texts/add/?next={onward}", cells)
    except Exception as fault:
        raise AssertionError(f"the page broke: {fault}") from fault
    assert answer.status_code == 302
    assert "elsewhere" not in answer.url


def test_a_disturbance_of_nothing_is_refused_in_words(world, as_keeper):
    """Bad input gets a message that says how to mend it, not the name of a database constraint."""
    text = refusal(as_keeper, "/pairings/disturb/", cause="knock", on=world.today).as_text()
    assert "which chassis or which unit" in text and "Constraint" not in text


def test_a_range_from_high_to_low_is_refused_in_words(world, as_keeper):
    errors = refusal(as_keeper, "/unit-models/add/", name="drawer Q", low_kc="3000 kc", high_kc="1500 kc")
    assert "from the lower frequency to the higher" in errors.as_text() and "Constraint" not in errors.as_text()


def test_a_type_that_is_named_alike_by_the_tables_keeps_its_name(reference, as_keeper):
    address = "/types/6SN7GT/change/"
    answer = as_keeper.post(address, {"name": "Mine", "hazard": "cracked base"} | seen_at(as_keeper, address))
    assert answer.status_code == 302
    row = TubeType.objects.get(name="6SN7GT")
    assert row.hazard == "cracked base" and not TubeType.objects.filter(name="Mine").exists()


def test_a_row_of_the_tables_is_not_taken_back(reference, as_keeper):
    row = Designation.objects.get(designation="VT-231", origin="table")
    assert as_keeper.post(f"/types/marks/{row.pk}/drop/").status_code == 404
    assert Designation.objects.filter(pk=row.pk).exists()


def test_narrowing_by_number_and_kind(reference, as_visitor):
    page = as_visitor.get("/types/", {"text": "VT-231", "kind": "duotriode"})
    assert [row.name for row, _, _ in page.context["rows"]] == ["6SN7GT"]
    assert as_visitor.get("/types/", {"text": "VT-231", "kind": "pentode"}).context["rows"] == []
