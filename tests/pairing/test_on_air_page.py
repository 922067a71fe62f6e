"""The bench sheet and the on-air record: filament volts, change in decibels, the carrier under modulation."""

import pytest

from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries import on_air, on_air_records, record_before
from inventory.pairing.wording.charts import meter_trends
from inventory.pairing.wording.on_air_record import on_air_remarks
from inventory.pairing.wording.template_filters import disagreeing, ohms, signed, three
from tests.counting import answered, asked, forget, statements
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
    UnitModelFactory,
)
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


def chain(**model):
    """Four 10 V 3.25 A tubes as two series pairs and one 7.5 V 1.25 A tube on 24 V (common practice, no source)."""
    chassis = ChassisFactory(**{f"model__{name}": value for name, value in model.items()})
    marks = [("V1", "A", "211"), ("V2", "A", "211"), ("V3", "B", "838"), ("V4", "B", "838"), ("V5", "C", "801A")]
    for mark, branch, name in marks:
        kind = TubeType.objects.get(name=name)
        position = PositionFactory(set_model=chassis.model, mark=mark, heater_branch=branch, type=kind)
        FittingFactory(chassis=chassis, position=position, tube=TubeFactory(type=kind))
    return chassis


def remarks_of(chassis, before=None, **meters):
    return on_air_remarks(OnAirRecord(chassis=chassis, **meters), before)


def test_the_known_chain_on_24_v(today):
    """It draws 7.75 A; a practitioner's meter showed 7.9 A (common practice, no source)."""
    current, supply, behind = remarks_of(chain(filament_supply_v=24.0), on=today, filament_v=24.1, filament_a=7.9)
    assert current.agrees is True and "7.75 A expected" in current.text
    assert supply.agrees is True and "from 24 V" in supply.text
    assert behind.agrees is None and "V1 + V2 20 V, V3 + V4 20 V, V5 7.5 V" in behind.text


def test_filament_volts_out_of_the_usual(today):
    supply = remarks_of(chain(filament_supply_v=24.0), on=today, filament_v=22.6)[0]
    assert supply.agrees is False and "-5.8 %" in supply.text


def test_filament_volts_that_starve_a_tube(today):
    straight = ChassisFactory()
    kind = TubeType.objects.get(name="801A")
    position = PositionFactory(set_model=straight.model, mark="V3", heater_branch="A", type=kind)
    fitting = FittingFactory(chassis=straight, position=position, tube=TubeFactory(type=kind))
    (starved,) = remarks_of(straight, on=today, filament_v=6.6)
    assert starved.agrees is False and "wants 7.5 V" in starved.text
    fitting.delete()
    (nothing,) = remarks_of(straight, on=today, filament_v=6.6)
    assert nothing.agrees is None and "are recorded" in nothing.text
    assert "expected a figure above 0" in remarks_of(chain(filament_supply_v=24.0), on=today, filament_v=-1)[0].text


def test_decibels_against_the_time_before(days_ago):
    """75 W over 50 W is 1.7609 dB (case L6.10: 10 lg); a current of 1.2247 times is the same (20 lg)."""
    chassis = ChassisFactory()
    before = OnAirRecord(chassis=chassis, on=days_ago(9), output_w=50, load_ohm=50, antenna_a=1.0)
    power, current = remarks_of(chassis, before, on=days_ago(1), output_w=75, load_ohm=50, antenna_a=1.2247)[-2:]
    assert "+1.8 dB from the 50 W" in power.text and power.word == "worked out"
    assert "+1.8 dB from the 1 A" in current.text and current.agrees is True
    odd = remarks_of(chassis, before, on=days_ago(1), output_w=75, load_ohm=50, antenna_a=0.8)[-1]
    assert odd.agrees is False and "the same load" in odd.text
    assert len(remarks_of(chassis, before, on=days_ago(1), output_w=75)) == 1  # no load, no current


def test_the_record_before_is_the_last_with_an_output(days_ago, keeper):
    chassis = ChassisFactory()
    rows = [OnAirRecord.objects.create(chassis=chassis, on=days_ago(n), output_w=w) for n, w in ((9, 50), (5, None))]
    OnAirRecord.objects.create(chassis=chassis, on=days_ago(4), output_w=60, struck="wrong set")
    new = OnAirRecord(chassis=chassis, on=days_ago(1), output_w=75)
    assert record_before(new) == rows[0]
    new.save()
    assert record_before(new) == rows[0] and record_before(rows[0]) is None
    assert [row.pk for row in on_air_records(chassis).filter(struck="")] == [new.pk, rows[1].pk, rows[0].pk]


def test_the_accuracy_of_the_meter_at_its_reading(today):
    """Case L6.9: 2 % of 6 A at 2 A is 6 % of the current, +12.36 and -11.64 % of the power (47 CFR 73.1215)."""
    (antenna,) = remarks_of(ChassisFactory(), on=today, antenna_a=2, antenna_scale_a=6, output_w=200, load_ohm=50)
    assert "6 % here, +12 and -12 % of the power" in antenna.text


def test_power_from_current_and_load(today):
    """P = I^2 R: 1 A in 50 ohm is 50 W (case L6.1 the other way round)."""
    (antenna,) = remarks_of(ChassisFactory(), on=today, antenna_a=1, load_ohm=50)
    assert antenna.text == "1 A in 50 ohm is 50 W." and antenna.word == "worked out"


def test_the_list_asks_no_more_for_more(as_visitor, days_ago):
    chassis = chain(filament_supply_v=24.0, rated_power_w=85.0)

    def grown(count):
        for number in range(count):
            OnAirRecord.objects.create(chassis=chassis, on=days_ago(number), filament_v=24, filament_a=7.7, output_w=80)
        return asked(as_visitor, f"/on-air/{chassis.tag}/", frequency="2 Mc")

    assert grown(10) == grown(10) < 200


def test_the_list_asks_no_more_for_more_when_nothing_is_at_hand(as_visitor, days_ago):
    """Tube knowledge is forgotten before each count: what is cold costs more, and grows as little."""
    chassis = chain(filament_supply_v=24.0, rated_power_w=85.0)

    def grown(count):
        for number in range(count):
            OnAirRecord.objects.create(chassis=chassis, on=days_ago(number), filament_v=24, filament_a=7.7, output_w=80)
        warm = asked(as_visitor, f"/on-air/{chassis.tag}/", frequency="2 Mc")
        forget()
        return warm, len(statements(lambda: answered(as_visitor, f"/on-air/{chassis.tag}/", frequency="2 Mc")))

    (warm, cold), again = grown(10), grown(10)
    assert again == (warm, cold) and cold > warm


def test_volts_have_a_trend_too(days_ago):
    chassis = ChassisFactory()
    for ago, volts in ((30, 24.1), (1, 22.6)):
        OnAirRecord.objects.create(chassis=chassis, on=days_ago(ago), filament_v=volts, supply_v=40 * volts)
    assert [trend.label for trend in meter_trends(chassis.on_air_records.all())] == [
        "filament supply, V",
        "plate supply, V",
    ]


def test_the_bench_sheet_names_tubes_and_where_the_units_are(as_visitor, today):
    chassis = chain(neutralizing="unit", caution="About 1100 V.")
    model = UnitModelFactory(fits=[chassis.model], low_kc=3000, high_kc=4500)
    seated, shelf = PlugInUnitFactory(model=model), PlugInUnitFactory(model=model, place=PlaceFactory(code="Rack U"))
    SeatingFactory(chassis=chassis, unit=seated, bay=BayFactory(set_model=chassis.model, mark="drawer bay"))
    elsewhere = PlugInUnitFactory(model=model)
    other = ChassisFactory(model=chassis.model)
    SeatingFactory(chassis=other, unit=elsewhere, bay=BayFactory(set_model=chassis.model, mark="left bay"))
    lent = PlugInUnitFactory(model=model)
    lent.item.lent_to = "Ebb Street radio club"
    lent.item.save()
    found = on_air(chassis, 3600, today)
    where = {unit.row.unit.tag: unit.where for unit in found.units}
    assert where[seated.tag] == "in its drawer bay" and where[shelf.tag].endswith("Rack U")
    assert where[elsewhere.tag] == f"in {other}" and where[lent.tag] == "lent to Ebb Street radio club"
    assert [socket.position.mark for socket in found.sockets] == ["V1", "V2", "V3", "V4", "V5"]
    text = as_visitor.get(f"/on-air/{chassis.tag}/?frequency=3.6+Mc").content.decode()
    assert "Tubes in it now" in text and "About 1100 V." in text and "Null reading" in text


def test_the_carrier_under_modulation(as_visitor, today):
    """75 W at 100 %: PEP 300 W, mean 112.5 W (case L6.12). 8 A rising to 8.96 A is 71.3 % (case L6.4)."""
    chassis = ChassisFactory()
    OnAirRecord.objects.create(chassis=chassis, on=today, output_w=66, load_ohm=50)
    address = f"/on-air/{chassis.tag}/"
    assert as_visitor.get(address).context["carrier"].initial == {"carrier_w": 66, "load_ohm": 50}
    full = as_visitor.get(address, {"carrier_w": "75", "load_ohm": "50", "percent": "100"})
    assert "300 W" in full.content.decode() and "22.5 %" in full.content.decode()
    risen = as_visitor.get(address, {"carrier_w": "75", "carrier_a": "8", "modulated_a": "8.96"}).context["modulated"]
    assert risen.m == pytest.approx(0.713302180005)


@pytest.mark.parametrize(
    "cells",
    [
        {"carrier_w": ""},
        {"carrier_w": "75"},
        {"carrier_w": "75", "percent": "130"},
        {"carrier_w": "nan", "percent": "50"},
        {"carrier_w": "1e300", "percent": "50"},
        {"carrier_w": "75", "carrier_a": "8", "modulated_a": "7"},
        {"carrier_w": "75", "carrier_a": "8", "modulated_a": "16"},
    ],
)
def test_a_carrier_that_makes_no_sense_is_refused_in_words(as_visitor, cells):
    page = as_visitor.get(f"/on-air/{ChassisFactory().tag}/", cells)
    assert page.status_code == 422 and page.context["carrier"].errors and page.context["modulated"] is None


def test_figures_in_words():
    assert [ohms(value) for value in (820, 75788.07, 1.2e6)] == ["820 ohm", "75.8 kohm", "1.2 megohm"]
    assert (signed(0.6), signed(-1.25), three(173.2), three(1732.05)) == ("+0.6", "-1.25", "173", "1732")
    assert disagreeing([]) == 0
