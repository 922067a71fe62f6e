"""What this area brings to the worlds of other tests."""

from datetime import UTC, datetime

from inventory.house.access import add_person
from inventory.phone.models import SentEntry
from tests.house.world import OPEN, VIEW

KEY = "f81d4fae-7dec-11d0-a765-00a0c91e6bf6"  # the example of RFC 9562, section 4

ADDRESSES = {
    "phone:page": (OPEN,),
    "phone:worker": (OPEN,),
    "phone:manifest": (OPEN,),
    "phone:api-along": (VIEW,),
    "phone:send": (VIEW,),
}
POST_ONLY = ("phone:send",)
FILES = ("phone:worker", "phone:manifest")


def in_the_archive(fitting):
    """An entry that was taken."""
    who = add_person("shelf", "helper", None)
    SentEntry.objects.create(
        account=who, key=KEY, kind="move", digest="0" * 64, told="T-0001 moved.", address="/tubes/T-0001/",
        written_at=datetime(2026, 1, 2, 3, 4, tzinfo=UTC),
    )  # fmt: skip
