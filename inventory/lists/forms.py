"""Forms of lists that come in."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.holdings.forms.counts import TagsField
from inventory.holdings.forms.facts import DATE_ORDERS, CurrencyField
from inventory.holdings.models import Place, Tube
from inventory.lists.models import ImportMapping
from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import Proposal
from inventory.lists.rules.place_order import not_places, order_in_words, place_order
from tubes.forms import TypeField

FIELD_WORDS = {
    f.MARK: "tube, as marked",
    f.QUANTITY: "how many",
    f.STATE: "state",
    f.READING: "test reading",
    f.MINIMUM: "minimum of the reading",
    f.INSTRUMENT: "instrument of the reading",
    f.TESTED_ON: "tested on",
    f.PLACE: "place",
    f.PRICE: "price paid",
    f.ASKED: "price asked",
    f.MAKER: "maker",
    f.DATE_CODE: "date code",
    f.SERIAL: "serial",
    f.MATE: "serial of the mate",
    f.MODEL: "model, or what it is",
    f.CONDITION: "condition as seen",
    f.NOTE: "note",
    f.FROM: "acquired from",
    f.ACQUIRED_ON: "acquired on",
    f.INSURED: "insured value",
    f.DATED: "another date",
    f.KIND: "kind of thing",
    f.NUMBER: "number in the list",
    f.WANTED: "how many are wanted",
    f.USED: "how many are in use",
    f.FOR_SET: "for which set",
    f.TYPE: "type, beside what is marked",
    f.FITTED: "in which set it stands",
    f.LENT: "lent to",
    f.SEEN: "last seen on",
    f.MISSED: "not found on",
    f.OWN_NUMBER: "number of your own",
    f.LEFT_ON: "left the collection on",
    f.LEFT_HOW: "how it left",
    f.HOW: "acquired how",
    f.TITLE: "evidence of title",
    f.LEFT_WHY: "why it left",
    f.LEFT_BY: "on whose word it left",
    f.LEFT_TO: "to whom it went",
    f.PROCEEDS: "what it fetched as it left",
    f.PLATE: "what the plate shows",
    f.MATE_PLATE: "what the mate's plate shows",
    f.VALUE: "value or type of a part",
    f.LEAST: "at least so many",
    f.MOST: "at most so many",
    f.DUDS: "duds beside them",
    f.TO_COUNT: "wants counting",
    **dict(
        zip(
            f.PART_TYPE,
            (
                "kind of part",
                "value in the unit of its kind",
                "tolerance, %",
                "rated for, V",
                "rated for, W",
                "rated for, A",
                "construction of a part",
                "class of a part at the mains",
                "mounting of a part",
                "marking of a part",
                "a part in words",
            ),
            strict=True,
        )
    ),
    f.OTHER: "kept as text",
    f.IGNORED: "of no use (kept as text)",
}
KIND_WORDS = {
    f.TUBES: "tubes",
    f.PARTS: "parts",
    f.CHASSIS: "chassis",
    f.UNITS: "plug-in units",
    f.COMPANIONS: "companions (books, charts, coil sets)",
    f.OTHERS: "other",
}


class OptionsForm(forms.Form):
    """What is so in the whole list."""

    kind = forms.ChoiceField(
        choices=[("", "mixed: told by the words of each row"), *KIND_WORDS.items()],
        required=False,
        label="every row is",
    )
    order = forms.ChoiceField(
        choices=DATE_ORDERS, required=False, label="a date such as 04/05/06 means", help_text="Not said: left unread."
    )
    dollar = CurrencyField(
        label="$ means",
        help_text="Three letters: USD, CAD, AUD. Empty: what the next field says, if that is a dollar; else kept as $.",
    )
    currency = CurrencyField(
        label="a price that names no currency is in",
        help_text="Three letters: EUR, GBP, USD. It also says what $ or kr means, if it is one of theirs. Empty: not "
        "said.",
    )
    bare = forms.ChoiceField(
        choices=[("", "not said"), ("row", "for all of the row"), ("each", "for each one")], required=False,
        label="a price with no word beside it is",
    )  # fmt: skip

    places = forms.CharField(
        required=False, max_length=200, label="columns of places, from the outermost in",
        help_text="Where there are several, parted by a stroke: Shelf / Box. Empty: by the words of their headings.",
    )  # fmt: skip


class UploadForm(forms.Form):
    file = forms.FileField(
        label="the list", help_text="CSV, text with tabs or semicolons, XLSX, ODS or XLS. Nothing is written yet.",
        max_length=200,
    )  # fmt: skip
    sheet = forms.CharField(
        required=False, max_length=100, label="sheet of a workbook",
        help_text="Its name, where several sheets are filled: each is taken in by itself. Empty: the only one.",
    )  # fmt: skip
    mapping = forms.ModelChoiceField(
        ImportMapping.objects.all(), required=False, empty_label="as proposed from headings and cells",
        label="columns", help_text="A mapping kept from an earlier list of the same keeper.",
    )  # fmt: skip


class ColumnsForm(OptionsForm):
    """What each column is, and what is so in the whole list. ``columns`` cleans to a dictionary by column."""

    keep_as = forms.CharField(
        required=False, max_length=80, label="keep these columns for other lists, under the name",
        help_text="Empty: only for this list.",
    )  # fmt: skip

    def __init__(
        self, data: Any, *, columns: dict[str, str], proposals: Sequence[Proposal], samples: Sequence[Sequence[str]],
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(data, **kwargs)
        self.keys = list(columns)
        order = place_order(self.keys, list(columns.values()))
        if len(order) > 1:
            self.fields["places"].help_text += f" Here: {order_in_words(self.keys, order)}."
        self.told = []
        for at, (key, field) in enumerate(columns.items()):
            choices = [(name, words) for name, words in FIELD_WORDS.items() if name != f.IGNORED or field == f.IGNORED]
            self.fields[f"column_{at}"] = forms.ChoiceField(choices=choices, initial=field, label=key)
            one = proposals[at] if at < len(proposals) else None
            self.told.append((f"column_{at}", one, samples[at] if at < len(samples) else []))

    def rows(self) -> list[tuple[forms.BoundField, Proposal | None, Sequence[str]]]:
        """(field, proposal, sample cells) of each column."""
        return [(self[name], one, cells) for name, one, cells in self.told]

    def option_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("kind", "order", "dollar", "currency", "bare", "places", "keep_as")]

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        mapping = [str(cells.get(f"column_{at}", "")) for at in range(len(self.keys))]
        if wrong := not_places(self.keys, mapping, cells.get("places", "")):
            self.add_error("places", f"{', '.join(wrong)}: no column of places here.")
        return cells

    def columns(self) -> dict[str, str]:
        return {key: str(self.cleaned_data[f"column_{at}"]) for at, key in enumerate(self.keys)}


class CameBackForm(forms.Form):
    """A list that went out here and comes back edited."""

    file = forms.FileField(
        label="the list, edited", help_text="CSV, XLSX, ODS or XLS, as it was taken out here.", max_length=200
    )
    why = forms.CharField(
        max_length=60, required=False, label="why",
        help_text="It stays in the history of each thing. Some moves are not made without a reason.",
    )  # fmt: skip
    sheet = forms.CharField(max_length=100, required=False, label="sheet, where a workbook has several")


CAN_BE_EMPTY = ("type", "maker", "condition", "note", "acquired_from", "price_paid")
AS_IT_IS = [("", "as it is")]


class AlikeForm(forms.Form):
    """Things of one kind, and what all of them are to say; what is left empty stays as it is."""

    tags = TagsField(label="tags", help_text="Type or scan them, one a line. T-0003..T-0010 is a run.")
    state = forms.ChoiceField(choices=[*AS_IT_IS, *Tube.STATES], required=False, help_text="Of tubes.")
    type = TypeField(label="type", help_text="Of tubes: the type, or any number with one meaning.")
    maker = forms.CharField(max_length=80, required=False, help_text="Of tubes and lots of parts.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="as it is")
    nowhere = forms.BooleanField(required=False, label="no place: where they are is not known")
    condition = forms.CharField(max_length=2000, required=False, help_text="It stands behind what each says already.")
    note = forms.CharField(max_length=2000, required=False, help_text="It stands behind what each says already.")
    acquired_from = forms.CharField(max_length=200, required=False, help_text="Of tubes.")
    price_paid = forms.CharField(
        max_length=100, required=False, label="price paid for each",
        help_text="Amount and currency: 12.50 EUR. What stood there is struck out.",
    )  # fmt: skip
    empty = forms.MultipleChoiceField(
        choices=[(name, name.replace("_", " ")) for name in CAN_BE_EMPTY], required=False,
        widget=forms.CheckboxSelectMultiple, label="take away what stands there", help_text="On every one of them.",
    )  # fmt: skip
    why = forms.CharField(
        max_length=60, required=False, label="why",
        help_text="It stays in the history of each thing. Some moves are not made without a reason.",
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        for name in cells.get("empty", ()):
            if cells.get(name):
                self.add_error(name, "Say what it is to be, or take it away; not both.")
        if cells.get("place") and cells.get("nowhere"):
            self.add_error("nowhere", "Choose a place, or tick that there is none; not both.")
        return cells

    def cells(self) -> dict[str, str]:
        """What is to be changed, by the headings of the lists out; an empty text takes away what stands there."""
        beside = ("tags", "why", "nowhere", "empty")
        told = {_heading(name): self.cleaned_data[name] for name in self.fields if name not in beside}
        cleared = [*self.cleaned_data["empty"], *(["place"] if self.cleaned_data["nowhere"] else [])]
        said = {heading: str(value) for heading, value in told.items() if value}
        return said | {_heading(name): "" for name in cleared}


def _heading(name: str) -> str:
    """The heading of the lists out that a field stands for."""
    return name.replace("_", " ").capitalize()


class CountForm(forms.Form):
    count = forms.IntegerField(min_value=0, max_value=1000)


class WeakListForm(forms.Form):
    """A list of weak parts, and what is so in the whole of it."""

    file = forms.FileField(
        label="the list", help_text="CSV, XLSX, ODS or XLS. Nothing is written before you have seen it.", max_length=200
    )
    order = forms.ChoiceField(
        choices=DATE_ORDERS, required=False, label="a date such as 04/05/2026 means",
        help_text="Not said: such a row is refused.",
    )  # fmt: skip
    sheet = forms.CharField(required=False, max_length=80, label="sheet, where a workbook has several")


class PriceListForm(forms.Form):
    """A list of prices, and what is so in the whole of it."""

    file = forms.FileField(
        label="the list", help_text="CSV, XLSX, ODS or XLS. Nothing is written before you have seen it.", max_length=200
    )
    order = forms.ChoiceField(
        choices=DATE_ORDERS, required=False, label="a date such as 04/05/2026 means",
        help_text="Not said: such a row is refused.",
    )  # fmt: skip
    sheet = forms.CharField(required=False, max_length=80, label="sheet, where a workbook has several")
    twice = forms.BooleanField(required=False, label="take in what is there already once more")
