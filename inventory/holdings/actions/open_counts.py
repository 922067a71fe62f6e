"""A stock-take that is open follows a place that gets another path; one that is closed stays as it was."""

from inventory.holdings.models import StockTake, StockTakeLine


def follow_path(was: str, now: str) -> None:
    """Let the lines of open stock-takes say the present path of a place, so that nothing in it counts as moved."""
    lines = StockTakeLine.objects.filter(stock_take__closed__isnull=True)
    lines.filter(expected_path=was).update(expected_path=now)
    lines.filter(found_path=was).update(found_path=now)


def keep_what_it_was_of(take: StockTake, was: str) -> None:
    """Let the note of a closed stock-take name the place that it was of, before that place goes up in another."""
    room = (StockTake._meta.get_field("note").max_length or 0) - len(take.note)
    said = f"{'; ' if take.note else ''}counted as {was}"
    take.note += said if len(said) <= room else ""  # its lines name the place each
