"""Addresses of the restoration area."""

from django.urls import path

from inventory.restoration import api
from inventory.restoration.views import lines, plans, progress, reserving, spares, start_sheet, weak

urlpatterns = [
    path("restorations/", plans.plan_list, name="plan-list"),
    path("restorations/add/", plans.plan_add, name="plan-add"),
    path("restorations/assignment/", reserving.assignment, name="assignment"),
    path("restorations/<int:pk>/", plans.plan_page, name="plan"),
    path("restorations/<int:pk>/spares/", spares.plan_spares, name="plan-spares"),
    path("restorations/<int:pk>/change/", plans.plan_change, name="plan-change"),
    path("restorations/<int:pk>/reserve/", reserving.reserve_proposed, name="reserve-all"),
    path("restorations/<int:pk>/release/", reserving.release_everything, name="release-all"),
    path("restorations/<int:pk>/reserve/<str:tag>/<int:position>/", reserving.reserve_one, name="reserve-one"),
    path("restorations/<int:pk>/line/", lines.requirement_add, name="requirement-add"),
    path("restorations/<int:pk>/work/", lines.work_add, name="work-add"),
    path("restorations/<int:pk>/start/<str:tag>/", start_sheet.page, name="start-sheet"),
    path("restorations/<int:pk>/start/<str:tag>/paper/", start_sheet.paper, name="start-sheet-paper"),
    path("restorations/<int:pk>/start/<str:tag>/found/", start_sheet.findings_add, name="findings-add"),
    path("restorations/<int:pk>/progress/", progress.progress_page, name="progress"),
    path("restorations/<int:pk>/report/", progress.report_page, name="report"),
    path("restorations/<int:pk>/report/paper/", progress.report_paper, name="report-paper"),
    path("findings/<int:pk>/", start_sheet.finding_change, name="finding-change"),
    path("findings/<int:pk>/strike/", start_sheet.finding_strike, name="finding-strike"),
    path("reservations/<int:pk>/release/", reserving.release_one, name="release"),
    path("requirements/<int:pk>/", lines.requirement_change, name="requirement-change"),
    path("restorations/<int:pk>/reserve-parts/", reserving.reserve_of_lots, name="reserve-parts"),
    path("requirements/<int:pk>/release/", reserving.release_of_line, name="release-parts"),
    path("requirements/<int:pk>/at-hand/", lines.requirement_here, name="requirement-here"),
    path("requirements/<int:pk>/strike/", lines.requirement_strike, name="requirement-strike"),
    path("works/<int:pk>/", lines.work_change, name="work-change"),
    path("works/<int:pk>/strike/", lines.work_strike, name="work-strike"),
    path("sets/<str:tag>/readiness/", plans.set_page, name="set"),
    path("sets/<str:tag>/readiness/spares/", spares.set_spares, name="set-spares"),
    path("spares/", spares.spares, name="spares"),
    path("spares/want/", spares.want, name="spares-want"),
    path("spares/take-back/", spares.unwant, name="spares-unwant"),
    path("set-models/<int:pk>/weak-part/", weak.weak_add, name="weak-add"),
    path("weak-parts/<int:pk>/word/", weak.word_add, name="weak-word-add"),
    path("weak-words/<int:pk>/", weak.word_change, name="weak-word-change"),
    path("weak-words/<int:pk>/strike/", weak.word_strike, name="weak-word-strike"),
    path("weak-parts/<int:pk>/", weak.weak_change, name="weak-change"),
    path("api/readiness", api.readiness_of, name="api-readiness"),
    path("api/allocation", api.allocation, name="api-allocation"),
    path("api/spares", api.spares, name="api-spares"),
    path("api/buying-order", api.buying_order, name="api-buying-order"),
]

addresses = {"restoration": urlpatterns}
