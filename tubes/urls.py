"""Addresses of the tube area. The type's own page needs the collection too, so a higher area serves it."""

from django.urls import path

from tubes import api, views

urlpatterns = [
    path("types/", views.type_list_page, name="type-list"),
    path("types/add/", views.type_add, name="type-add"),
    path("texts/", views.source_list, name="source-list"),
    path("texts/add/", views.source_add, name="source-add"),
    path("limits/", views.limit_list, name="limit-list"),
    path("limits/<str:key>/change/", views.limit_change, name="limit-change"),
    path("limits/<str:key>/drop/", views.limit_drop, name="limit-drop"),
    path("types/marks/<int:pk>/drop/", views.designation_drop, name="designation-drop"),
    path("types/<path:name>/family/", views.family_page, name="family"),
    path("types/<path:name>/family.pdf", views.family_paper, name="family-pdf"),
    path("types/<path:name>/mark/", views.designation_add, name="designation-add"),
    path("types/<path:name>/figures/drop/", views.rating_drop, name="rating-drop"),
    path("types/<path:name>/figures/", views.rating_write, name="rating-write"),
    path("types/<path:name>/change/", views.type_change, name="type-change"),
]

addresses = {"tubes": urlpatterns, "": [path("api/stamps", api.stamps, name="api-stamps")]}
