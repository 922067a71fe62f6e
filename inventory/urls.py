"""Every address of Filamentry. A page belongs to the name space of its subject, whichever area serves it."""

from django.contrib.auth import views as auth
from django.urls import include, path

import inventory.frontpage.urls as frontpage
import inventory.holdings.urls as holdings
import inventory.lists.urls as lists
import inventory.pairing.urls as pairing
import inventory.running.urls as running
import inventory.sets.urls as sets
import tubes.api as tubes_api
import tubes.urls as tubes

urlpatterns = [
    path("", include((frontpage.urlpatterns, "frontpage"))),
    path("", include(([*tubes.urlpatterns, *sets.type_pages, *frontpage.type_pages], "tubes"))),
    path("", include(([*holdings.urlpatterns, *sets.tube_pages, *running.tube_pages], "holdings"))),
    path("", include(([*sets.urlpatterns, *pairing.set_pages], "sets"))),
    path("", include((pairing.urlpatterns, "pairing"))),
    path("", include((running.urlpatterns, "running"))),
    path("", include((lists.urlpatterns, "lists"))),
    path("api/stamps", tubes_api.stamps, name="api-stamps"),
    path("log-in/", auth.LoginView.as_view(), name="login"),
    path("log-out/", auth.LogoutView.as_view(), name="logout"),
]
