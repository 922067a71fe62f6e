"""Addresses of the sets area; ``tube_pages`` belong to the name space of holdings, ``type_pages`` to that of tubes."""

from django.urls import path

from inventory.holdings.views.labels import label_sheet
from inventory.sets import api, views
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.views import filaments, substitutes

tube_pages = [
    path("tubes/", views.tube_list, name="tube-list"),
    path("labels/", label_sheet, {"narrow": OwnedTubeFilter}, name="label-sheet"),
    path("things/<str:tag>/lend/", views.item_lend, name="item-lend"),
    path("things/<str:tag>/part-with/", views.item_part_with, name="item-part-with"),
]

type_pages = [path("types/<path:name>/instead/", substitutes.type_instead, name="type-instead")]

urlpatterns = [
    path("sets/", views.chassis_list, name="chassis-list"),
    path("sets/add/", views.chassis_add, name="chassis-add"),
    path("sets/<str:tag>/change/", views.chassis_change, name="chassis-change"),
    path("sets/<str:tag>/fit/<int:pk>/", views.tube_fit, name="tube-fit"),
    path("sets/<str:tag>/bay/<int:pk>/", views.unit_seat, name="seat"),
    path("fittings/<int:pk>/out/", views.tube_out, name="tube-out"),
    path("fittings/<int:pk>/correct/", views.fitting_correct, name="fitting-correct"),
    path("seatings/<int:pk>/correct/", views.seating_correct, name="seating-correct"),
    path("seatings/<int:pk>/out/", views.unit_out, name="seat-out"),
    path("set-models/add/", views.model_add, name="model-add"),
    path("set-models/<int:pk>/", views.model_page, name="model"),
    path("set-models/<int:pk>/change/", views.model_change, name="model-change"),
    path("set-models/<int:pk>/position/", views.position_add, name="position-add"),
    path("set-models/<int:pk>/bay/", views.bay_add, name="bay-add"),
    path("positions/<int:pk>/", views.position_change, name="position-change"),
    path("sets/<str:tag>/filaments/", filaments.chassis_filaments, name="chassis-filaments"),
    path("set-models/<int:pk>/filaments/", filaments.model_filaments, name="model-filaments"),
    path("positions/<int:pk>/what-fits/", substitutes.position_page, name="position"),
    path("positions/<int:pk>/approval/", substitutes.approval_add, name="approval-add"),
    path("approvals/<int:pk>/drop/", substitutes.approval_drop, name="approval-drop"),
    path("units/", views.unit_list, name="unit-list"),
    path("units/add/", views.unit_add, name="unit-add"),
    path("units/<str:tag>/change/", views.unit_change, name="unit-change"),
    path("unit-models/add/", views.unit_model_add, name="unit-model-add"),
    path("unit-models/<int:pk>/change/", views.unit_model_change, name="unit-model-change"),
    path("api/substitutes", substitutes.api_substitutes, name="api-substitutes"),
    path("api/tubes", api.tubes, name="api-tubes"),
]

pages = {"sets": urlpatterns, "holdings": tube_pages, "tubes": type_pages}
