"""Every address of Filamentry. A page belongs to the name space of its subject, whichever area serves it."""

from django.contrib.auth import views as auth
from django.urls import include, path

from inventory.house.areas import patterns_by_space
from inventory.house.guard import LeaveNothing

urlpatterns = [
    *(path("", include((found, space) if space else found)) for space, found in patterns_by_space().items()),
    path("log-in/", auth.LoginView.as_view(), name="login"),
    path("log-out/", LeaveNothing.as_view(), name="logout"),
]
