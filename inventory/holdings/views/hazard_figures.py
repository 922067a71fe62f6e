"""The page of figures for hazards: a bank of capacitors, RF fields, lifting."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.holdings.forms.hazard_figures import BankForm, FieldForm, LiftForm
from inventory.house.access import needs

FORMS = {"bank": BankForm, "fields": FieldForm, "lift": LiftForm}


@needs("view", "holdings.hazardmark")
def hazard_figures(request: HttpRequest) -> HttpResponse:
    """``?of=bank&capacitors=8 mfd&volts=1050 V``; ``of``: which of the three is asked."""
    of = request.GET.get("of", "")
    forms = {name: form(request.GET if name == of else None, auto_id=f"{name}_%s") for name, form in FORMS.items()}
    wrong = of in forms and not forms[of].is_valid()
    return render(request, "holdings/hazard_figures.html", forms, status=422 if wrong else 200)
