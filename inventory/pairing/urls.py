"""Addresses of the pairing area; ``set_pages`` belong to the name space of sets."""

from django.urls import path

from inventory.pairing import api, pages

set_pages = [
    path("sets/<str:tag>/", pages.chassis_page, name="chassis"),
    path("units/<str:tag>/", pages.unit_page, name="unit"),
]

urlpatterns = [
    path("pairings/", pages.table, name="table"),
    path("pairings/neutralize/", pages.neutralize, name="neutralize"),
    path("pairings/disturb/", pages.disturb, name="disturb"),
    path("pairings/station/", pages.station, name="station"),
    path("pairings/null-finder/", pages.null_finder, name="null-finder"),
    path("pairings/<str:chassis>/<str:unit>/", pages.pair_page, name="pair"),
    path("on-air/<str:tag>/", pages.on_air_page, name="on-air"),
    path("on-air/<str:tag>/record/", pages.on_air_add, name="on-air-add"),
    path("on-air-records/<int:pk>/", pages.on_air_correct, name="on-air-correct"),
    path("set-models/<int:pk>/bridge/", pages.bridge_page, name="bridge"),
    path("set-models/<int:pk>/bridge/change/", pages.bridge_set, name="bridge-set"),
    path("neutralizations/<int:pk>/", pages.neutralization, name="neutralization"),
    path("neutralizations/<int:pk>/correct/", pages.neutralization_correct, name="neutralization-correct"),
    path("disturbances/<int:pk>/", pages.disturbance, name="disturbance"),
    path("disturbances/<int:pk>/correct/", pages.disturbance_correct, name="disturbance-correct"),
    path("ledger/<str:side>/<str:tag>/", pages.ledger, name="ledger"),
    path("ledger/<str:kind>/<int:pk>/strike/", pages.event_strike, name="event-strike"),
    path("comparisons/<int:pk>/", pages.comparison_correct, name="comparison-correct"),
    path("companions/", pages.companion_list, name="companion-list"),
    path("mated-sets/add/", pages.mated_add, name="mated-add"),
    path("mated-sets/<int:pk>/", pages.mated_page, name="mated"),
    path("mated-sets/<int:pk>/change/", pages.mated_change, name="mated-change"),
    path("mated-sets/<int:pk>/pieces/add/", pages.mated_part_add, name="mated-part-add"),
    path("mated-pieces/<int:pk>/", pages.mated_part_change, name="mated-part-change"),
    path("companions/add/", pages.companion_add, name="companion-add"),
    path("companions/kinds/add/", pages.companion_kind_add, name="companion-kind-add"),
    path("companions/<str:tag>/", pages.companion_page, name="companion"),
    path("companions/<str:tag>/change/", pages.companion_change, name="companion-change"),
    path("companions/<str:tag>/compare/", pages.companion_compare, name="companion-compare"),
    path("api/pairings", api.pairings, name="api-pairings"),
]
