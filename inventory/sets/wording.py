"""Sentences about sets that a page and a command share."""

NOTHING_TO_JUDGE_BY = (
    "Nothing to judge by: too little is known of the type wanted, and the tables name no kin of it. Write its figures "
    "on its page."
)


def all_unsuitable(number: int) -> str:
    """Said where types were judged and none of them goes in."""
    if number == 1:
        return "The one type judged is unsuitable here."
    return f"All {number} types judged are unsuitable here."
