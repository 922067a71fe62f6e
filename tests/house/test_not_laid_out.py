"""A table or column that the database does not have, on SQLite and on PostgreSQL."""

import logging

import pytest
from django.db import OperationalError, ProgrammingError
from django.test import RequestFactory

from inventory.house.busy import NOT_LAID_OUT, TellWhenBusy, why_not_now


def fault_of_postgres(code, words):
    fault = ProgrammingError(words)
    fault.__cause__ = type("OfTheDriver", (Exception,), {"sqlstate": code})()
    return fault


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (OperationalError("no such table: tubes_tubetype"), NOT_LAID_OUT),
        (OperationalError("no such column: tubes_limit.unit"), NOT_LAID_OUT),
        (fault_of_postgres("42P01", "Relation »tubes_limit« existiert nicht"), NOT_LAID_OUT),  # whatever the language
        (fault_of_postgres("42703", "no such thing"), NOT_LAID_OUT),
        (fault_of_postgres("42601", "no such table"), ""),  # syntax_error: the code counts, not the words
        (ValueError("no such table"), ""),
    ],
)  # PostgreSQL, Appendix A: 42P01 undefined_table, 42703 undefined_column
def test_what_is_not_laid_out(fault, told):
    assert why_not_now(fault) == told


def test_the_log_keeps_where_it_was(caplog):
    request = RequestFactory().get("/api/bench")
    fault = OperationalError("no such table: tubes_limit")
    with caplog.at_level(logging.WARNING, "inventory.house.busy"):
        answer = TellWhenBusy(lambda request: None).process_exception(request, fault)
    assert answer.status_code == 503 and caplog.records[-1].exc_info[1] is fault
