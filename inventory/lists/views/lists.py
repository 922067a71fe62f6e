"""Pages of lists that come in: upload, columns, trial run, writing, questions, undo."""

import csv
from collections.abc import Iterator, Sequence
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import may, may_see_money, needs
from inventory.house.edit_pages import change_page, show_refusal
from inventory.house.sheets import sheet
from inventory.lists.actions import answers, take_in, trial, undo
from inventory.lists.actions.bare_prices import WAYS, settle_prices, settled_prices, unsaid_prices
from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.on_trial import reading_of
from inventory.lists.actions.progress import told_of
from inventory.lists.actions.read import options_of
from inventory.lists.actions.trial_answers import answer_on_trial
from inventory.lists.forms import ColumnsForm, CountForm, UploadForm
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.queries.runs import (
    SHOWN,
    count_alike,
    outcome_counts,
    proposals_for,
    rows_of,
    runs,
)
from inventory.lists.queries.uncounted import rows_to_count
from inventory.lists.rules.columns import in_order, kept_as_text, mapped
from inventory.lists.rules.rows import HELD, REFUSED
from inventory.lists.views.came_back import came_back_page
from inventory.lists.wording.sentences import rows_in_words, tags_told, things_in_words, undone_in_words
from inventory.lists.wording.understood import understood_in_words

LONG = 5000  # rows from which on a page shows how far the reading is
CAUTION = (
    "A list tells what somebody wrote, not what lies on the shelf: what it says of voltage, mercury, radium or PCB is "
    "a hint. Look at the thing with the usual care; local codes and licensed practice come first."
)
CAUTION_OF_UNDOING = (
    "Everything that this list made leaves the register, but for things to which something "
    "happened since: those stay and are named. Take its labels off the things: their tags are not given again."
)
CAUTION_OF_CHANGES = (
    "Everything that this list changed is as it was before again, and what it made leaves the register. What was "
    "changed once more since then stays as it is and is named."
)


@needs("view", "lists.importrun")
def lists_in(request: HttpRequest) -> HttpResponse:
    return render(request, "lists/taken_in.html", {"page": sheet(request, runs())})


@needs("add", "lists.importrun")
def list_add(request: HttpRequest) -> HttpResponse:
    """Upload a list. Its rows are kept and tried out; nothing goes into the register."""
    form = UploadForm(request.POST, request.FILES) if request.method == "POST" else UploadForm()
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                run = _keep(request, form)
                kept = rows_in_words(run.counts["rows"])
                messages.success(request, f"Kept to be tried out: {kept}. Nothing is written.")
                return redirect("lists:list-columns", run.pk)
            except ValueError as refusal:
                form.add_error(getattr(refusal, "field", "file"), str(refusal))
        status = 422
    context = {
        "form": form, "heading": "Take a list in", "act": "Look at it", "back": reverse("lists:lists-in"),
        "caution": CAUTION,
    }  # fmt: skip
    return render(request, "parts/form.html", context, status=status)


def _keep(request: HttpRequest, form: UploadForm) -> ImportRun:
    upload = form.cleaned_data["file"]
    run = trial.keep_upload(upload, name=upload.name, by=request.user, sheet=form.cleaned_data["sheet"])
    mapping = form.cleaned_data["mapping"]
    if mapping:
        try:
            columns = mapped(list(in_order(run.heading, run.columns)), mapping.columns)
            trial.set_columns(run, columns, options_of(mapping.options))
        except ValueError as misfit:
            messages.warning(request, f"The mapping {mapping} was not used: {misfit}.")
    return run


@needs("add", "lists.importrun")
def list_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """What each column is: as proposed, changed by the keeper; then the trial run."""
    run = get_object_or_404(ImportRun, pk=pk)
    if run.state != ImportRun.TRIAL or run.came_back:
        return redirect("lists:list-in", pk)
    proposals, samples = proposals_for(run)
    form = ColumnsForm(
        request.POST if request.method == "POST" else None, columns=in_order(run.heading, run.columns),
        proposals=proposals, samples=samples, initial=run.options,
    )  # fmt: skip
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                return _tried(request, run, form)
            except ValidationError as refusal:
                show_refusal(form, refusal)
            except ValueError as refusal:
                form.add_error(None, str(refusal))
        status = 422
    context = {"run": run, "form": form, "long": run.counts.get("rows", 0) >= LONG}
    return render(request, "lists/columns.html", context, status=status)


def _tried(request: HttpRequest, run: ImportRun, form: ColumnsForm) -> HttpResponse:
    cells = form.cleaned_data
    options = options_of({name: cells[name] for name in ("kind", "dollar", "currency", "order", "bare", "places")})
    kept = None
    with transaction.atomic():  # a name that is refused leaves the columns as they were tried out
        trial.set_columns(run, form.columns(), options)
        if cells["keep_as"].strip():
            over = may(request.user, "change", "lists.importmapping")
            try:
                kept = take_in.keep_mapping(cells["keep_as"], form.columns(), options, over=over)
            except ValidationError as refusal:
                raise ValidationError({"keep_as": refusal.messages}) from refusal
    if kept:
        messages.success(request, f"The columns are kept as {kept}.")
    trial.try_out(run, today=timezone.localdate())
    messages.success(request, "Tried out: this is what would become of each row. Nothing is written.")
    return redirect("lists:list-in", run.pk)


@needs("view", "lists.importrun")
def list_in(request: HttpRequest, pk: int) -> HttpResponse:
    """A list row by row: what became of each row, or on trial what would."""
    run = get_object_or_404(ImportRun.objects.select_related("by"), pk=pk)
    shown = request.GET.get("show", "")
    if run.came_back and not (shown and run.state == ImportRun.WRITTEN):  # its new rows are answered as those of all
        return came_back_page(request, run)
    if shown not in SHOWN:
        shown = "all"
    counts, alike = outcome_counts(run), count_alike(run)
    page = sheet(request, rows_of(run, shown))
    for row in page.object_list:
        row.run, row.told = run, understood_in_words(row.understood)
    context = {
        "run": run, "shown": shown, "page": page, "counts": counts,
        "ways": [(name, words, counts[name]) for name, (words, _) in SHOWN.items()],
        "tried": run.counts.get("tried") or run.state != ImportRun.TRIAL,
        "made": things_in_words(run.counts.get("records", {})), "alike": sum(alike.values()), "asked": _asked(alike),
        "long": run.counts.get("rows", 0) >= LONG, "reading": reading_of(run),
        "text": kept_as_text(run.heading, run.columns),
    }  # fmt: skip
    if run.state == ImportRun.WRITTEN and may_see_money(request.user):
        context |= {"bare": unsaid_prices(run).count(), "settled": len(settled_prices(run)), "bare_ways": WAYS}
    return render(request, "lists/run.html", context)


def _asked(alike: dict[str, int]) -> list[tuple[str, int, list[tuple[str, str]]]]:
    """(what rows are asked about, how many, (key, words) of the answers for all of them at once)."""
    return [(about, alike[about], list(told.items())) for about, told in answers.ALIKE.items() if alike[about]]


@needs("view", "lists.importrun")
def list_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """How far the reading of a long list is, for a page that asks now and then."""
    run = get_object_or_404(ImportRun.objects.only("counts", "state"), pk=pk)
    return render(request, "lists/progress.html", {"run": run, "told": told_of(run)})


@require_POST
@needs("add", "lists.importrun")
def list_write(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a list that was tried out: every row that is plain, all or none, by the columns that the page showed."""
    run = get_object_or_404(ImportRun, pk=pk)
    if not run.counts.get("tried") or run.came_back:
        messages.error(request, "Try the list out first.")
        return redirect("lists:list-columns", pk)
    seen = request.POST.get("reading")
    if seen != reading_of(run):
        why = "Its columns were changed since" if seen else "Which trial run was looked at is not told"
        messages.error(request, f"{why}: this is the trial run with the columns of now.")
        return redirect("lists:list-in", pk)
    try:
        found = trial.write_run(run, by=request.user, today=timezone.localdate())
    except (ValidationError, FileRefused) as refusal:
        told = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
        messages.error(request, " ".join(told))
        return redirect("lists:list-in", pk)
    if found.again and found.run:
        messages.warning(request, " ".join(found.notes))
        return redirect("lists:list-in", found.run.pk)
    counts = found.counts()
    made = things_in_words(counts["records"]) or "nothing"
    messages.success(request, f"{rows_in_words(counts['written'])} written; made: {made}.")
    return redirect(f"{reverse('lists:list-in', args=[pk])}{'?show=held' if counts['held'] else ''}")


@require_POST
@needs("add", "lists.importrow")
def list_answer(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Answer the question of a held row."""
    kept = get_object_or_404(ImportRow.objects.select_related("run"), run=pk, row=row)
    if kept.run.state == ImportRun.TRIAL:
        return _answer_on_trial(request, kept)
    try:
        tags = answers.answer_held(
            kept, request.POST.get("answer", ""), by=request.user, today=timezone.localdate(),
            name=request.POST.get("name", ""), about=request.POST.get("about", ""),
        )  # fmt: skip
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        kept.refresh_from_db()
        told = f"{', '.join(tags[:5])}{' ...' if len(tags) > 5 else ''} written" if tags else "nothing written"
        waits = "; it raises another question" if kept.outcome == HELD else ""
        messages.success(request, f"Row {row}: {told}{waits}.")
    return _still_held(pk)


def _answer_on_trial(request: HttpRequest, row: ImportRow) -> HttpResponse:
    """Keep the answer to a held row of a list on trial, with those of the rows that ask the same if so wanted."""
    try:
        count = answer_on_trial(
            row, request.POST.get("answer", ""), today=timezone.localdate(), name=request.POST.get("name", ""),
            about=request.POST.get("about", ""), alike="alike" in request.POST,
        )  # fmt: skip
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{rows_in_words(count)} answered; nothing is written yet.")
    return _still_held(row.run_id)


def _still_held(pk: int) -> HttpResponse:
    """To the rows that still wait; to the whole report where none does."""
    waits = ImportRow.objects.filter(run=pk, outcome=HELD).exists()
    return redirect(f"{reverse('lists:list-in', args=[pk])}{'?show=held' if waits else ''}")


@require_POST
@needs("add", "lists.importrow")
def list_alike(request: HttpRequest, pk: int) -> HttpResponse:
    """One answer for all rows that may be here already."""
    run = get_object_or_404(ImportRun, pk=pk)
    try:
        rows, made = answers.answer_alike(
            run, request.POST.get("answer", ""), by=request.user, today=timezone.localdate(),
            about=request.POST.get("about", ""),
        )  # fmt: skip
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        told = f"{made} things made" if made else "left out, nothing written"
        messages.success(request, f"{rows_in_words(rows)} answered: {told}.")
    return _still_held(pk)


@require_POST
@needs("change", "lists.importrun")
def list_prices(request: HttpRequest, pk: int) -> HttpResponse:
    """Say for all prices of a list at once whether they are for each one or for the row; or take that back."""
    run = get_object_or_404(ImportRun, pk=pk)
    per = request.POST.get("per", "")
    try:
        count = settle_prices(run, per, by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        many = "1 price" if count == 1 else f"{count} prices"
        told = f"said to be {WAYS[per]}" if per else "as the list had them: not said for how many"
        messages.success(request, f"{many} {told}.")
    return redirect("lists:list-in", pk)


@require_POST
@needs("add", "lists.importrow")
def list_count(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Say how many tubes a row is, after counting."""
    kept = get_object_or_404(ImportRow.objects.select_related("run"), run=pk, row=row)
    form = CountForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Give a number from 0 to 1000.")
        return redirect("lists:lists-to-count")
    count = form.cleaned_data["count"]
    try:
        tags, left = answers.answer_count(
            kept, count, by=request.user, today=timezone.localdate(), fewer=may(request.user, "change", "holdings.item")
        )
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        told = f", {len(tags)} written: {tags_told(tags)}" if tags else ""
        told += f", not there and out of the register: {tags_told(left)}" if left else ""
        messages.success(request, f"Row {row}: {count} counted{told}.")
    return redirect("lists:lists-to-count")


@needs("view", "lists.importrow")
def lists_to_count(request: HttpRequest) -> HttpResponse:
    return render(request, "lists/to_count.html", {"page": sheet(request, rows_to_count())})


@needs("view", "lists.importrun")
@needs("add", "holdings.fact", "see the rows of a list as they came: prices stand among their cells")
def list_refused(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The refused rows as they were with why, to be corrected and taken in alone."""
    run = get_object_or_404(ImportRun, pk=pk)
    answer = StreamingHttpResponse(_refused(run), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="refused-{run.pk}.csv"'
    return answer


class _Echo:
    def write(self, text: str) -> str:
        return text


def _refused(run: ImportRun) -> Iterator[bytes]:
    line: Any = csv.writer(_Echo()).writerow  # type: ignore[arg-type]

    def rows() -> Iterator[tuple[Sequence[str], list[dict[str, str]]]]:
        for row in run.rows.filter(outcome=REFUSED).order_by("row").iterator(chunk_size=1000):
            yield row.plain_cells, row.remarks

    yield "\ufeff".encode()
    yield from (line(cells).encode() for cells in take_in.refused_table(run.heading, rows))


@needs("change", "lists.importrun")
def list_undo(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(ImportRun, pk=pk)

    def save(form: Form) -> tuple[str, str]:
        answer = undo.undo(run, by=request.user)
        left = f" Left, since in use: {', '.join(answer['left'][:5])}." if answer["left"] else ""
        gone = undone_in_words(answer["undone"])
        stays = f" Stays as it is: {'; '.join(answer['stays'][:10])}." if answer.get("stays") else ""
        left = f"{stays}{left}"
        if run.came_back:
            back = "1 change is" if answer["cells"] == 1 else f"{answer['cells']} changes are"
            left = f" {back} taken back.{left}"
        but = " but for what stays" if answer.get("stays") else ""
        return f"List {pk} is undone{but}. Out of the register: {gone}.{left}", reverse("lists:list-in", args=[pk])

    return change_page(
        request, lambda data: Form(data), save, heading=f"Undo list {pk}, {run.file_name}", act="Undo it", grave=True,
        back=reverse("lists:list-in", args=[pk]),
        caution=CAUTION_OF_CHANGES if run.came_back else CAUTION_OF_UNDOING,
    )  # fmt: skip


@require_POST
@needs("add", "lists.importrun")
def list_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget a list that was only tried out."""
    run = get_object_or_404(ImportRun, pk=pk)
    try:
        trial.drop_trial(run)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("lists:list-in", pk)
    messages.success(request, f"{run.file_name} is forgotten; nothing of it was in the register.")
    return redirect("lists:lists-in")
