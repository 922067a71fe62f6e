"""Every address of the program with what it needs, and a world in which each of them answers.

``VIEW`` to look, ``ADD`` for a form that adds, ``CHANGE`` for one that changes; ``OPEN`` needs no login. A new named
address that is in no table here fails ``test_addresses.test_every_address_is_in_the_table``.
"""

import io
from types import SimpleNamespace

from django.core.files.base import ContentFile
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from PIL import Image

from inventory.holdings.models import Fact, HazardMark, Paper, PartLot, StockTake, Want
from inventory.house.areas import PLACES
from inventory.lists.models import ImportMade, ImportRow, ImportRun
from inventory.pairing.models import OnAirRecord
from inventory.sets.models import Approval, MatedPart, MatedSet
from tests import factories as make
from tests.rooms import brought, stand
from tubes.models import KEEPER, Limit

OPEN, VIEW, ADD, CHANGE = "open", "view", "add", "change"

#: address: (what it needs, names of what stands in it)
ADDRESSES = {
    "frontpage:home": (VIEW,),
    "frontpage:group": (VIEW, "group.key"),
    "frontpage:look-up": (VIEW,),
    "frontpage:health": (OPEN,),
    "frontpage:pocket": (VIEW,),
    "frontpage:pocket-copy": (VIEW,),
    "frontpage:api-lookup": (VIEW,),
    "frontpage:api-bench": (VIEW,),
    "tubes:type-list": (VIEW,),
    "tubes:type": (VIEW, "type.name"),
    "tubes:type-add": (ADD,),
    "tubes:type-change": (CHANGE, "type.name"),
    "tubes:source-list": (VIEW,),
    "tubes:source-add": (ADD,),
    "tubes:designation-add": (ADD, "type.name"),
    "tubes:designation-drop": (CHANGE, "designation.pk"),
    "tubes:rating-write": (ADD, "type.name"),
    "tubes:rating-drop": (CHANGE, "type.name"),
    "tubes:gap-list": (VIEW,),
    "tubes:type-instead": (VIEW, "type.name"),
    "tubes:family": (VIEW, "type.name"),
    "tubes:family-pdf": (VIEW, "type.name"),
    "tubes:limit-list": (VIEW,),
    "tubes:limit-change": (CHANGE, "limit.key"),
    "tubes:limit-drop": (CHANGE, "limit.key"),
    "api-stamps": (VIEW,),
    "holdings:tube-list": (VIEW,),
    "holdings:tube": (VIEW, "tube.tag"),
    "holdings:tube-add": (ADD,),
    "holdings:tube-change": (CHANGE, "tube.tag"),
    "holdings:place-list": (VIEW,),
    "holdings:place": (VIEW, "place.pk"),
    "holdings:place-add": (ADD,),
    "holdings:place-change": (CHANGE, "place.pk"),
    "holdings:place-merge": (CHANGE, "place.pk"),
    "holdings:place-delete": (CHANGE, "inner.pk"),
    "holdings:place-lists": (VIEW,),
    "holdings:place-lists-print": (ADD,),
    "holdings:place-contents": (VIEW, "place.pk"),
    "holdings:place-contents-print": (ADD, "place.pk"),
    "holdings:label-sheet": (VIEW,),
    "holdings:paper": (VIEW, "paper.pk"),
    "holdings:paper-file": (VIEW, "paper.pk"),
    "holdings:paper-small": (VIEW, "paper.pk"),
    "holdings:paper-add": (ADD, "tube.tag"),
    "holdings:paper-change": (CHANGE, "paper.pk"),
    "holdings:paper-remove": (CHANGE, "paper.pk"),
    "holdings:place-move": (CHANGE, "place.pk"),
    "holdings:place-counts": (VIEW,),
    "holdings:place-count": (VIEW, "take.pk"),
    "holdings:place-count-begin": (ADD,),
    "holdings:place-count-scan": (ADD, "take.pk"),
    "holdings:place-count-tick": (ADD, "take.pk"),
    "holdings:place-count-close": (CHANGE, "take.pk"),
    "holdings:place-count-drop": (CHANGE, "take.pk"),
    "holdings:tubes-settle": (CHANGE, "type.name"),
    "holdings:shelf": (ADD,),
    "holdings:shelf-take-back": (ADD,),
    "holdings:things-move": (ADD,),
    "holdings:things-lend": (CHANGE,),
    "holdings:things-back": (CHANGE,),
    "holdings:things-hazard": (ADD,),
    "holdings:part-list": (VIEW,),
    "holdings:part": (VIEW, "lot_item.tag"),
    "holdings:part-add": (ADD,),
    "holdings:part-marking": (VIEW,),
    "holdings:api-markings": (VIEW,),
    "holdings:part-change": (CHANGE, "lot_item.tag"),
    "holdings:want-list": (VIEW,),
    "holdings:want-add": (ADD,),
    "holdings:want-change": (CHANGE, "want.pk"),
    "holdings:want-settle": (CHANGE, "want.pk"),
    "holdings:item-hazards": (VIEW, "tube.tag"),
    "holdings:hazard-figures": (VIEW,),
    "holdings:hazard-add": (ADD, "tube.tag"),
    "holdings:hazard-settle": (CHANGE, "hazard.pk"),
    "holdings:fact-add": (ADD, "tube.tag"),
    "holdings:fact-strike": (CHANGE, "fact.pk"),
    "holdings:item-move": (ADD, "tube.tag"),
    "holdings:item-lend": (CHANGE, "tube.tag"),
    "holdings:item-back": (CHANGE, "lent.tag"),
    "holdings:item-part-with": (CHANGE, "tube.tag"),
    "holdings:item-mistake": (CHANGE, "spare.tag"),
    "sets:chassis-list": (VIEW,),
    "sets:chassis": (VIEW, "chassis.tag"),
    "sets:chassis-add": (ADD,),
    "sets:chassis-change": (CHANGE, "chassis.tag"),
    "sets:tube-fit": (ADD, "chassis.tag", "position.pk"),
    "sets:fitting-correct": (CHANGE, "fitting.pk"),
    "sets:seating-correct": (CHANGE, "seating.pk"),
    "sets:tube-out": (ADD, "fitting.pk"),
    "sets:seat": (ADD, "chassis.tag", "bay.pk"),
    "sets:seat-out": (ADD, "seating.pk"),
    "sets:model": (VIEW, "model.pk"),
    "sets:model-add": (ADD,),
    "sets:model-change": (CHANGE, "model.pk"),
    "sets:position-add": (CHANGE, "model.pk"),
    "sets:position-change": (CHANGE, "position.pk"),
    "sets:position": (VIEW, "position.pk"),
    "sets:approval-add": (CHANGE, "position.pk"),
    "sets:approval-drop": (CHANGE, "approval.pk"),
    "sets:model-filaments": (VIEW, "model.pk"),
    "sets:chassis-filaments": (VIEW, "chassis.tag"),
    "sets:api-substitutes": (VIEW,),
    "sets:bay-add": (CHANGE, "model.pk"),
    "sets:unit-list": (VIEW,),
    "sets:unit": (VIEW, "unit.tag"),
    "sets:unit-add": (ADD,),
    "sets:unit-change": (CHANGE, "unit.tag"),
    "sets:unit-model-add": (ADD,),
    "sets:unit-model-change": (CHANGE, "unit_model.pk"),
    "sets:api-tubes": (VIEW,),
    "pairing:table": (VIEW,),
    "pairing:neutralize": (ADD,),
    "pairing:neutralization": (VIEW, "neutralization.pk"),
    "pairing:neutralization-correct": (CHANGE, "neutralization.pk"),
    "pairing:disturb": (ADD,),
    "pairing:disturbance": (VIEW, "disturbance.pk"),
    "pairing:disturbance-correct": (CHANGE, "disturbance.pk"),
    "pairing:ledger": (VIEW, "ledger_side.name", "chassis.tag"),
    "pairing:event-strike": (CHANGE, "event_kind.name", "neutralization.pk"),
    "pairing:comparison-correct": (CHANGE, "check.pk"),
    "pairing:station": (VIEW,),
    "pairing:null-finder": (VIEW,),
    "pairing:pair": (VIEW, "chassis.tag", "unit.tag"),
    "pairing:on-air": (VIEW, "chassis.tag"),
    "pairing:on-air-add": (ADD, "chassis.tag"),
    "pairing:on-air-correct": (CHANGE, "on_air.pk"),
    "pairing:bridge": (VIEW, "model.pk"),
    "pairing:bridge-set": (CHANGE, "model.pk"),
    "pairing:companion-list": (VIEW,),
    "pairing:mated": (VIEW, "mated.pk"),
    "pairing:mated-add": (ADD,),
    "pairing:mated-change": (CHANGE, "mated.pk"),
    "pairing:mated-part-add": (ADD, "mated.pk"),
    "pairing:mated-part-change": (CHANGE, "mated_part.pk"),
    "pairing:companion": (VIEW, "companion.tag"),
    "pairing:companion-add": (ADD,),
    "pairing:companion-change": (CHANGE, "companion.tag"),
    "pairing:companion-compare": (ADD, "companion.tag"),
    "pairing:companion-kind-add": (ADD,),
    "pairing:companion-kind-change": (CHANGE, "kind.pk"),
    "pairing:api-pairings": (VIEW,),
    "running:home": (VIEW,),
    "running:chassis-list": (VIEW,),
    "running:hours-list": (VIEW,),
    "running:strike": (CHANGE, "entry_kind.name", "run.pk"),
    "running:chassis": (VIEW, "chassis.tag"),
    "running:run-add": (ADD, "chassis.tag"),
    "running:run-correct": (CHANGE, "run.pk"),
    "running:meter-add": (ADD, "chassis.tag"),
    "running:meter-correct": (CHANGE, "meter.pk"),
    "running:reading-add": (ADD, "meter.pk"),
    "running:reading-correct": (CHANGE, "meter_reading.pk"),
    "running:earlier-hours": (ADD, "tube.tag"),
    "running:hours-correct": (ADD, "tube.tag"),
    "running:hours-correction-change": (CHANGE, "correction.pk"),
    "running:test-add": (ADD, "tube.tag"),
    "running:test-correct": (CHANGE, "test.pk"),
    "running:state-set": (CHANGE, "tube.tag"),
    "running:test-list": (VIEW,),
    "running:session": (ADD,),
    "running:instrument-list": (VIEW,),
    "running:instrument": (VIEW, "instrument.pk"),
    "running:instrument-add": (ADD,),
    "running:instrument-change": (CHANGE, "instrument.pk"),
    "running:minimum-add": (ADD, "instrument.pk"),
    "running:minimum-change": (CHANGE, "minimum.pk"),
    "running:matching": (VIEW,),
    "running:matched": (VIEW, "matched.pk"),
    "running:matched-add": (ADD,),
    "running:matched-split": (CHANGE, "matched.pk"),
    "running:survival": (VIEW,),
    "running:schedules": (VIEW,),
    "running:schedules-calendar": (VIEW,),
    "running:care-add": (ADD,),
    "running:care-change": (CHANGE, "care.pk"),
    "running:care-done": (ADD, "care.pk"),
    "running:api-hours": (VIEW,),
    "running:api-tests": (VIEW,),
    "lists:lists": (VIEW,),
    "lists:list-out": (VIEW, "list_out.name"),
    "lists:lists-in": (VIEW,),
    "lists:list-add": (ADD,),
    "lists:came-back-add": (CHANGE,),
    "holdings:things-change": (CHANGE,),
    "lists:came-back-write": (CHANGE, "trial.pk"),
    "lists:came-back-settle": (CHANGE, "trial.pk"),
    "lists:lists-to-count": (VIEW,),
    "lists:list-in": (VIEW, "taken.pk"),
    "lists:list-columns": (ADD, "trial.pk"),
    "lists:list-progress": (VIEW, "trial.pk"),
    "lists:list-write": (ADD, "trial.pk"),
    "lists:list-drop": (ADD, "trial.pk"),
    "lists:list-undo": (CHANGE, "undoable.pk"),
    "lists:list-refused": (ADD, "taken.pk"),  # prices stand among its cells
    "lists:list-answer": (ADD, "taken.pk", "held_row.row"),
    "lists:list-count": (ADD, "taken.pk", "held_row.row"),
    "lists:list-alike": (ADD, "taken.pk"),
    "lists:list-prices": (CHANGE, "taken.pk"),
    "login": (OPEN,),
    "logout": (VIEW,),
}
POST_ONLY = (
    "running:state-set",
    "holdings:place-count-scan",
    "holdings:place-count-tick",
    "holdings:shelf-take-back",
    "holdings:place-lists-print",
    "holdings:place-contents-print",
    "tubes:designation-drop",
    "tubes:limit-drop",
    "tubes:rating-drop",
    "sets:approval-drop",
    "lists:list-write",
    "lists:came-back-write",
    "lists:came-back-settle",
    "lists:list-drop",
    "lists:list-answer",
    "lists:list-count",
    "lists:list-alike",
    "lists:list-prices",
    "logout",
)
#: these answer bytes or a piece of a page, no page
FILES = (
    "running:schedules-calendar", "tubes:family-pdf",
    "holdings:paper-file", "holdings:paper-small", "lists:list-out", "lists:list-refused",
    "lists:list-progress",
)  # fmt: skip
ADDRESSES = brought("ADDRESSES", ADDRESSES)
POST_ONLY = brought("POST_ONLY", POST_ONLY)
FILES = brought("FILES", FILES)
GET_ONLY = tuple(name for name in ADDRESSES if "api-" in name)
QUERIES = {
    "running:survival": "type=ZZ5-MIL",
    "pairing:on-air": "frequency=1600+kc",
    "frontpage:pocket": "q=ZZ5-MIL",
    "frontpage:look-up": "q=ZZ5-MIL",
    "frontpage:api-lookup": "text=ZZ5-MIL",
    "api-stamps": "text=ZZ5-MIL",
    "holdings:part-marking": "text=red+red+red+gold&kind=resistor-bands&at=1",
    "holdings:api-markings": "text=4K7",
    "sets:api-substitutes": "type=ZZ5-MIL",
}
QUERIES = brought("QUERIES", QUERIES)


def named_addresses(patterns=None, before=""):
    """The full name of every address of the program."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            inside = f"{before}{pattern.namespace}:" if pattern.namespace else before
            yield from named_addresses(pattern.url_patterns, inside)
        elif isinstance(pattern, URLPattern):
            yield before + (pattern.name or str(pattern.pattern))


def a_picture():
    """The bytes of a small JPEG."""
    out = io.BytesIO()
    Image.new("RGB", (8, 6), "teal").save(out, "JPEG")
    return out.getvalue()


class World:
    """One thing of every sort, each with a word of its own."""

    group = PLACES  # of the navigation

    def __init__(self, word="plain"):
        self.word = word
        self.today = make.days_ago(0)
        self.type = make.TubeTypeFactory(name=f"ZZ5{word}", hazard=word)
        self.source = make.SourceFactory(title=f"Bench book {word}")
        self.designation = make.DesignationFactory(type=self.type, designation="ZZ5-MIL", source=self.source, note=word)
        self.place = make.PlaceFactory(name=word, note=word)
        limit = {"unit": "ratio", "meaning": word, "source": self.source, "value": 0.75}
        self.limit, _ = Limit.objects.get_or_create(key="judge.mu_low", origin=KEEPER, defaults=limit)
        self.inner = make.PlaceFactory(name=word, parent=self.place)
        words = {"marked": word, "maker": word, "date_code": word[:30], "condition": word, "note": word}
        self.tube = make.TubeFactory(type=self.type, place=self.place, state="weak", acquired_from=word, **words)
        self.paper = Paper(item=self.tube.item, kind="photograph", caption=word, digest=word)
        self.paper.file.save("a.jpg", ContentFile(a_picture()), save=False)
        self.paper.thumbnail.save("a.jpg", ContentFile(a_picture()), save=False)
        self.paper.save()
        lot_item = make.ItemFactory(kind="parts", place=self.place)
        self.lot_item = PartLot.objects.create(item=lot_item, name=word, value=word, condition=word, note=word).item
        self.hazard = HazardMark.objects.create(item=self.tube.item, hazard="mercury", reason=word, on=self.today)
        self.fact = Fact.objects.create(
            item=self.tube.item, about="paid", text=word, instrument=word, column=word[:160]
        )
        self.want = Want.objects.create(
            thing=word, type=self.type, purpose=word, note=word, currency="GBP", top_price=5, since=self.today
        )
        self.take = StockTake.objects.create(place=self.place, began=self.today, note=word)
        self.line = self.take.lines.create(item=self.tube.item, expected_path=self.place.path)
        self.lent = make.TubeFactory(type=self.type, lent_to=word, **words)
        self.spare = make.TubeFactory(type=None, **words)
        self.model = make.SetModelFactory(name=f"Ostercape {word}", caution=word, note=word)
        self.position = make.PositionFactory(
            set_model=self.model, mark=word[:12], type=self.type, role=word, neutralized=True
        )
        self.empty = make.PositionFactory(set_model=self.model, mark="E2", type=self.type)
        self.bay = make.BayFactory(set_model=self.model, mark=word[:20])
        self.approval = Approval.objects.create(
            position=self.position, type=make.TubeTypeFactory(name="807"), verdict="refused", on=self.today,
            source=word, words=word,
        )  # fmt: skip
        self.free_bay = make.BayFactory(set_model=self.model, mark="right")
        self.unit_model = make.UnitModelFactory(name=f"drawer {word}", fits=[self.model], note=word)
        self.chassis = make.ChassisFactory(model=self.model, serial=word, note=word, place=self.place)
        self.unit = make.PlugInUnitFactory(model=self.unit_model, serial=word, note=word, place=self.place)
        seated = make.PlugInUnitFactory(model=self.unit_model, serial="56", note=word)
        self.fitting = make.FittingFactory(
            position=self.position,
            chassis=self.chassis,
            tube=make.TubeFactory(type=self.type, state="weak", **words),
            note=word,
        )
        self.seating = make.SeatingFactory(bay=self.bay, chassis=self.chassis, unit=seated)
        self.neutralization = make.NeutralizationFactory(
            chassis=self.chassis, unit=self.unit, setting=word, by_whom=word, note=word, null_reading=word
        )
        self.on_air = OnAirRecord.objects.create(
            chassis=self.chassis, on=self.today, antenna_a=1.26, by_whom=word[:80], note=word
        )
        self.event_kind = SimpleNamespace(name="neutralized")
        self.ledger_side = SimpleNamespace(name="chassis")
        self.entry_kind = SimpleNamespace(name="run")
        self.list_out = SimpleNamespace(name="tubes")
        self.disturbance = make.DisturbanceFactory(chassis=self.chassis, by_whom=word, note=word)
        self.kind = make.CompanionKindFactory(set_model=self.model, name=f"book {word}")
        self.companion = make.CompanionFactory(
            kind=self.kind, mate_serial=word, note=word, kept_with=self.chassis, place=self.place
        )
        self.mated = MatedSet.objects.create(name=word, number=word[:40], note=word)
        self.mated_part = MatedPart.objects.create(
            mated_set=self.mated, name=word[:60], item=self.companion.item, number=word[:40], note=word
        )
        self.check = make.CompanionCheckFactory(companion=self.companion, chassis=self.chassis, note=word, by_whom=word)
        stand("in_the_world", self)
        self._lists(word)

    def _lists(self, word):
        """A list on trial, and one that was taken in with a row that waits and one that made the tube."""
        kept = {"file_name": word, "heading": [word], "columns": {word: "mark"}}
        self.trial = ImportRun.objects.create(digest="1", state="trial", counts={"rows": 1}, **kept)
        self.taken = ImportRun.objects.create(digest="2", state="written", counts={"rows": 2}, **kept)
        self.undoable = ImportRun.objects.create(digest="3", state="written", counts={"rows": 0}, **kept)
        ImportRow.objects.create(run=self.trial, row=1, line=2, cells=[word], outcome="")
        question = {"about": "mark", "text": word, "choices": [{"key": "0", "words": word}], "to_count": word}
        self.held_row = ImportRow.objects.create(
            run=self.taken, row=1, line=2, cells=[word], outcome="held", question=question
        )
        row = ImportRow.objects.create(run=self.taken, row=2, line=3, cells=[word], outcome="written")
        ImportMade.objects.create(row=row, item=self.tube.item, facts={"number": word})

    def address(self, name):
        """The address of that name in this world, with the query that it needs."""
        _, *parts = ADDRESSES[name]
        args = []
        for part in parts:
            thing, attribute = part.split(".")
            args.append(getattr(getattr(self, thing), attribute))
        query = QUERIES.get(name)
        return reverse(name, args=args) + (f"?{query}" if query else "")
