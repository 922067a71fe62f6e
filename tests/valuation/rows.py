"""Rows of the valuation area for tests, and what the worlds of other tests hold of it. Names are invented."""

from decimal import Decimal
from types import SimpleNamespace

import factory
from django.core.files.uploadedfile import SimpleUploadedFile
from factory.django import DjangoModelFactory

from inventory.holdings.models import Item
from inventory.valuation.models import (
    Appraisal,
    AppraisalLine,
    Contact,
    LotSale,
    LotThing,
    PriceEvidence,
    Promise,
    SaleLot,
)
from tests.factories import CompanionKindFactory, TubeFactory, TubeTypeFactory, UnitModelFactory, days_ago


class EvidenceFactory(DjangoModelFactory):
    class Meta:
        model = PriceEvidence

    on = factory.LazyFunction(lambda: days_ago(30))
    type = factory.SubFactory(TubeTypeFactory)
    designation = factory.LazyAttribute(lambda row: row.type.name if row.type else "ZZ-none")
    grade = "unused"
    venue = "auction"
    currency = "EUR"
    amount = factory.Sequence(lambda n: Decimal(20 + n))


ADDRESSES = {
    "valuation:prices": ("view",),
    "valuation:note": ("add",),
    "valuation:evidence-add": ("add",),
    "valuation:evidence-settle": ("change",),
    "valuation:evidence-change": ("change", "evidence.pk"),
    "valuation:evidence-strike": ("change", "evidence.pk"),
    "valuation:prices-in": ("add",),
    "valuation:api-prices": ("view",),
    "valuation:api-appraise": ("add",),
    "valuation:api-estimate": ("view",),
    "valuation:api-top-price": ("view",),
    "holdings:want-top-price": ("change", "want.pk"),
    "valuation:estimate": ("view",),
    "valuation:method": ("view",),
    "valuation:collection": ("add",),
    "valuation:appraisal-keep": ("add",),
    "valuation:appraisals": ("add",),
    "valuation:appraisals-beside": ("add",),
    "valuation:appraisal": ("add", "appraisal.pk"),
    "valuation:appraisal-strike": ("change", "appraisal.pk"),
    "valuation:asking": ("add",),
    "valuation:contact-add": ("change",),
    "valuation:contact-change": ("change", "contact.pk"),
    "valuation:contact-strike": ("change", "contact.pk"),
    "valuation:promise-add": ("change", "tube.tag"),
    "valuation:promise-change": ("change", "promise.pk"),
    "valuation:promise-strike": ("change", "promise.pk"),
    "valuation:paper": ("view", "valued_paper.key"),
    "valuation:paper-pdf": ("view", "valued_paper.key"),
    "valuation:api-paper": ("view", "valued_paper.key"),
}
ADDRESSES |= {
    "valuation:sales": ("view",),
    "valuation:sale-keep": ("change",),
    "valuation:sale": ("view", "sale.pk"),
    "valuation:sale-pdf": ("view", "sale.pk"),
    "valuation:sale-change": ("change", "sale.pk"),
    "valuation:lot-change": ("change", "sale_lot.pk"),
    "valuation:lot-sold": ("change", "sale_lot.pk"),
    "valuation:lot-end": ("change", "sale_lot.pk"),
    "valuation:lot-price": ("change", "sold_lot.pk"),
    "valuation:lot-strike": ("change", "sale_lot.pk"),
    "valuation:api-sale": ("view", "sale.pk"),
}
READ_BY_HELPERS = (
    "valuation:collection", "valuation:appraisals", "valuation:appraisals-beside", "valuation:appraisal",
    "valuation:asking", "valuation:api-appraise",
)  # fmt: skip
FILES = ("valuation:paper-pdf", "valuation:sale-pdf")
POST_ONLY = ("valuation:evidence-settle", "valuation:appraisal-keep", "valuation:sale-keep", "holdings:want-top-price")
QUERIES = {"valuation:api-top-price": "of=ZZ5-MIL", "valuation:api-estimate": "of=ZZ5-MIL"}
_SALE = {
    "on": lambda w: w.today, "designation": "ZZ-sold", "grade": "weak", "kind": "sold", "amount": "12,50",
    "currency": "USD", "quantity": "2", "arms_length": "yes",
}  # fmt: skip

_LIST = "date,designation,grade,kind,currency,amount\n2026-03-14,ZZ-listed,weak,sold,EUR,3\n"
#: As ``FORMS`` of ``tests.house.test_forms``.
TRIED = {
    "valuation:evidence-add": (
        _SALE, lambda w: PriceEvidence.objects.get(designation="ZZ-sold").amount == Decimal("12.5"),
        ("currency", "EUX"),
    ),
    "valuation:evidence-change": (
        _SALE | {"reason": "misread"}, lambda w: PriceEvidence.objects.get(pk=w.evidence.pk).quantity == 2,
        ("quantity", "0"),
    ),
    "valuation:evidence-strike": (
        {"why": "of another tube"},
        lambda w: PriceEvidence.objects.get(pk=w.evidence.pk).struck == "of another tube", ("why", ""),
    ),
    "valuation:prices-in": (
        {"file": lambda w: SimpleUploadedFile("sales.csv", _LIST.encode())},
        lambda w: not PriceEvidence.objects.filter(designation="ZZ-listed").exists(),
        ("order", "year"),
    ),
    "valuation:appraisal-strike": (
        {"why": "of another place"},
        lambda w: Appraisal.objects.get(pk=w.appraisal.pk).struck == "of another place", ("why", ""),
    ),
    "valuation:contact-add": (
        {"name": "Orla Finch", "reach": "the harbour office", "kind": "tube"},
        lambda w: Contact.objects.get(name="Orla Finch").kind == "tube", ("item", "no such tag"),
    ),
    "valuation:contact-change": (
        {"name": "Orla Finch", "reach": "the harbour office", "reason": "moved"},
        lambda w: Contact.objects.get(pk=w.contact.pk).reach == "the harbour office", ("reach", ""),
    ),
    "valuation:contact-strike": (
        {"why": "moved away"}, lambda w: Contact.objects.get(pk=w.contact.pk).struck == "moved away", ("why", ""),
    ),
    "valuation:promise-add": (
        {"to": "Orla Finch", "since": lambda w: w.today},
        lambda w: Promise.objects.get(item=w.tube.item).to == "Orla Finch", ("since", "no day"),
    ),
    "valuation:promise-change": (
        {"to": "Orla Finch", "since": lambda w: w.today, "reason": "misheard"},
        lambda w: Promise.objects.get(pk=w.promise.pk).to == "Orla Finch", ("to", ""),
    ),
    "valuation:promise-strike": (
        {"why": "taken back"}, lambda w: Promise.objects.get(pk=w.promise.pk).struck == "taken back", ("why", ""),
    ),
    "valuation:sale-change": (
        {"name": "Autumn sale", "seller": "R 4"}, lambda w: LotSale.objects.get(pk=w.sale.pk).seller == "R 4",
        ("commission_pct", "101"),
    ),
    "valuation:lot-change": (
        {"title": "one tube", "reserve": "12,50"},
        lambda w: SaleLot.objects.get(pk=w.sale_lot.pk).reserve == Decimal("12.5"), ("title", ""),
    ),
    "valuation:lot-sold": (
        {"price": "20", "currency": "EUR", "on": lambda w: w.today, "venue": "the quay"},
        lambda w: SaleLot.objects.get(pk=w.sale_lot.pk).state == "sold", ("currency", "EUX"),
    ),
    "valuation:lot-price": (
        {"price": "21", "currency": "EUR", "venue": "the quay", "reason": "misread"},
        lambda w: Item.objects.get(pk=w.sold_lot.things.get().item_id).gone_how.startswith("sold for 21.00 EUR at the"),
        ("price", "0"),
    ),
    "valuation:lot-strike": (
        {"why": "misheard"}, lambda w: SaleLot.objects.get(pk=w.sale_lot.pk).struck == "misheard", ("why", ""),
    ),
    "valuation:lot-end": (
        {"state": "unsold", "on": lambda w: w.today}, lambda w: SaleLot.objects.get(pk=w.sale_lot.pk).state == "unsold",
        ("on", "no day"),
    ),
    "valuation:note": (
        {"line": "2026-03-14 ZZ-line weak sold 3 EUR", "shown": "2026-03-14 ZZ-line weak sold 3 EUR"},
        lambda w: PriceEvidence.objects.get(designation="ZZ-line").grade == "weak", ("line", "ZZ-line"),
    ),
}  # fmt: skip


class AppraisalFactory(DjangoModelFactory):
    class Meta:
        model = Appraisal

    on = factory.LazyFunction(lambda: days_ago(5))
    currency = "EUR"
    basis = "fair-market"
    total = low = high = Decimal("12.50")


class PromiseFactory(DjangoModelFactory):
    class Meta:
        model = Promise

    item = factory.LazyFunction(lambda: TubeFactory().item)
    to = "Orla Finch"
    since = factory.LazyFunction(lambda: days_ago(40))


class ContactFactory(DjangoModelFactory):
    class Meta:
        model = Contact

    name = factory.Sequence(lambda n: f"Somebody {n}")
    reach = "the harbour office"


class LotSaleFactory(DjangoModelFactory):
    class Meta:
        model = LotSale

    name = factory.Sequence(lambda n: f"Sale {n}")
    currency = "EUR"
    basis = "fair-market"
    valued_on = factory.LazyFunction(lambda: days_ago(4))


class SaleLotFactory(DjangoModelFactory):
    class Meta:
        model = SaleLot
        skip_postgeneration_save = True

    sale = factory.SubFactory(LotSaleFactory)
    number = factory.Sequence(lambda n: n + 1)
    title = "a tube"
    reserve = Decimal(10)

    @factory.post_generation
    def things(self, create, extracted, **kwargs):
        for item in extracted or (TubeFactory().item,):
            LotThing.objects.create(lot=self, item=item, amount=Decimal(20))


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word = world.word
    world.evidence = EvidenceFactory(type=world.type, designation=word[:80], source=word, note=word, by_whom=word)
    world.appraisal = AppraisalFactory(note=word, by_whom=word, place=word, inputs=_inputs(word))
    world.promise = PromiseFactory(to=word[:120], note=word, by_whom=word)
    world.contact = ContactFactory(name=word[:120], reach=word, knows=word, note=word)
    world.sale = LotSaleFactory(name=word[:80], venue=word[:80], note=word, by_whom=word)
    world.sale_lot = SaleLotFactory(sale=world.sale, title=word[:200], note=word, weight=word[:60])
    gone = TubeFactory(item__gone_on=days_ago(3), item__gone_how="sold for 12.00 EUR at the quay, lot 9000").item
    world.sold_lot = SaleLotFactory(
        sale=world.sale,
        number=9_000,
        state="sold",
        ended_on=gone.gone_on,
        sold_for=12,
        sold_currency="EUR",
        things=[gone],
    )
    world.valued_paper = SimpleNamespace(key="catalogue")
    AppraisalLine.objects.create(appraisal=world.appraisal, tag="T-9001", what=word, kind="tube", place=word)


def _inputs(word):
    row = {"designation": word, "type": "", "date": "2026-01-02", "price": "3.00 EUR", "quantity": 2, "by": [word]}
    row |= {"grade": "", "kind": "sold", "venue": "", "each": "1.500000", "left_out": word, "source": word, "row": "1"}
    return {"parameters": {"market": word}, "evidence": [row], "prices": {}}


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    EvidenceFactory(type=world.type, on=days_ago(10 + number), note=f"{world.count}-{number}")
    EvidenceFactory(on=days_ago(10 + number), currency="USD")
    AppraisalFactory(on=days_ago(20 + number))
    AppraisalLine.objects.create(appraisal=world.appraisal, tag=f"T-{world.count}-{number}", what="more", kind="tube")

    SaleLotFactory(sale=world.sale)
    SaleLotFactory()
    PromiseFactory()
    ContactFactory(place=world.place)
    ContactFactory(item=world.tube.item)


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    row = EvidenceFactory(
        type=fitting.tube.type, premium_pct=Decimal("18.5"), quantity=3, postage=Decimal("4.2"), note="=note"
    )
    row.struck = "twice"
    row.save()
    EvidenceFactory(type=None, set_model=fitting.chassis.model, designation="a set", arms_length="no")
    EvidenceFactory(type=None, unit_model=UnitModelFactory(), designation="a unit")
    EvidenceFactory(type=None, companion_kind=CompanionKindFactory(), designation="a book")
    kept = AppraisalFactory(note="=kept", inputs=_inputs("as it was"))
    AppraisalLine.objects.create(
        appraisal=kept, tag=fitting.tube.tag, what="=tube", kind="tube", amount=Decimal("12.5"), comparables=3
    )
    PromiseFactory(item=fitting.chassis.item, note="=promised")
    PromiseFactory(item=fitting.tube.item, struck="taken back")
    ContactFactory(item=fitting.tube.item)
    ContactFactory(kind="tube", struck="moved")
    SaleLotFactory(things=[fitting.chassis.item, fitting.tube.item], value=Decimal("30.5"), weight="=31 kg")
    SaleLotFactory(state="sold", sold_for=Decimal(20), sold_currency="EUR", ended_on=days_ago(1), venue="the quay")
