"""Addresses of the sets area; ``tube_pages`` belong to the name space of holdings, ``type_pages`` to that of tubes."""

from django.urls import path

from inventory.holdings.pages.labels import label_sheet
from inventory.sets import api, pages
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.pages import filaments, substitutes

tube_pages = [
    path("tubes/", pages.tube_list, name="tube-list"),
    path("labels/", label_sheet, {"narrow": OwnedTubeFilter}, name="label-sheet"),
    path("things/<str:tag>/lend/", pages.item_lend, name="item-lend"),
    path("things/<str:tag>/part-with/", pages.item_part_with, name="item-part-with"),
]

type_pages = [path("types/<path:name>/instead/", substitutes.type_instead, name="type-instead")]

urlpatterns = [
    path("sets/", pages.chassis_list, name="chassis-list"),
    path("sets/add/", pages.chassis_add, name="chassis-add"),
    path("sets/<str:tag>/change/", pages.chassis_change, name="chassis-change"),
    path("sets/<str:tag>/fit/<int:pk>/", pages.tube_fit, name="tube-fit"),
    path("sets/<str:tag>/bay/<int:pk>/", pages.unit_seat, name="seat"),
    path("fittings/<int:pk>/out/", pages.tube_out, name="tube-out"),
    path("fittings/<int:pk>/correct/", pages.fitting_correct, name="fitting-correct"),
    path("seatings/<int:pk>/correct/", pages.seating_correct, name="seating-correct"),
    path("seatings/<int:pk>/out/", pages.unit_out, name="seat-out"),
    path("set-models/add/", pages.model_add, name="model-add"),
    path("set-models/<int:pk>/", pages.model_page, name="model"),
    path("set-models/<int:pk>/change/", pages.model_change, name="model-change"),
    path("set-models/<int:pk>/position/", pages.position_add, name="position-add"),
    path("set-models/<int:pk>/bay/", pages.bay_add, name="bay-add"),
    path("positions/<int:pk>/", pages.position_change, name="position-change"),
    path("sets/<str:tag>/filaments/", filaments.chassis_filaments, name="chassis-filaments"),
    path("set-models/<int:pk>/filaments/", filaments.model_filaments, name="model-filaments"),
    path("positions/<int:pk>/what-fits/", substitutes.position_page, name="position"),
    path("positions/<int:pk>/approval/", substitutes.approval_add, name="approval-add"),
    path("approvals/<int:pk>/drop/", substitutes.approval_drop, name="approval-drop"),
    path("units/", pages.unit_list, name="unit-list"),
    path("units/add/", pages.unit_add, name="unit-add"),
    path("units/<str:tag>/change/", pages.unit_change, name="unit-change"),
    path("unit-models/add/", pages.unit_model_add, name="unit-model-add"),
    path("unit-models/<int:pk>/change/", pages.unit_model_change, name="unit-model-change"),
    path("api/substitutes", substitutes.api_substitutes, name="api-substitutes"),
    path("api/tubes", api.tubes, name="api-tubes"),
]
