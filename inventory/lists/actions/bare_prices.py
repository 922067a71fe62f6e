"""Prices of a written list of which nobody said whether they are for each thing of a row or for all of it.

Said for the whole list at once, by the keeper who knows how it was kept; and taken back in one step, as long as nobody
corrected one by itself. What the list made is undone with it all the same: the history gives the list as the reason.
"""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from inventory.holdings.actions import for_change
from inventory.holdings.models import Fact, Item
from inventory.holdings.rules.facts import ASKED, INSURED, PAID
from inventory.holdings.rules.prices import EACH, ROW
from inventory.house.writing import keep_history, refuse
from inventory.lists.actions.write import reason_of
from inventory.lists.models import ImportMade, ImportRun

AT_ONCE = 400  # rows
WAYS = {EACH: "for each one", ROW: "for all of the row"}


def _said(run: ImportRun) -> QuerySet[Fact]:
    """Prices that the list said of rows of several things, as they stand."""
    made = ImportMade.objects.filter(row__run=run).values("item")
    rows = Fact._base_manager.filter(item__in=made, from_list=True, struck="", about__in=(PAID, ASKED, INSURED))
    return rows.filter(of_count__gt=1, value__isnull=False).order_by("pk")


def unsaid_prices(run: ImportRun) -> QuerySet[Fact]:
    """Those of which nobody said for how many they are."""
    return _said(run).filter(per="")


def settled_prices(run: ImportRun) -> list[int]:
    """The keys of those for which it was said of the whole list, and which nobody changed since (two queries)."""
    keys = list(_said(run).filter(per__in=WAYS).values_list("pk", flat=True))
    last: dict[int, tuple[str, str]] = {}
    history: Any = Fact.history  # type: ignore[attr-defined]
    for start in range(0, len(keys), AT_ONCE):
        rows = history.filter(id__in=keys[start : start + AT_ONCE]).order_by("history_id")
        last |= {pk: (how, why) for pk, how, why in rows.values_list("id", "history_type", "history_change_reason")}
    return [pk for pk, told in last.items() if told == ("~", reason_of(run))]


@transaction.atomic
def settle_prices(run: ImportRun, per: str, *, by: Any) -> int:
    """Say of all of them what they are for; "" takes that back. Returns how many. Raises ValidationError."""
    run = ImportRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
    if run.state != ImportRun.WRITTEN:
        raise refuse("per", f"List {run.pk} is {run.get_state_display()}: none of its prices is in the register.")
    if per and per not in WAYS:
        raise refuse("per", "Say whether they are for each one or for all of the row.")
    keys = list(unsaid_prices(run).values_list("pk", flat=True)) if per else settled_prices(run)
    if not keys:
        raise refuse("per", "No price of this list waits for that." if per else "Nothing of that is to be taken back.")
    return sum(_write(keys[at : at + AT_ONCE], per, reason_of(run), by) for at in range(0, len(keys), AT_ONCE))


def _write(keys: list[int], per: str, reason: str, by: Any) -> int:
    """What was corrected or struck out while the things were being locked is left alone."""
    rows = Fact._base_manager.filter(pk__in=keys)
    list(for_change(Item.objects.filter(pk__in=rows.values("item"))).values_list("pk"))
    waiting = rows.filter(struck="", **({"per": ""} if per else {"per__in": WAYS}))
    found = list(waiting.select_for_update(of=("self",), no_key=True).order_by("pk"))
    for fact in found:
        fact.per = per
    Fact._base_manager.filter(pk__in=[fact.pk for fact in found]).update(per=per)
    keep_history(found, "~", by=by, reason=reason, at=timezone.now())
    return len(found)
