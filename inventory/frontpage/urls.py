"""Addresses of the first page; ``type_pages`` belong to the name space of tubes."""

from django.urls import path

from inventory.frontpage import api, views

type_pages = [
    path("types/gaps/", views.gap_list, name="gap-list"),
    path("types/<path:name>/", views.type_page, name="type"),
]

urlpatterns = [
    path("", views.home, name="home"),
    path("group/<slug:key>/", views.group_page, name="group"),
    path("look-up/", views.look_up_page, name="look-up"),
    path("pocket/", views.pocket, name="pocket"),
    path("pocket/saved-copy/", views.pocket_copy, name="pocket-copy"),
    path("health/", views.health, name="health"),
    path("api/lookup", api.lookup, name="api-lookup"),
    path("api/bench", api.bench, name="api-bench"),
]

addresses = {"frontpage": urlpatterns, "tubes": type_pages}
