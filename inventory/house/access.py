"""Who may do what: the only place that knows.

Three roles, as Django groups: a *visitor* looks, a *helper* adds (tubes, tests, events, moves), a *keeper* also changes
and corrects. A role is a set of Django's own model permissions, laid out anew after every migration from what each area
declares; pages and the API ask through ``needs``.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group, Permission
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpRequest, HttpResponseBase
from django.utils.functional import SimpleLazyObject

from inventory.house.areas import HELPER, KEEPER, ROLES, areas

Page = Callable[..., HttpResponseBase]


def lay_out_roles(using: str = "default", **kwargs: Any) -> None:
    """Give each role its permissions (after every migration, when all permissions exist)."""
    declared = areas()
    found = Permission.objects.using(using).filter(content_type__app_label__in=declared).select_related("content_type")
    permissions = [(declared[p.content_type.app_label].roles, p.codename.split("_")[0], p) for p in found]
    if not permissions:
        return
    for role in ROLES:
        group, _made = Group.objects.using(using).get_or_create(name=role)
        group.permissions.set([p for roles, verb, p in permissions if verb in roles[role]])


def role_of(user: Any) -> str:
    """The highest role of a person, or an empty text."""
    if not getattr(user, "is_authenticated", False):
        return ""
    if user.is_superuser:
        return KEEPER
    held = set(user.groups.values_list("name", flat=True))
    return next((role for role in reversed(ROLES) if role in held), "")


def may(user: Any, verb: str, model: str) -> bool:
    """Whether ``user`` may ``view``, ``add`` or ``change`` rows of ``model`` (``holdings.tube``)."""
    area, name = model.split(".")
    return bool(user.has_perm(f"{area}.{verb}_{name}"))


def may_see_money(user: Any) -> bool:
    """Whether somebody sees the house's own money: helpers and keepers do, that is whoever may write such a fact; a
    visitor does not, in no column, order, filter, sum, file or page.

    The house's own is what was paid, asked and insured, what things were sold for (proceeds, the words of how a thing
    left, lots of sales), the top prices of the want list, what is worked out of these (buying orders), and every cell
    of a list that came in or back. Prices of the market, which others paid and asked, are for everybody: for a visitor
    estimates, ranges and top prices rest on those alone, and the house's own purchases and sales are no evidence.
    Who asks for data hands the answer on as ``money`` or ``own``; of JSON the keys stay, with null or an empty list.
    """
    return may(user, "add", "holdings.fact")


def needs(verb: str, model: str, what: str = "") -> Callable[[Page], Page]:
    """A page that only those may open who may ``verb`` rows of ``model``. ``what``: what others are told they may not
    do, where that is something else than ``verb``.
    """

    def guard(page: Page) -> Page:
        @wraps(page)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not may(request.user, verb, model):
                raise PermissionDenied(
                    f"Your role ({role_of(request.user) or 'none'}) may not {what or f'{verb} this'}."
                )
            return page(request, *args, **kwargs)

        return guarded

    return guard


def role_in_template(request: HttpRequest) -> dict[str, Any]:
    """``role``, ``may_add``, ``may_change`` and ``may_see_money`` for templates, each asked for when it is used."""
    user = getattr(request, "user", None)
    role = SimpleLazyObject(lambda: role_of(user))
    return {
        "role": role,
        "may_add": SimpleLazyObject(lambda: str(role) in (HELPER, KEEPER)),
        "may_change": SimpleLazyObject(lambda: str(role) == KEEPER),
        "may_see_money": SimpleLazyObject(lambda: user is not None and may_see_money(user)),
    }


@transaction.atomic
def add_person(name: str, role: str, password: str | None) -> Any:
    """A new account with a role. Raises ValueError for a role that does not exist or a name that does."""
    if role not in ROLES:
        raise ValueError(f"{role!r} is no role; expected one of {', '.join(ROLES)}")
    people = get_user_model().objects
    get_user_model().username_validator(name)
    if people.filter(username=name).exists():
        raise ValueError(f"{name!r} has an account already")
    person = people.create_user(username=name, password=password)
    person.groups.add(Group.objects.get(name=role))
    return person
