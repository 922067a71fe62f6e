"""How many of the keeper's untested tubes proved good: by what was known of them before their first test."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, Subquery
from django.db.models.functions import Coalesce

from inventory.holdings.models import Tube
from inventory.restoration.rules.condition import NOT_SAID, UNUSED, USED, past_of
from inventory.restoration.rules.demand import percent
from inventory.restoration.rules.pass_rate import PassRate, chance_of, pass_rate
from inventory.running.models import TubeTest
from inventory.running.queries import judged
from inventory.running.queries.order import IN_TIME
from inventory.running.rules.verdicts import BORDERLINE, GOOD, NOT_COMPARABLE
from inventory.sets.models import Fitting

SURE = 1 - 1e-9  # a chance that only rounding makes certain
_LIKE = {UNUSED: "unused ones", USED: "used ones", NOT_SAID: "those of which nothing is said"}
FEWEST = 5  # first tests of a kind below which those of all kinds are counted; our choice, no source


def past(tube: Tube) -> str:
    """What the register says of a tube's past: unused, used, or not said."""
    return past_of(tube.condition, tube.acquired_how)


@dataclass(frozen=True)
class PassRates:
    """The share of good ones among first tests of untested tubes, of all and by what is said of their past (unused,
    used).
    """

    overall: PassRate
    by_past: dict[str, PassRate]

    def of(self, tube: Tube) -> PassRate:
        found = self.by_past.get(past(tube))
        return found if found is not None and found.tested >= FEWEST else self.overall

    def share(self, tube: Tube) -> float:
        """The expected share of good ones among tubes like this."""
        return self.of(tube).share

    def _kind(self, tube: Tube) -> str:
        rate = self.of(tube)
        return "" if rate.tested == self.overall.tested else past(tube)

    def _kinds(self, tubes: Iterable[Tube]) -> dict[str, tuple[PassRate, int]]:
        """These tubes by what is said of their past, where enough like them were tested; the others under ""."""
        counts = Counter(self._kind(tube) for tube in tubes)
        return {kind: (self.by_past[kind] if kind else self.overall, number) for kind, number in sorted(counts.items())}

    def words(self, tubes: Iterable[Tube], wanted: int) -> str:
        """The chance that at least so many of these untested ones prove good, in a sentence with what it rests on."""
        kinds = self._kinds(tubes)
        if not self.overall.tested or not kinds:
            return "No untested tube was tested here yet, so how many prove good is not known."
        told = [
            f"{f'of {_LIKE[kind]} ' if kind else ''}{rate.good} of {rate.tested} proved good at their first test here "
            f"({_interval(rate)}, 95 % interval)"
            for kind, (rate, _) in kinds.items()
        ]
        chance = percent(min(chance_of(list(kinds.values()), wanted), SURE), 0)
        said = "; ".join(told)
        return (
            f"{said[0].upper()}{said[1:]}: a chance of {chance} % that {wanted} of these "
            f"{'is' if wanted == 1 else 'are'} good."
        )


def _interval(rate: PassRate) -> str:
    """The interval of a share; where all or none proved good it says one end alone, since nothing is certain."""
    if rate.good == rate.tested:
        return f"at least {percent(rate.low, 0)} %"
    if not rate.good:
        return f"at most {percent(rate.high, 0)} %"
    return f"{percent(rate.low, 0)} to {percent(rate.high, 0)} %"


def pass_rates() -> PassRates:
    """From the first test of every tube that was called untested until then and had run in no set here: one that was
    called good on other grounds, or wore in service, says nothing of stock (a fixed number of queries).
    """
    first = TubeTest.objects.filter(tube=OuterRef("tube"), struck="").order_by(*IN_TIME)
    rows = TubeTest.objects.filter(struck="", pk=Subquery(first.values("pk")[:1]))
    typed_in = TubeTest.history.filter(id=OuterRef("pk"), history_type="+").order_by("history_date")
    before = Tube.history.filter(item=OuterRef("tube"), history_date__lte=OuterRef("typed_in"))
    before = before.order_by("-history_date", "-history_id")
    rows = rows.annotate(typed_in=Subquery(typed_in.values("history_date")[:1]))
    rows = rows.annotate(called=Coalesce(Subquery(before.values("state")[:1]), F("tube__state")))
    rows = rows.filter(~Exists(Fitting.objects.filter(tube=OuterRef("tube"), since__lt=OuterRef("on"))))
    rows = rows.filter(called=Tube.UNTESTED).select_related("tube__item", "tube__type", "instrument")
    counts: dict[str, list[int]] = {}
    for line in judged(rows):
        if not line.verdict or line.verdict.verdict == NOT_COMPARABLE:
            continue
        good = line.verdict.verdict in (GOOD, BORDERLINE)
        of_kind = counts.setdefault(past(line.test.tube), [0, 0])
        of_kind[0] += good
        of_kind[1] += 1
    by_past = {kind: pass_rate(good, tested) for kind, (good, tested) in counts.items()}
    total = [sum(column) for column in zip(*counts.values(), strict=True)] or [0, 0]
    return PassRates(pass_rate(*total), by_past)
