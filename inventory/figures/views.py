"""The collection in figures: the page, and the same on paper."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.figures.forms import FiguresForm
from inventory.figures.queries import Figures, figures
from inventory.figures.wording.sections import printed
from inventory.house.access import may_see_money, needs
from inventory.house.paper import paper_of, pdf_answer, site_of

ROWS = 60  # of a table on the page


def asked(request: HttpRequest, form: FiguresForm) -> Figures:
    """The figures that a request asks for; what cannot be asked counts as not said."""
    wanted = form.asked() if form.is_valid() else {}
    return figures(timezone.localdate(), money=may_see_money(request.user), **wanted)


@needs("view", "holdings.tube")
def figures_page(request: HttpRequest) -> HttpResponse:
    form = FiguresForm(request.GET)
    found = asked(request, form)
    return render(
        request, "figures/figures.html", {"form": form, "found": found, "printed": printed(found).shortened(ROWS)}
    )


@needs("view", "holdings.tube")
def figures_pdf(request: HttpRequest) -> HttpResponse:
    """All of it with every row of its tables."""
    from inventory.house.printed_pdf import printed_pdf  # loads slowly

    found = asked(request, FiguresForm(request.GET))
    address = site_of(request)(request.path.removesuffix("paper/"))
    foot = f"The collection in figures, {found.on}"
    return pdf_answer(printed_pdf(printed(found), address, paper=paper_of(request), foot=foot), "figures")
