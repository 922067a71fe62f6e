"""Addresses of the first page; ``type_pages`` belong to the name space of tubes."""

from django.urls import path

from inventory.frontpage import api, pages

type_pages = [path("types/<path:name>/", pages.type_page, name="type")]

urlpatterns = [
    path("", pages.home, name="home"),
    path("look-up/", pages.look_up_page, name="look-up"),
    path("pocket/", pages.pocket, name="pocket"),
    path("pocket/saved-copy/", pages.pocket_copy, name="pocket-copy"),
    path("health/", pages.health, name="health"),
    path("api/lookup", api.lookup, name="api-lookup"),
    path("api/bench", api.bench, name="api-bench"),
]
