"""What stands on the pages of set models and sets of what does the work of their parts."""

from inventory.house.areas import Panel
from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries.stand_ins import stand_ins_of

TITLE = "Stand-ins for its parts"


def stand_ins_panel(subject: SetModel | Chassis) -> Panel:
    """Of a set model, or of one set of it (a fixed number of queries): its page has the tubes in it at hand."""
    if isinstance(subject, Chassis):
        return Panel(
            TITLE, "sets/stand_ins_set.html", subject, told=stand_ins_of(subject.model, subject, holding=False)
        )
    return Panel(TITLE, "sets/stand_ins_model.html", subject, told=stand_ins_of(subject))
