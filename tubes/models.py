"""Rows of tube knowledge: texts, types, their marks and their figures.

Rows with ``origin`` *table* come from the reference tables and are replaced by a reload; rows with ``origin`` *keeper*
are the keeper's own: they win over the tables and no reload touches them.
"""

from typing import Any
from uuid import uuid4

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.house.kept_history import History
from tubes.rules.relations import REFUTED, RELATIONS, is_unchecked
from tubes.rules.schemes import TABLED
from tubes.rules.sources import GRADES, STATED
from tubes.rules.tables import CAPS, CATHODES, CUTOFFS, KINDS

TABLE, KEEPER = "table", "keeper"
ORIGINS = [(TABLE, "reference tables"), (KEEPER, "keeper")]


class State(models.Model):
    """One row, whose token changes with every change of tube knowledge: what was built from the rows stands till then.

    A token is never used twice, also where a transaction is rolled back or an older database comes back.
    ``tables``: digest of the reference tables and of what reads them, as they were last loaded; ``as_of`` the token
    right after; ``in_tables`` how many rows of each sort they had. Both still so: a load would change nothing.
    """

    token = models.CharField(max_length=32)
    tables = models.CharField(max_length=64, blank=True)
    as_of = models.CharField(max_length=32, blank=True)
    in_tables = models.JSONField(default=dict, blank=True)


def knowledge_changed(**kwargs: Any) -> None:
    """Tube knowledge changed, in this transaction: nothing built before stands any longer. Receives signals, too."""
    token = uuid4().hex
    if not State.objects.filter(pk=1).update(token=token):
        State.objects.bulk_create([State(pk=1, token=token)], ignore_conflicts=True)


class KnownRows(models.QuerySet[Any]):
    """Rows of tube knowledge: changes of many at once, of which no signal tells, change the state too."""

    def update(self, **kwargs: Any) -> int:
        count = super().update(**kwargs)
        if count:
            knowledge_changed()
        return count

    def bulk_create(self, *args: Any, **kwargs: Any) -> list[Any]:
        made = super().bulk_create(*args, **kwargs)
        if made:
            knowledge_changed()
        return made


def _choices(names: list[str] | tuple[str, ...]) -> list[tuple[str, str]]:
    return [(name, name.replace("-", " ")) for name in names]


class Source(models.Model):
    """A text that figures and designations rest on."""

    key = models.CharField(max_length=60, unique=True)
    title = models.CharField(max_length=300)
    publisher = models.CharField(max_length=200, blank=True)
    year = models.CharField("year", max_length=60, blank=True)
    location = models.CharField("place in the text", max_length=300, blank=True)
    read_at = models.CharField("where it was read", max_length=400, blank=True)
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["key"]

    def __str__(self) -> str:
        return self.title


class TubeType(models.Model):
    """A kind of tube by its name; ``own_mark``: known only by a mark that no text calls the same as another type."""

    name = models.CharField(max_length=40, unique=True)
    own_mark = models.BooleanField(default=False)
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    table_caution = models.CharField(max_length=300, blank=True, editable=False)
    hazard = models.CharField(
        "your own cautions", max_length=200, blank=True, help_text="For example: mercury; keep upright. Implosion."
    )
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def caution(self) -> str:
        """What can hurt: the words of the tables and the keeper's own."""
        return " ".join(words for words in (self.table_caution, self.hazard) if words)


class JanMaker(models.Model):
    """A maker code as it stands between JAN or USN and the type."""

    code = models.CharField(max_length=5)
    maker = models.CharField(max_length=120)
    source = models.ForeignKey(Source, on_delete=models.PROTECT)
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(fields=["code", "origin"], name="one_maker_per_code_and_origin")]

    def __str__(self) -> str:
        return f"{self.code} {self.maker}"


class Designation(models.Model):
    """A mark that a type bears, in a scheme; ``refuted`` is the keeper's word that a row of the tables is not so."""

    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, related_name="designations")
    scheme = models.CharField(max_length=20, choices=_choices(TABLED))
    designation = models.CharField(max_length=40)
    relation = models.CharField(max_length=12, choices=_choices((*RELATIONS, REFUTED)), default="same")
    note = models.CharField(max_length=300, blank=True)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["scheme", "designation"]
        constraints = [
            models.UniqueConstraint(
                fields=["type", "scheme", "designation", "origin"], name="one_designation_per_type_scheme_and_origin"
            )
        ]

    def __str__(self) -> str:
        return f"{self.designation} ({self.relation} {self.type})"

    @property
    def unchecked(self) -> bool:
        return is_unchecked(self.note)


def _figure(label: str) -> models.FloatField:
    return models.FloatField(label, null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1e9)])


class Rating(models.Model):
    """The published figures of a type, one row an origin; a figure of the keeper's own wins over the table's."""

    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, related_name="ratings")
    kind = models.CharField(max_length=20, choices=_choices(KINDS), blank=True)
    cathode = models.CharField(max_length=20, choices=_choices(CATHODES), blank=True)
    base = models.CharField(max_length=30, blank=True)
    basing = models.CharField(max_length=20, blank=True)
    cap = models.CharField("top cap", max_length=10, choices=_choices(CAPS), blank=True)
    cutoff = models.CharField("grid cutoff", max_length=12, choices=[(c, c) for c in CUTOFFS], blank=True)
    heater_v = _figure("heater, V")
    heater_a = _figure("heater, A")
    plate_v_max = _figure("plate voltage, max V")
    plate_w_max = _figure("plate dissipation, max W")
    screen_v_max = _figure("screen voltage, max V")
    screen_w_max = _figure("screen dissipation, max W")
    mu = _figure("amplification factor")
    gm_umho = _figure("transconductance, micromho")
    rp_ohm = _figure("plate resistance, ohm")
    cgp_pf = _figure("grid-plate capacitance, pF")
    cin_pf = _figure("input capacitance, pF")
    cout_pf = _figure("output capacitance, pF")
    plate_ma_typ = _figure("plate current, typical mA")
    freq_max_mhz = _figure("full ratings up to, Mc")
    note = models.CharField(max_length=500, blank=True)
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["type", "origin"], name="one_rating_per_type_and_origin")]

    def __str__(self) -> str:
        return f"{self.type}: {self.origin}"


class RatingSource(models.Model):
    """The text behind one figure of a rating, and its grade."""

    rating = models.ForeignKey(Rating, on_delete=models.CASCADE, related_name="sources")
    field = models.CharField(max_length=20)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=12, choices=[(g, g) for g in GRADES], default=STATED)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["rating", "field", "source"], name="one_row_per_figure_and_source")
        ]

    def __str__(self) -> str:
        return f"{self.field}: {self.source_id} ({self.grade})"


class Limit(models.Model):
    """A figure that rules judge by; a row of the keeper's own wins over the table's."""

    key = models.CharField(max_length=60)
    value = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(1e6)])
    unit = models.CharField(max_length=20)
    meaning = models.CharField(max_length=300)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["key"]
        constraints = [models.UniqueConstraint(fields=["key", "origin"], name="one_limit_per_key_and_origin")]

    def __str__(self) -> str:
        return f"{self.key}: {self.value:g} {self.unit}"


class Basing(models.Model):
    """Which electrode is on which pin of a base (``pins`` as ``tubes.rules.basing`` writes them)."""

    code = models.CharField(max_length=20)
    socket = models.CharField(max_length=30)
    pins = models.CharField(max_length=200)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(max_length=6, choices=ORIGINS, default=KEEPER)
    objects = KnownRows.as_manager()
    history = History()

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(fields=["code", "origin"], name="one_basing_per_code_and_origin")]

    def __str__(self) -> str:
        return f"{self.code} ({self.socket})"


class HandbookRow(models.Model):
    """One system of a tube in a published handbook of tests (``tubes.rules.handbook``); of the tables only.

    ``names``: the type that nothing else of the tables names; ``of_another``: base or heater is not that of the type
    of this number, so that the row is of another tube.
    """

    type = models.CharField(max_length=40)
    names = models.CharField(max_length=40, blank=True)
    of_another = models.BooleanField(default=False)
    system = models.PositiveSmallIntegerField()
    electrodes = models.CharField(max_length=10)
    heater_v = models.FloatField(null=True)
    base = models.CharField(max_length=30)
    pins_as_tested = models.CharField(max_length=120, blank=True)
    cap = models.CharField(max_length=20, blank=True)
    test_plate_v = models.FloatField(null=True)
    test_grid_v = models.FloatField(null=True)
    test_screen_v = models.FloatField(null=True)
    test_plate_ma = models.FloatField(null=True)
    test_gm_umho = models.FloatField(null=True)
    remarks = models.CharField(max_length=200, blank=True)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(max_length=6, choices=ORIGINS, default=TABLE)
    objects = KnownRows.as_manager()

    class Meta:
        ordering = ["type", "system"]
        constraints = [models.UniqueConstraint(fields=["type", "system"], name="one_handbook_row_per_type_and_system")]

    def __str__(self) -> str:
        return f"{self.type} ({self.electrodes})"


class RecallDoubt(models.Model):
    """What two people recalled otherwise than the tables, or than one another: a lead and nothing more.

    ``about``: a mark of ``scheme``, or a type, of whose ``field`` they disagree.
    """

    about = models.CharField(max_length=40)
    scheme = models.CharField(max_length=20, blank=True)
    field = models.CharField(max_length=20, blank=True)
    tables_say = models.CharField(max_length=100, blank=True)
    recalled_as = models.CharField(max_length=200)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(max_length=6, choices=ORIGINS, default=TABLE)
    objects = KnownRows.as_manager()

    class Meta:
        ordering = ["about", "field"]
        constraints = [
            models.UniqueConstraint(fields=["about", "scheme", "field"], name="one_doubt_per_mark_or_figure")
        ]

    def __str__(self) -> str:
        return f"{self.about}: {self.recalled_as}"


KNOWLEDGE = (Source, TubeType, JanMaker, Designation, Rating, RatingSource, Limit, Basing, HandbookRow, RecallDoubt)
