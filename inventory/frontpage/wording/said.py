"""What answers say only where there is something to say."""

from typing import Any


def said_only(**keys: Any) -> dict[str, Any]:
    """Keys of an answer that are there only where they have something to say."""
    return {key: value for key, value in keys.items() if value}
