"""Addresses of lists in and everything out."""

from django.urls import path

from inventory.exchange.pages import out

urlpatterns = [
    path("lists/", out.lists, name="lists"),
    path("lists/<slug:name>/out/", out.list_out, name="list-out"),
]
