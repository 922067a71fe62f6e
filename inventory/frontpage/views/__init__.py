"""Pages that show all areas together: the first page, the look-up, a type with what is owned, the pocket page."""

from inventory.frontpage.views.first import health, home, look_up_page, type_page
from inventory.frontpage.views.gaps import gap_list
from inventory.frontpage.views.groups import group_page
from inventory.frontpage.views.pocket import pocket, pocket_copy

__all__ = ["gap_list", "group_page", "health", "home", "look_up_page", "pocket", "pocket_copy", "type_page"]
