"""Two changes at once, each with a thread and a connection of its own (needs PostgreSQL: SQLite lets one change in)."""

import time
from concurrent.futures import ThreadPoolExecutor
from threading import Event

from django.core.exceptions import ValidationError
from django.db import connection, transaction

LONGEST = 30  # seconds that anything here is waited for


def waiting():
    """Whether somebody waits for a lock in this database."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'"
        )
        return cursor.fetchone()[0] > 0


def at_once(first, second):
    """What each of two changes is refused for (None: it was made)."""
    done, go_on = Event(), Event()

    def tried(change, before_it_is_written=lambda: None):
        try:
            with transaction.atomic():
                change()
                before_it_is_written()
        except ValidationError as refusal:
            return " ".join(refusal.messages)
        finally:
            done.set()
            connection.close()

    with ThreadPoolExecutor(2) as threads:
        one = threads.submit(tried, first, lambda: (done.set(), go_on.wait(LONGEST)))
        assert done.wait(LONGEST)
        other = threads.submit(tried, second)
        end = time.monotonic() + LONGEST
        while not other.done() and not waiting() and time.monotonic() < end:
            time.sleep(0.01)
        go_on.set()
        return one.result(LONGEST), other.result(LONGEST)
