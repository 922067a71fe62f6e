"""What fits instead: for a position, for a type; where a tube could serve; approvals; before a tube is fitted."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from inventory.house.access import needs
from inventory.house.concerns import undone_by_another_tube
from inventory.house.edit_pages import change_page
from inventory.sets.actions import drop_approval, save_approval
from inventory.sets.forms import ApprovalForm
from inventory.sets.models import Approval, Position
from inventory.sets.queries.sockets import conditions_of, sockets_here
from inventory.sets.queries.substitutes import Candidate, asked_for, substitutes_of, where_it_serves
from inventory.sets.wording import NOTHING_TO_JUDGE_BY, all_unsuitable
from tubes.forms import ConditionsForm, TypeField
from tubes.models import TubeType
from tubes.queries.judging import court
from tubes.rules.judge_parts import CARE, UNSUITABLE, VERDICTS, Conditions

SHOWN = 25
ON_PAPER = 40  # of those that serve, or of which something was said here: a page or two


def _shown(request: HttpRequest, candidates: list[Candidate]) -> dict[str, Any]:
    """The candidates of the verdict that was asked for; without one, all but the unsuitable."""
    verdict = request.GET.get("verdict", "")
    counts = [(name, sum(1 for c in candidates if c.judgement.verdict == name)) for name in VERDICTS]
    if verdict in VERDICTS:
        rows = [c for c in candidates if c.judgement.verdict == verdict]
    else:
        rows = [c for c in candidates if c.judgement.rank != UNSUITABLE or c.words]
    page = Paginator(rows, SHOWN).get_page(request.GET.get("page"))
    asked = request.GET.copy()
    for name in ("verdict", "page"):
        asked.pop(name, None)
    paged = request.GET.copy()
    paged.pop("page", None)
    kept = {"asked": asked.urlencode(), "paged": paged.urlencode()}
    told = {"judged": len(candidates), "all_unsuitable": all_unsuitable(len(candidates))}
    serving = [c for c in candidates if c.judgement.rank <= CARE or c.words]
    told |= {"paper": serving[:ON_PAPER], "paper_left": max(0, len(serving) - ON_PAPER)}
    return {
        "page": page, "counts": counts, "verdict": verdict, "nothing_to_judge_by": NOTHING_TO_JUDGE_BY, **told, **kept
    }  # fmt: skip


@needs("view", "sets.position")
def position_page(request: HttpRequest, pk: int) -> HttpResponse:
    position = get_object_or_404(Position.objects.select_related("set_model", "type"), pk=pk)
    context: dict[str, Any] = {"position": position, "approvals": position.approvals.select_related("type")}
    if position.type:
        context["undone"] = undone_by_another_tube(None, position)
        context["conditions"] = conditions_of(position)
        try:
            context |= _shown(request, substitutes_of(position.type.name, context["conditions"], position))
        except ValueError as fault:
            context["refused"] = str(fault)
    return render(request, "sets/position.html", context)


@needs("view", "tubes.tubetype")
def type_instead(request: HttpRequest, name: str) -> HttpResponse:
    if not TubeType.objects.filter(name=name).exists():
        raise Http404(f"No type {name} is known here.")
    form = ConditionsForm(request.GET or None)
    conditions = form.conditions() if form.is_bound and form.is_valid() else Conditions()
    judges, sockets = court(), sockets_here()
    services, refused = where_it_serves(name, judges, sockets)
    context: dict[str, Any] = {"name": name, "form": form, "services": services, "refused": refused}
    try:
        context |= _shown(request, substitutes_of(name, conditions, judges=judges, sockets=sockets))
    except ValueError as refusal:
        form.add_error(None, str(refusal))
    return render(request, "sets/instead.html", context)


@needs("change", "sets.approval")
def approval_add(request: HttpRequest, pk: int) -> HttpResponse:
    position = get_object_or_404(Position.objects.select_related("set_model", "type"), pk=pk)
    back = reverse("sets:position", args=[pk])

    def save(form: Any) -> tuple[str, str]:
        row = save_approval(form.save(commit=False), today=timezone.localdate(), by=request.user)
        return f"{row.type}: {row.get_verdict_display()}, written for {position} alone.", back

    def make(data: Any) -> Any:
        start = {"type": request.GET.get("type", ""), "on": timezone.localdate()}
        return ApprovalForm(data, initial=start, instance=Approval(position=position))

    return change_page(
        request, make, save, heading=f"A word on {position}", act="Write", back=back,
        caution="An approval for one position of one set model is none for another. It is shown beside the judge's "
        "findings and hides none of them.",
    )  # fmt: skip


@require_POST
@needs("delete", "sets.approval")
def approval_drop(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Approval, pk=pk)
    position = row.position_id
    drop_approval(row, by=request.user)
    return redirect("sets:position", position)


@require_GET
@needs("view", "tubes.tubetype")
def api_substitutes(request: HttpRequest) -> JsonResponse:
    """``/api/substitutes?type=VT-231&plate_v=250`` or ``?position=MODEL:V101``: candidates, best first.

    As in the command, a type and values beside a position stand before those of the position.
    """
    form = ConditionsForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    try:
        where = request.GET.get("position", "")
        kind = TypeField(required=not where).clean(request.GET.get("type", ""))
        wanted, found = asked_for(kind.name if kind else "", where, form.conditions())
    except ValidationError as refusal:
        return JsonResponse({"errors": {"__all__": refusal.messages}}, status=400)
    except ValueError as refusal:
        return JsonResponse({"errors": {"__all__": [str(refusal)]}}, status=400)
    return JsonResponse({"wanted": wanted, "candidates": [one.as_dict() for one in found]})
