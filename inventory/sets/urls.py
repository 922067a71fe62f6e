"""Addresses of the sets area; ``tube_pages`` belong to the name space of holdings, ``type_pages`` to that of tubes."""

from django.urls import path

from inventory.holdings.views.labels import label_sheet
from inventory.sets import api
from inventory.sets.filters import OwnedTubeFilter
from inventory.sets.views import filaments, fitting, seating, set_models, stand_ins, substitutes, things

tube_pages = [
    path("tubes/", things.tube_list, name="tube-list"),
    path("labels/", label_sheet, {"narrow": OwnedTubeFilter}, name="label-sheet"),
]

type_pages = [path("types/<path:name>/instead/", substitutes.type_instead, name="type-instead")]

urlpatterns = [
    path("sets/", things.chassis_list, name="chassis-list"),
    path("sets/add/", things.chassis_add, name="chassis-add"),
    path("sets/<str:tag>/change/", things.chassis_change, name="chassis-change"),
    path("sets/<str:tag>/fit/<int:pk>/", fitting.tube_fit, name="tube-fit"),
    path("sets/<str:tag>/bay/<int:pk>/", seating.unit_seat, name="seat"),
    path("fittings/<int:pk>/out/", fitting.tube_out, name="tube-out"),
    path("fittings/<int:pk>/correct/", fitting.fitting_correct, name="fitting-correct"),
    path("seatings/<int:pk>/correct/", seating.seating_correct, name="seating-correct"),
    path("seatings/<int:pk>/out/", seating.unit_out, name="seat-out"),
    path("set-models/add/", set_models.model_add, name="model-add"),
    path("set-models/<int:pk>/", set_models.model_page, name="model"),
    path("set-models/<int:pk>/change/", set_models.model_change, name="model-change"),
    path("set-models/<int:pk>/position/", set_models.position_add, name="position-add"),
    path("set-models/<int:pk>/bay/", set_models.bay_add, name="bay-add"),
    path("positions/<int:pk>/", set_models.position_change, name="position-change"),
    path("sets/<str:tag>/filaments/", filaments.chassis_filaments, name="chassis-filaments"),
    path("set-models/<int:pk>/filaments/", filaments.model_filaments, name="model-filaments"),
    path("positions/<int:pk>/what-fits/", substitutes.position_page, name="position"),
    path("positions/<int:pk>/approval/", substitutes.approval_add, name="approval-add"),
    path("approvals/<int:pk>/drop/", substitutes.approval_drop, name="approval-drop"),
    path("set-models/<int:pk>/stand-in/", stand_ins.stand_in_add, name="stand-in-add"),
    path("stand-ins/<int:pk>/", stand_ins.stand_in_change, name="stand-in-change"),
    path("stand-ins/<int:pk>/strike/", stand_ins.stand_in_strike, name="stand-in-strike"),
    path("sets/<str:tag>/stand-in/", stand_ins.fitted_add, name="stand-in-fitted"),
    path("stand-ins-fitted/<int:pk>/", stand_ins.fitted_change, name="stand-in-fitted-change"),
    path("api/stand-ins", stand_ins.api_stand_ins, name="api-stand-ins"),
    path("units/", things.unit_list, name="unit-list"),
    path("units/add/", things.unit_add, name="unit-add"),
    path("units/<str:tag>/change/", things.unit_change, name="unit-change"),
    path("unit-models/add/", set_models.unit_model_add, name="unit-model-add"),
    path("unit-models/<int:pk>/change/", set_models.unit_model_change, name="unit-model-change"),
    path("api/substitutes", substitutes.api_substitutes, name="api-substitutes"),
    path("api/tubes", api.tubes, name="api-tubes"),
]

addresses = {"sets": urlpatterns, "holdings": tube_pages, "tubes": type_pages}
