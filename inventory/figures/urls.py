"""Addresses of the figures."""

from django.urls import path

from inventory.figures import api, views

urlpatterns = [
    path("figures/", views.figures_page, name="figures"),
    path("figures/paper/", views.figures_pdf, name="figures-pdf"),
    path("api/figures", api.figures, name="api-figures"),
]

addresses = {"figures": urlpatterns}
