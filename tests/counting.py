"""How much pages and queries ask of the database.

What is cold costs more: tube knowledge, for example, is built by whoever first asks for it after a change. So all that
is counted here is asked once before it is counted.
"""

from collections.abc import Callable
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tubes.queries import keeping
from tubes.queries.judging import court


def statements(run: Callable[[], Any]) -> list[str]:
    """Every statement that a run sends, with its values, as it stands: cold or warm."""
    with CaptureQueriesContext(connection) as caught:
        run()
    return [query["sql"] for query in caught.captured_queries]


def again(run: Callable[[], Any]) -> list[str]:
    """The statements of a run that only reads, when it is done for the second time."""
    run()
    return statements(run)


def cost(run: Callable[[], Any]) -> int:
    """How many statements a run that only reads takes, when it is done for the second time."""
    return len(again(run))


def cost_once(run: Callable[[], Any]) -> int:
    """How many statements a change takes, which cannot be made twice; tube knowledge is at hand."""
    court()
    return len(statements(run))


def asked(client: Any, address: str, **sent: Any) -> int:
    """How many statements a page takes when it is asked for the second time."""
    return cost(lambda: answered(client, address, **sent))


def twice(sent: list[str]) -> list[str]:
    """The statements that were sent more than once with the same values."""
    return sorted({one for one in sent if sent.count(one) > 1})


def answered(client: Any, address: str, **sent: Any) -> Any:
    """The answer of a page, all of it read."""
    answer = client.get(address, sent)
    assert answer.status_code == 200, answer.status_code
    return answer.getvalue() if answer.streaming else answer.content


def forget() -> None:
    """This process keeps nothing of tube knowledge any more, as when it has just begun."""
    keeping._kept.clear()
