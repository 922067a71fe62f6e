"""Pages of tests: the session at walking pace, one test in full, the list, the keeper's last word on a state."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.holdings.models import Tube
from inventory.holdings.queries import tag_in
from inventory.house.access import needs
from inventory.house.edit_pages import person, show_refusal, way_back
from inventory.house.keys import key_of
from inventory.house.records.pages import ASKED, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.running.actions import record_test, set_state
from inventory.running.filters import TestFilter
from inventory.running.forms import SessionForm, TestForm
from inventory.running.models import Instrument, TubeTest, TypeMinimum
from inventory.running.queries import judged, session_so_far, test_list, with_points
from inventory.running.queries.order import LATEST_FIRST

CAUTION = (
    "Tube testers put up to some hundred volts on the socket and the top cap, and some keep a charge: fingers off pins "
    "and caps while a button is down, one hand in the pocket. Glass gets hot enough to burn; a cracked bulb is out. "
    "Mercury rectifiers stay upright and are warmed up first. Local codes and licensed practice come first."
)
KEPT, DONE = "test_kept", "test_done"  # what the session remembers: settings, and the keys of the last tests
STAY = ("instrument", "section", "settings", "filament_v", "line_set", "on", "by_whom")
LAST = 8
NEXT_SECTION = {"1": "2", "2": "1"}


@needs("add", "running.tubetest")
def session(request: HttpRequest) -> HttpResponse:
    """One tube after another. Enter after the tag shows the tube; Enter after the reading saves and goes on."""
    if request.method != "POST":
        form = SessionForm(initial=_start(request))
        if request.headers.get("HX-Request"):  # a tag is being typed
            return render(request, "running/session_tube.html", _tube_context(request.GET))
        return render(request, "running/session.html", _context(request, form, request.GET))
    form = SessionForm(request.POST)
    if _only_the_tag(request.POST) and _known_tag(request.POST):
        form = SessionForm(initial={name: request.POST.get(name, "") for name in SessionForm.base_fields})
        return render(request, "running/session.html", _context(request, form, request.POST, at="reading_text"))
    if form.is_valid() and _save(request, form):
        return redirect("running:session")
    return render(request, "running/session.html", _context(request, form, request.POST), status=422)


def _only_the_tag(typed: Any) -> bool:
    """A scanner sends Enter behind the tag: nothing was read yet, so the tube is shown and nothing saved."""
    read = ("reading_text", "reduced_text", "gas", "noise")
    return not any(typed.get(name) for name in read) and typed.get("shorts") != "found" and "bare" not in typed


def _known_tag(typed: Any) -> bool:
    return Tube.objects.filter(item__tag=tag_in(typed.get("tube", "")), item__gone_on__isnull=True).exists()


def _start(request: HttpRequest) -> dict[str, Any]:
    start: dict[str, Any] = {"on": timezone.localdate(), "by_whom": person(request)}
    kept = dict(request.session.get(KEPT, {}))
    if kept.pop("written_on", "") != str(timezone.localdate()):
        kept.pop("on", None)  # a day later the session is another one
    asked = {name: request.GET[name] for name in ("tube", "instrument", "section") if name in request.GET}
    return start | kept | asked


def _save(request: HttpRequest, form: Any) -> bool:
    row = form.save(commit=False)
    row.tube = form.cleaned_data["tube"]
    try:
        saved = record_test(row, today=timezone.localdate(), by=request.user, odd=form.cleaned_data["odd"])
    except ValidationError as refusal:
        show_refusal(form, refusal)
        return False
    kept = {name: form.data.get(name, "") for name in STAY} | {"written_on": str(timezone.localdate())}
    if saved.shorts != TubeTest.FOUND and saved.section in NEXT_SECTION:
        kept["section"] = NEXT_SECTION[saved.section]
        if saved.section == "1":  # the second section of the same tube comes next
            kept["tube"] = saved.tube.tag
    request.session[KEPT] = kept
    request.session[DONE] = [saved.pk, *request.session.get(DONE, [])][:LAST]
    messages.success(request, f"{saved.tube.tag} is written down.")
    return True


def _context(request: HttpRequest, form: Any, typed: Any, at: str = "") -> dict[str, Any]:
    keys = request.session.get(DONE, [])
    so_far = session_so_far(keys, timezone.localdate())
    waiting = typed.get("tube") or form.initial.get("tube")
    form.fields[at or ("reading_text" if waiting and not form.errors else "tube")].widget.attrs["autofocus"] = True
    shown = {"tube": waiting or "", "instrument": form["instrument"].value() or ""}
    return {"form": form, "done": so_far.lines, "story": so_far.story, "caution": CAUTION, **_tube_context(shown)}


def _tube_context(typed: Any) -> dict[str, Any]:
    """The tube of a tag, and what is usual for its type on that instrument."""
    tag = tag_in(str(typed.get("tube", "")))
    if not tag:
        return {"tag": ""}
    tube = Tube.objects.filter(item__tag=tag).select_related("type", "item__place").first()
    chosen = key_of(str(typed.get("instrument", "")))
    minimums, last = [], None
    if tube and chosen is not None:
        minimums = list(TypeMinimum.objects.filter(type=tube.type_id, instrument=chosen))
        last = tube.tests.filter(instrument=chosen, struck="").order_by(*LATEST_FIRST).first()
    return {"tag": tag, "tube": tube, "minimums": minimums, "last_test": last}


def _usual() -> dict[str, Any]:
    """The instrument, where the house has one alone."""
    keys = list(Instrument.objects.values_list("pk", flat=True)[:2])
    return {"instrument": keys[0]} if len(keys) == 1 else {}


def _test_form(request: HttpRequest, row: TubeTest, heading: str) -> HttpResponse:
    back = way_back(request, row.tube.get_absolute_url())
    kept = {k: v for k, v in request.session.get(KEPT, {}).items() if k in ("instrument", "settings", "filament_v")}

    new = not row.pk

    def make(data: Any) -> Any:
        start = {} if row.pk else {**_usual(), **kept, "on": timezone.localdate(), "by_whom": person(request)}
        return TestForm(data, instance=row, initial=start)

    def save(form: Any) -> tuple[str, str]:
        saved = record_test(
            form.save(commit=False), today=timezone.localdate(), by=request.user, odd=form.cleaned_data["odd"],
            reason=reason_in(form),
        )  # fmt: skip
        if new and saved.instrument_id:  # the next tube is tested on it, too
            request.session[KEPT] = {**request.session.get(KEPT, {}), "instrument": str(saved.instrument_id)}
        (line,) = with_points(judged([saved]))
        verdict = line.verdict
        said = f"{verdict.verdict}. {verdict.reasons[0]}" if verdict else "struck out"
        said += f" {line.point.text}" if line.point else ""
        return f"Test of {saved.tube.tag}, {saved.on}: {said}", back

    caution = " ".join(words for words in (row.tube.type.caution if row.tube.type else "", CAUTION) if words)
    return correct_page(request, row, make, save, why=ASKED, heading=heading, act="Record", back=back, caution=caution)


@needs("add", "running.tubetest")
def test_add(request: HttpRequest, tag: str) -> HttpResponse:
    tube = get_object_or_404(Tube.objects.select_related("item", "type"), item__tag__iexact=tag)
    return _test_form(request, TubeTest(tube=tube), f"Test {tube.tag} ({tube.marked})")


@needs("change", "running.tubetest")
def test_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(TubeTest.objects.select_related("tube__item", "tube__type", "instrument"), pk=pk)
    return _test_form(request, row, f"Correct: test of {row.tube.tag}, {row.on}")


@needs("view", "running.tubetest")
def tests(request: HttpRequest) -> HttpResponse:
    found = TestFilter(request.GET, queryset=test_list())
    page = sheet(request, found.qs)
    return render(
        request, "running/tests.html", {"filter": found, "page": page, "lines": with_points(judged(page.object_list))}
    )


@require_POST
@needs("change", "holdings.tube")
def state_set(request: HttpRequest, tag: str) -> HttpResponse:
    """The keeper's last word, in one tap."""
    tube = get_object_or_404(Tube.objects.select_related("item"), item__tag__iexact=tag)
    state = request.POST.get("state", "")
    try:
        set_state(tube, state, by=request.user, reason="after a test", was=request.POST.get("was", ""))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{tube.tag} is {state} now.")
    if request.POST.get("from") == "session":
        return redirect("running:session")
    return redirect(way_back(request, tube.get_absolute_url()))


@needs("view", "running.instrument")
def home(request: HttpRequest) -> HttpResponse:
    """The doors of this area."""
    context = {
        "lines": with_points(judged(test_list().filter(struck="")[:8])),
        "instruments": Instrument.objects.order_by("name")[:20],
        "caution": CAUTION,
    }
    return render(request, "running/home.html", context)
