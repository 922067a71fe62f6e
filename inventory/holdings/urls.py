"""Addresses of the holdings area. The tube list and page show fittings too, so the sets area serves those."""

from django.urls import path

from inventory.holdings import pages

urlpatterns = [
    path("tubes/add/", pages.tube_add, name="tube-add"),
    path("tubes/<str:tag>/change/", pages.tube_change, name="tube-change"),
    path("places/", pages.place_list, name="place-list"),
    path("places/add/", pages.place_add, name="place-add"),
    path("places/<int:pk>/", pages.place_page, name="place"),
    path("places/<int:pk>/change/", pages.place_change, name="place-change"),
    path("things/<str:tag>/move/", pages.item_move, name="item-move"),
    path("things/<str:tag>/back/", pages.item_back, name="item-back"),
]
