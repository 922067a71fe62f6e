"""Rows that the tests of a file share: made once inside a transaction, each test is a savepoint on them."""

from typing import TypeVar

from django.db import connection

Made = TypeVar("Made")


def settled(made: Made) -> Made:
    """What was made, handed on; that it names only what is there has been looked at.

    PostgreSQL looks at that late and would do so for all shared rows after each test, since each takes it back.
    """
    connection.check_constraints()
    return made
