"""Addresses of the pairing area; ``set_pages`` belong to the name space of sets."""

from django.urls import path

from inventory.pairing import api, views

set_pages = [
    path("sets/<str:tag>/", views.chassis_page, name="chassis"),
    path("units/<str:tag>/", views.unit_page, name="unit"),
]

urlpatterns = [
    path("pairings/", views.table, name="table"),
    path("pairings/neutralize/", views.neutralize, name="neutralize"),
    path("pairings/disturb/", views.disturb, name="disturb"),
    path("pairings/station/", views.station, name="station"),
    path("pairings/null-finder/", views.null_finder, name="null-finder"),
    path("pairings/<str:chassis>/<str:unit>/", views.pair_page, name="pair"),
    path("on-air/<str:tag>/", views.on_air_page, name="on-air"),
    path("on-air/<str:tag>/record/", views.on_air_add, name="on-air-add"),
    path("on-air-records/<int:pk>/", views.on_air_correct, name="on-air-correct"),
    path("set-models/<int:pk>/bridge/", views.bridge_page, name="bridge"),
    path("set-models/<int:pk>/bridge/change/", views.bridge_set, name="bridge-set"),
    path("neutralizations/<int:pk>/", views.neutralization, name="neutralization"),
    path("neutralizations/<int:pk>/correct/", views.neutralization_correct, name="neutralization-correct"),
    path("disturbances/<int:pk>/", views.disturbance, name="disturbance"),
    path("disturbances/<int:pk>/correct/", views.disturbance_correct, name="disturbance-correct"),
    path("ledger/<str:side>/<str:tag>/", views.ledger, name="ledger"),
    path("ledger/<str:kind>/<int:pk>/strike/", views.event_strike, name="event-strike"),
    path("comparisons/<int:pk>/", views.comparison_correct, name="comparison-correct"),
    path("companions/", views.companion_list, name="companion-list"),
    path("mated-sets/add/", views.mated_add, name="mated-add"),
    path("mated-sets/<int:pk>/", views.mated_page, name="mated"),
    path("mated-sets/<int:pk>/change/", views.mated_change, name="mated-change"),
    path("mated-sets/<int:pk>/pieces/add/", views.mated_part_add, name="mated-part-add"),
    path("mated-pieces/<int:pk>/", views.mated_part_change, name="mated-part-change"),
    path("companions/add/", views.companion_add, name="companion-add"),
    path("companions/kinds/add/", views.companion_kind_add, name="companion-kind-add"),
    path("companions/kinds/<int:pk>/change/", views.companion_kind_change, name="companion-kind-change"),
    path("companions/<str:tag>/", views.companion_page, name="companion"),
    path("companions/<str:tag>/change/", views.companion_change, name="companion-change"),
    path("companions/<str:tag>/compare/", views.companion_compare, name="companion-compare"),
    path("api/pairings", api.pairings, name="api-pairings"),
]

addresses = {"pairing": urlpatterns, "sets": set_pages}
