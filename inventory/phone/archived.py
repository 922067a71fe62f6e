"""How the rows of this area stand in the archive: an entry that was taken is taken in the restored house, too."""

from inventory.house.archived import Spec
from inventory.phone.models import SentEntry

SPECS = (Spec("sent_entries", SentEntry, words=("key",)),)
