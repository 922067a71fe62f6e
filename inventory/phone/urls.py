"""Addresses of the phone. The worker stands at the root: its scope is what lies below it."""

from django.urls import path

from inventory.phone import views

urlpatterns = [
    path("phone/", views.page, name="page"),
    path("phone/send/", views.send, name="send"),
    path("worker.js", views.worker, name="worker"),
    path("filamentry.webmanifest", views.manifest, name="manifest"),
    path("api/phone", views.along, name="api-along"),
]

addresses = {"phone": urlpatterns}
