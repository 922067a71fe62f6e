"""Answers of this area in sentences: what a chart shows, for those who do not see it."""

from inventory.running.queries import TrendLine
from inventory.running.rules.trend import BY_HOURS


def trend_words(line: TrendLine) -> list[str]:
    """The chart in words: every test, the limit, and where the tube was meanwhile."""
    hours = line.trend.xs if line.trend.axis == BY_HOURS else ()
    told = []
    for number, test in enumerate(line.tests):
        at = f" at {hours[number]:.0f} h" if hours else ""
        told.append(f"{test.on}{at}: {test.reading_text} {line.unit}.")
    if line.minimum is not None:
        told.append(f"Limit: {line.minimum:g} {line.unit}.")
    for fitting in line.fittings:
        until = f" to {fitting.until}" if fitting.until else ""
        told.append(f"In {fitting.chassis} {fitting.position.mark} from {fitting.since}{until}.")
    return told
