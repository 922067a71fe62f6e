"""What holds a position or a bay, as a form shows it, and what is said where another came there meanwhile."""

NOTHING = "nothing"


def other_there(mark: str, now: str, seen: str) -> str:
    """What is said where a position or a bay holds another thing than was seen; empty where it is the same.

    ``now`` and ``seen``: tags, ``NOTHING`` for an empty one; an empty ``seen``: nobody said what was seen.
    """
    if not seen or now == seen:
        return ""
    return f"{mark} now holds {now}, not {seen}; look again."
