"""Addresses of the holdings area. The tube list and page show fittings too, so the sets area serves those."""

from django.urls import path

from inventory.holdings import pages
from inventory.holdings.pages import labels, papers

urlpatterns = [
    path("tubes/add/", pages.tube_add, name="tube-add"),
    path("tubes/<str:tag>/change/", pages.tube_change, name="tube-change"),
    path("places/", pages.place_list, name="place-list"),
    path("places/add/", pages.place_add, name="place-add"),
    path("places/<int:pk>/", pages.place_page, name="place"),
    path("places/<int:pk>/change/", pages.place_change, name="place-change"),
    path("places/lists/", labels.place_lists, name="place-lists"),
    path("places/lists/print/", labels.place_lists_print, name="place-lists-print"),
    path("places/<int:pk>/list/", labels.place_contents, name="place-contents"),
    path("places/<int:pk>/list/print/", labels.place_contents_print, name="place-contents-print"),
    path("things/<str:tag>/papers/add/", papers.paper_add, name="paper-add"),
    path("papers/<int:pk>/", papers.paper_page, name="paper"),
    path("papers/<int:pk>/file/", papers.paper_file, name="paper-file"),
    path("papers/<int:pk>/small/", papers.paper_small, name="paper-small"),
    path("papers/<int:pk>/change/", papers.paper_change, name="paper-change"),
    path("papers/<int:pk>/remove/", papers.paper_remove, name="paper-remove"),
    path("things/<str:tag>/move/", pages.item_move, name="item-move"),
    path("things/<str:tag>/back/", pages.item_back, name="item-back"),
    path("shelf/", pages.shelf, name="shelf"),
    path("shelf/take-back/", pages.shelf_take_back, name="shelf-take-back"),
    path("things/move/", pages.things_move, name="things-move"),
    path("places/<int:pk>/move/", pages.place_move, name="place-move"),
    path("stock-takes/", pages.count_list, name="place-counts"),
    path("stock-takes/begin/", pages.count_begin, name="place-count-begin"),
    path("stock-takes/<int:pk>/", pages.count_page, name="place-count"),
    path("stock-takes/<int:pk>/scan/", pages.count_scan, name="place-count-scan"),
    path("stock-takes/<int:pk>/tick/", pages.count_tick, name="place-count-tick"),
    path("stock-takes/<int:pk>/close/", pages.count_close, name="place-count-close"),
    path("parts/", pages.part_list, name="part-list"),
    path("parts/add/", pages.part_add, name="part-add"),
    path("parts/<str:tag>/", pages.part_page, name="part"),
    path("parts/<str:tag>/change/", pages.part_change, name="part-change"),
    path("things/<str:tag>/hazards/", pages.item_hazards, name="item-hazards"),
    path("things/<str:tag>/hazards/add/", pages.hazard_add, name="hazard-add"),
    path("hazards/<int:pk>/", pages.hazard_settle, name="hazard-settle"),
    path("things/<str:tag>/facts/add/", pages.fact_add, name="fact-add"),
    path("facts/<int:pk>/strike/", pages.fact_strike, name="fact-strike"),
]
