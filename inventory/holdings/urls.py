"""Addresses of the holdings area. The tube list and page show fittings too, so the sets area serves those."""

from django.urls import path

from inventory.holdings import api, views
from inventory.holdings.views import labels, loans, markings, papers, parting

urlpatterns = [
    path("tubes/add/", views.tube_add, name="tube-add"),
    path("tubes/settle/<path:name>/", views.tubes_settle, name="tubes-settle"),
    path("tubes/<str:tag>/change/", views.tube_change, name="tube-change"),
    path("places/", views.place_list, name="place-list"),
    path("places/add/", views.place_add, name="place-add"),
    path("places/<int:pk>/", views.place_page, name="place"),
    path("places/<int:pk>/change/", views.place_change, name="place-change"),
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
    path("things/<str:tag>/move/", views.item_move, name="item-move"),
    path("things/<str:tag>/back/", loans.item_back, name="item-back"),
    path("things/<str:tag>/lend/", loans.item_lend, name="item-lend"),
    path("things/<str:tag>/on-loan/", loans.item_borrow, name="item-borrow"),
    path("loans/", loans.loan_list, name="loan-list"),
    path("loans/<int:pk>/", loans.loan_page, name="loan"),
    path("loans/<int:pk>/change/", loans.loan_change, name="loan-change"),
    path("loans/<int:pk>/give-back/", loans.loan_give_back, name="loan-give-back"),
    path("things/<str:tag>/part-with/", parting.item_part_with, name="item-part-with"),
    path("shelf/", views.shelf, name="shelf"),
    path("shelf/take-back/", views.shelf_take_back, name="shelf-take-back"),
    path("things/move/", views.things_move, name="things-move"),
    path("places/<int:pk>/move/", views.place_move, name="place-move"),
    path("stock-takes/", views.count_list, name="place-counts"),
    path("stock-takes/begin/", views.count_begin, name="place-count-begin"),
    path("stock-takes/<int:pk>/", views.count_page, name="place-count"),
    path("stock-takes/<int:pk>/scan/", views.count_scan, name="place-count-scan"),
    path("stock-takes/<int:pk>/tick/", views.count_tick, name="place-count-tick"),
    path("stock-takes/<int:pk>/close/", views.count_close, name="place-count-close"),
    path("stock-takes/<int:pk>/forget/", views.count_drop, name="place-count-drop"),
    path("parts/", views.part_list, name="part-list"),
    path("parts/add/", views.part_add, name="part-add"),
    path("parts/decode/", markings.part_marking, name="part-marking"),
    path("api/markings", api.markings, name="api-markings"),
    path("parts/<str:tag>/", views.part_page, name="part"),
    path("parts/<str:tag>/change/", views.part_change, name="part-change"),
    path("things/<str:tag>/hazards/", views.item_hazards, name="item-hazards"),
    path("things/<str:tag>/hazards/add/", views.hazard_add, name="hazard-add"),
    path("hazards/<int:pk>/", views.hazard_settle, name="hazard-settle"),
    path("things/<str:tag>/facts/add/", views.fact_add, name="fact-add"),
    path("facts/<int:pk>/strike/", views.fact_strike, name="fact-strike"),
]

addresses = {"holdings": urlpatterns}
