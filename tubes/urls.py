"""Addresses of the tube area. The type's own page needs the collection too, so a higher area serves it."""

from django.urls import path

from tubes import pages

urlpatterns = [
    path("types/", pages.type_list_page, name="type-list"),
    path("types/add/", pages.type_add, name="type-add"),
    path("texts/", pages.source_list, name="source-list"),
    path("texts/add/", pages.source_add, name="source-add"),
    path("limits/", pages.limit_list, name="limit-list"),
    path("limits/<str:key>/change/", pages.limit_change, name="limit-change"),
    path("limits/<str:key>/drop/", pages.limit_drop, name="limit-drop"),
    path("types/marks/<int:pk>/drop/", pages.designation_drop, name="designation-drop"),
    path("types/<path:name>/mark/", pages.designation_add, name="designation-add"),
    path("types/<path:name>/figures/", pages.rating_write, name="rating-write"),
    path("types/<path:name>/change/", pages.type_change, name="type-change"),
]
