"""An entry as it comes: keys by RFC 9562 (its own example), times by ISO 8601; what moved on since."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.phone.rules.entries import Clash, EntryRefused, clash_of, read_entry

KEY = "f81d4fae-7dec-11d0-a765-00a0c91e6bf6"  # RFC 9562, section 4
WHOLE = {"key": KEY, "kind": "move", "at": "2026-11-30T10:00:00Z", "cells": {"tag": "T-0001"}, "seen": {}}


def test_an_entry_is_read():
    entry = read_entry(WHOLE, UTC)
    assert (entry.key, entry.kind, entry.cells, entry.seen) == (KEY, "move", {"tag": "T-0001"}, {})
    assert entry.written_at == datetime(2026, 11, 30, 10, tzinfo=UTC)
    assert read_entry(WHOLE | {"key": KEY.upper()}, UTC).key == KEY


def test_a_time_without_a_zone_is_that_of_the_house():
    zone = timezone(timedelta(hours=2))
    assert read_entry(WHOLE | {"at": "2026-11-30T10:00"}, zone).written_at == datetime(2026, 11, 30, 8, tzinfo=UTC)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ([], "object"), ({"key": "1"}, "no key"), ({"key": None}, "no key"), ({"at": "yesterday"}, "no time"),
        ({"cells": []}, None), ({"cells": {"tag": 7}}, "expected a text"), ({"cells": {"tag": "a\x00"}}, "expected"),
        ({"cells": {"tag": "x" * 5001}}, "at most 5000"), ({"cells": dict.fromkeys(map(str, range(31)), "")}, "30"),
        ({"seen": "A"}, "seen"), ({"cells": {"marked": "\ud83d"}}, "expected"),
        ({"at": "9999-12-31T23:59:59Z"}, "no time"), ({"at": "0001-01-01T00:00+14:00"}, "no time"),
    ],
)  # fmt: skip
def test_what_is_no_entry_is_refused_in_words(wrong, words):
    raw = WHOLE | wrong if isinstance(wrong, dict) else wrong
    if words is None:  # nothing typed
        assert read_entry(raw, UTC).cells == {}
        return
    with pytest.raises(EntryRefused, match=words):
        read_entry(raw, UTC)


def test_the_digest_is_of_what_it_says_and_not_of_what_it_saw():
    entry = read_entry(WHOLE, UTC)
    assert entry.digest == read_entry(WHOLE | {"seen": {"place": "D1"}}, UTC).digest
    assert entry.digest != read_entry(WHOLE | {"cells": {"tag": "T-0002"}}, UTC).digest


@pytest.mark.parametrize(
    ("old", "yours", "here", "stands"),
    [("A", "B", "A", None), ("A", "B", "B", None), ("A", "B", "C", Clash("place", "A", "B", "C")),
     ("", "B", "A", Clash("place", "", "B", "A")), ("A", "A", "B", Clash("place", "A", "A", "B"))],
)  # fmt: skip
def test_what_was_changed_meanwhile_is_held(old, yours, here, stands):
    assert clash_of("place", old=old, yours=yours, here=here) == stands


NAMES = st.sampled_from(["key", "kind", "at", "cells", "seen", "x"])
PLAIN = st.none() | st.booleans() | st.integers() | st.text(max_size=6)


@given(st.recursive(PLAIN, lambda one: st.lists(one, max_size=3) | st.dictionaries(NAMES, one)))
def test_whatever_comes_is_an_entry_or_refused(raw):
    try:
        entry = read_entry(raw, UTC)
    except EntryRefused as refusal:
        assert str(refusal)
    else:
        assert entry.key and entry.written_at.tzinfo
