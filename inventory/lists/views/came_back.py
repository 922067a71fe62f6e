"""Pages of lists that went out here and come back edited: upload, what would be changed, writing."""

from collections.abc import Sequence

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import may, needs
from inventory.house.lists_out import column_key
from inventory.house.sheets import sheet
from inventory.house.writing import refuse
from inventory.lists.actions.bring_back import keep_changes, try_changes, write_changes
from inventory.lists.actions.came_back import HERE, LISTED
from inventory.lists.actions.changes import KEPT_OUT, UNTOUCHED, WRITTEN_OVER
from inventory.lists.actions.conflicts import conflicts_by_column, settle_conflicts
from inventory.lists.actions.files import FileRefused
from inventory.lists.forms import CameBackForm
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import LISTS
from inventory.lists.rules.stamps import STAMP
from inventory.lists.wording.sentences import rows_in_words

CAUTION = (
    f"Bring back a list that was taken out here with its column “{STAMP}”. What you edited is shown first, old and "
    "new, and what was changed here meanwhile is held. A row that is missing takes nothing out of the register."
)
NAMED = 5  # tags of a note
_SHOWN = {"changed": WRITTEN_OVER, "not-written": KEPT_OUT}


@needs("change", "lists.importrun", "bring an edited list back")
def came_back_add(request: HttpRequest) -> HttpResponse:
    """Upload a list that comes back. Its rows are kept and tried out; nothing is changed."""
    form = CameBackForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                run = _kept(request, form)
                return redirect("lists:list-in", run.pk)
            except FileRefused as refusal:
                form.add_error(refusal.field if refusal.field in form.fields else "file", str(refusal))
        status = 422
    context = {
        "form": form, "heading": "Bring an edited list back", "act": "Look what was changed",
        "back": reverse("lists:lists-in"), "caution": CAUTION,
    }  # fmt: skip
    return render(request, "parts/form.html", context, status=status)


def _kept(request: HttpRequest, form: forms.Form) -> ImportRun:
    cells, upload = form.cleaned_data, form.cleaned_data["file"]
    run = keep_changes(upload, name=upload.name, by=request.user, sheet=cells["sheet"])
    try_changes(run, today=timezone.localdate(), why=cells["why"])
    run.options["why"] = cells["why"]
    ImportRun.objects.filter(pk=run.pk).update(options=run.options)
    messages.success(request, "Tried out: this is what would be changed. Nothing is written.")
    return run


def came_back_page(request: HttpRequest, run: ImportRun) -> HttpResponse:
    """A list that came back, row by row: what was changed, or on trial what would be."""
    touched = run.rows.exclude(outcome=UNTOUCHED)
    counted = dict(touched.order_by().values_list("outcome").annotate(Count("pk")))
    new = sum(count for outcome, count in counted.items() if outcome not in _SHOWN.values())
    shown = request.GET.get("only", "")
    rows = touched.filter(outcome=_SHOWN[shown]) if shown in _SHOWN else touched
    if shown == "new":
        rows = touched.exclude(outcome__in=_SHOWN.values())
    page = sheet(request, rows.prefetch_related("made__item").order_by("row"))
    one_list = LISTS[run.came_back]
    open_columns = {name for name in one_list.headings if column_key(name) not in one_list.of_money}
    for row in page.object_list:
        row.run = run
        for one in row.remarks:
            one["of_money"] = one.get("column") not in open_columns
            one["open"] = one.get("code") in ("conflicts", "kept") or one.get("column") in row.answers
    context = {
        "run": run, "page": page, "shown": shown if shown in (*_SHOWN, "new") else "",
        "conflicts": conflicts_by_column(run), "here": HERE, "listed": LISTED,
        "title": LISTS[run.came_back].title, "may_write": _may_write(request, run), "notes": alike_once(run),
        "ways": [
            ("", "all", sum(counted.values())), ("changed", "changed", counted.get(WRITTEN_OVER, 0)),
            ("not-written", "not written", counted.get(KEPT_OUT, 0)), ("new", "new", new),
        ],
    }  # fmt: skip
    return render(request, "lists/came_back.html", context)


def alike_once(run: ImportRun) -> list[str]:
    """What is to be said of a list; what is said of many things is said once, with the first of them by name."""
    told: dict[str, list[str]] = {}
    for note in run.counts.get("told", ()):
        tag, colon, text = note.partition(": ")
        of_one = bool(colon) and tag == tag.upper() and " " not in tag
        told.setdefault(text if of_one else note, []).extend([tag] if of_one else [])
    return [f"{_named(tags)}: {text}" if tags else text for text, tags in told.items()]


def _named(tags: Sequence[str]) -> str:
    more = f" and {len(tags) - NAMED} more" if len(tags) > NAMED else ""
    return f"{', '.join(tags[:NAMED])}{more}"


def _may_write(request: HttpRequest, run: ImportRun) -> bool:
    user = request.user
    return may(user, "change", "lists.importrun") and may(user, "change", LISTS[run.came_back].model)


@require_POST
@needs("change", "lists.importrun", "bring an edited list back")
def came_back_write(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a list that was tried out (``try`` in the form: only try it out once more)."""
    run = get_object_or_404(ImportRun, pk=pk)
    if not run.came_back or not _may_write(request, run):
        messages.error(request, "This list is none that came back.")
        return redirect("lists:list-in", pk)
    why = " ".join(request.POST.get("why", "").split())[:60]
    try:
        if "try" in request.POST:
            try_changes(run, today=timezone.localdate(), why=why)
            run.options["why"] = why
            ImportRun.objects.filter(pk=run.pk).update(options=run.options)
            messages.success(request, "Tried out again: this is what would be changed. Nothing is written.")
            return redirect("lists:list-in", pk)
        found = write_changes(run, by=request.user, today=timezone.localdate(), why=why)
    except (ValidationError, FileRefused) as refusal:
        told = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
        messages.error(request, " ".join(told))
        return redirect("lists:list-in", pk)
    kept = len(found.conflicts) + len(found.held)
    told_kept = f" {kept} held: they stand below with the reason." if kept else ""
    cells = "1 cell" if len(found.changed) == 1 else f"{len(found.changed)} cells"
    messages.success(request, f"{cells} changed, {rows_in_words(found.new)} new.{told_kept}")
    return redirect("lists:list-in", pk)


@require_POST
@needs("change", "lists.importrun", "bring an edited list back")
def came_back_settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what stands of cells that were changed here and in the list: of one (``row``, ``column``) or of a column."""
    run = get_object_or_404(ImportRun, pk=pk)
    if not run.came_back or not _may_write(request, run):
        messages.error(request, "This list is none that came back.")
        return redirect("lists:list-in", pk)
    number, answer = request.POST.get("row", ""), request.POST.get("answer", "")
    column = request.POST.get("column", "").replace("\0", "")
    try:
        if not column or (number and not (number.isascii() and number.isdigit() and len(number) < 9)):
            raise refuse("answer", "Name the cell.")
        count, found = settle_conflicts(
            run, answer, by=request.user, today=timezone.localdate(), row=int(number) if number else None, column=column
        )
    except (ValidationError, FileRefused) as refusal:
        told = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
        messages.error(request, " ".join(told))
    else:
        cells = f"{count} cell{'' if count == 1 else 's'} of {column}"
        stands = "what is here stands" if answer == HERE else "what the list says stands"
        if run.state == ImportRun.TRIAL:
            messages.success(request, f"{cells}: {stands}, once the list is written. Nothing is written yet.")
        else:
            done = f": {len(found.changed)} changed" if answer == LISTED else ""
            messages.success(request, f"{cells}: {stands}{done}.")
    return redirect("lists:list-in", pk)
