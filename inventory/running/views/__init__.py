"""Pages of the running area, and the page of a tube."""

from inventory.running.views import care, instruments, log, matched, testing, tubes

__all__ = ["care", "instruments", "log", "matched", "testing", "tubes"]
