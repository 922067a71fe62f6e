"""Changes of the running area. One function a change: check, lock, write the row and its history."""

from inventory.running.actions.care import record_care_done, save_care
from inventory.running.actions.log import (
    change_meter,
    correct_hours,
    put_in_meter,
    record_reading,
    record_run,
    save_earlier_hours,
    save_meter,
)
from inventory.running.actions.matched import make_set, split_set
from inventory.running.actions.testing import record_test, save_instrument, save_minimum, set_state

__all__ = [
    "change_meter",
    "correct_hours",
    "make_set",
    "put_in_meter",
    "record_care_done",
    "record_reading",
    "record_run",
    "record_test",
    "save_care",
    "save_earlier_hours",
    "save_instrument",
    "save_meter",
    "save_minimum",
    "set_state",
    "split_set",
]
