"""Parts and hazards as JSON, narrowed by the same filters as the pages; what can replace a part; markings read."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_GET

from inventory.holdings.filters import PartFilter
from inventory.holdings.forms.hazard_register import RegisterForm
from inventory.holdings.queries import part_lots, with_own_number
from inventory.holdings.queries.doubts import with_claims
from inventory.holdings.queries.markings import read_marking
from inventory.holdings.queries.replacement import find_part
from inventory.holdings.rules.markings import MarkingFault
from inventory.holdings.rules.part_text import PartTextFault
from inventory.holdings.views.listed_api import groups_answer, refused, with_columns
from inventory.house.access import may_see_money, needs
from inventory.house.sheets import sheet, sheet_answer


@require_GET
@needs("view", "holdings.partlot")
def find_part_for(request: HttpRequest) -> JsonResponse:
    """``/api/find-part?part=0.01 mfd 400 V bypass``: as ``manage.py find_part`` gives it."""
    try:
        return JsonResponse(find_part(request.GET.get("part", "")).as_dict())
    except PartTextFault as refusal:
        return JsonResponse({"errors": {"part": [str(refusal)]}}, status=400)


@require_GET
@needs("view", "holdings.partlot")
def parts(request: HttpRequest) -> JsonResponse:
    """``/api/parts?kind=capacitor&value_from=0.01 mfd&volts=400 V&page=2``: one sheet of lots; ``count`` is of all.

    ``order``, ``columns`` and ``group`` as of ``/api/tubes``.
    """
    found = PartFilter(request.GET, queryset=with_own_number(part_lots()), money=may_see_money(request.user))
    if refusal := refused(request, "parts", found):
        return refusal
    if request.GET.get("group"):
        return groups_answer(request, "parts", found.qs)
    page = sheet(request, found.qs)
    lots = list(page.object_list)
    with_claims(lot.item for lot in lots)
    rows = [
        {
            "tag": lot.tag, "name": lot.name, "as_found": lot.value, "maker": lot.maker, "serial": lot.serial or None,
            "kind": lot.type.kind if lot.type else None, "what": str(lot.type) if lot.type else None,
            "value": lot.type.value if lot.type else None, "unit": lot.type.unit if lot.type else None,
            "tolerance_pct": lot.type.tolerance_pct if lot.type else None,
            "volts": lot.type.volts if lot.type else None, "watts": lot.type.watts if lot.type else None,
            "amps": lot.type.amps if lot.type else None,
            "construction": lot.type.construction if lot.type else None,
            "class": (lot.type.safety_class or None) if lot.type else None,
            "least": lot.least, "most": lot.most, "duds": lot.duds,
            "place": lot.item.place.path if lot.item.place else None, "lent_to": lot.item.lent_to or None,
            **({"reserved": [claim.text for claim in lot.item.claims]} if lot.item.claims else {}),
        }
        for lot in lots
    ]  # fmt: skip
    return sheet_answer(page, "parts", with_columns(request, "parts", found.qs, lots, rows))


@require_GET
@needs("view", "holdings.hazardmark")
def hazards(request: HttpRequest) -> JsonResponse:
    """``/api/hazards?place=3&standing=borne&page=2``: rows as ``manage.py hazards`` gives them, a sheet at a time."""
    form = RegisterForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    page = sheet(request, form.found()[1])
    return sheet_answer(page, "hazards", [one.as_dict() for one in page.object_list])


@require_GET
@needs("view", "holdings.partlot")
def markings(request: HttpRequest) -> JsonResponse:
    """``/api/markings?text=RC20BF103K&kind=type-designation``: as ``manage.py decode_marking`` gives it."""
    try:
        return JsonResponse(read_marking(request.GET.get("text", ""), request.GET.get("kind") or None).as_dict())
    except ValueError as refusal:
        at = "text" if isinstance(refusal, MarkingFault) else "kind"
        return JsonResponse({"errors": {at: [str(refusal)]}}, status=400)
