"""Addresses of lists in and everything out."""

from django.urls import path

from inventory.lists.views import came_back, lists, many, out, prices, weak_parts

urlpatterns = [
    path("lists/", out.lists, name="lists"),
    path("lists/<slug:name>/out/", out.list_out, name="list-out"),
    path("lists/in/", lists.lists_in, name="lists-in"),
    path("lists/in/add/", lists.list_add, name="list-add"),
    path("lists/in/came-back/", came_back.came_back_add, name="came-back-add"),
    path("lists/in/<int:pk>/came-back/", came_back.came_back_write, name="came-back-write"),
    path("lists/in/<int:pk>/came-back/settle/", came_back.came_back_settle, name="came-back-settle"),
    path("lists/in/to-count/", lists.lists_to_count, name="lists-to-count"),
    path("lists/in/<int:pk>/", lists.list_in, name="list-in"),
    path("lists/in/<int:pk>/columns/", lists.list_columns, name="list-columns"),
    path("lists/in/<int:pk>/progress/", lists.list_progress, name="list-progress"),
    path("lists/in/<int:pk>/write/", lists.list_write, name="list-write"),
    path("lists/in/<int:pk>/drop/", lists.list_drop, name="list-drop"),
    path("lists/in/<int:pk>/undo/", lists.list_undo, name="list-undo"),
    path("lists/in/<int:pk>/refused/", lists.list_refused, name="list-refused"),
    path("lists/in/<int:pk>/prices/", lists.list_prices, name="list-prices"),
    path("lists/in/<int:pk>/alike/", lists.list_alike, name="list-alike"),
    path("lists/in/<int:pk>/rows/<int:row>/answer/", lists.list_answer, name="list-answer"),
    path("lists/in/<int:pk>/rows/<int:row>/count/", lists.list_count, name="list-count"),
]

price_pages = [path("prices/in/", prices.prices_in, name="prices-in")]

weak_part_pages = [path("weak-parts/in/", weak_parts.weak_parts_in, name="weak-parts-in")]

thing_pages = [path("things/change/", many.things_change, name="things-change")]

addresses = {"lists": urlpatterns, "holdings": thing_pages, "valuation": price_pages, "restoration": weak_part_pages}
