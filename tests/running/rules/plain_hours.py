"""The slow plain reference of the hours: second by second of thought, no arrays. The rules must agree with it."""

from decimal import Decimal
from itertools import pairwise
from math import ceil

from inventory.house.records.moments import DAY, HOUR, axis, axis_end
from inventory.running.rules.meters import read_wheels


def span_of(run):
    """Start, stop, seconds, timed; None for a run that cannot be counted."""
    start = axis(run.on, run.on_at)
    if run.hours is not None:
        seconds = float(run.hours) * HOUR
        if run.on_at and not run.off and not run.off_at:
            return start, start + round(seconds), round(seconds), True
        last = run.off or run.on
        stop = axis(last, run.off_at) if run.off_at else axis_end(last)
        if stop < start or seconds < 0:
            return None
        return start, max(stop, start + 1), seconds, False
    if run.on_at is None or run.off_at is None:
        return None
    stop = axis(run.off or run.on, run.off_at)
    if run.off is None and stop < start:
        stop += DAY
    return None if stop < start else (start, stop, stop - start, True)


def union_length(spans, since, until):
    """Length of the union of spans within a window, piece by piece between all their ends."""
    ends = sorted({since, until, *(end for span in spans for end in span if since < end < until)})
    return sum(b - a for a, b in pairwise(ends) if any(start <= a and b <= stop for start, stop in spans))


def share(span, since, until):
    """The part of a span that lies within a window."""
    start, stop = span
    return max(0, min(stop, until) - max(start, since)) / (stop - start)


def joined_starts(runs, since, until):
    """Starts in a window: runs with hours each by itself; of timed runs over one another the most that any has."""
    spans = [(span, run.starts) for run in runs if (span := span_of(run)) is not None]
    starts = sum(count for (start, _, _, timed), count in spans if not timed and since <= start < until)
    timed = sorted((start, -stop, count) for (start, stop, _, timed), count in spans if timed)
    while timed:
        first, minus, count = timed.pop(0)
        group, end = [(first, count)], -minus
        while timed and (timed[0][0] < end or timed[0][0] == group[-1][0]):
            start, minus, count = timed.pop(0)
            group.append((start, count))
            end = max(end, -minus)
        most = [max((count for start, count in group if start < at), default=0) for at in (since, max(since, until))]
        starts += most[1] - most[0]
    return starts


def log_between(runs, since, until):
    """Seconds at full filament, at standby, and starts, of one chassis' runs within a window."""
    full, anyway, dated, starts = [], [], [0.0, 0.0], joined_starts(runs, since, until)
    for run in runs:
        found = span_of(run)
        if found is None:
            continue
        start, stop, seconds, timed = found
        if timed:
            anyway.append((start, stop))
            if not run.standby:
                full.append((start, stop))
        else:
            dated[run.standby] += seconds * share((start, stop), since, until)
    on = union_length(full, since, until)
    return on + dated[0], union_length(anyway, since, until) - on + dated[1], starts


def excess_of_meter(runs, meter, difference_pct):
    """(since, until, seconds) on the meter and in no run, by walking from reading to reading."""
    cap, step = 10**meter.digits * HOUR, HOUR / 10**meter.decimals
    readings = sorted(meter.readings, key=lambda one: axis(one.day, one.at))
    spans = [(axis(r.day, r.at), axis(r.day, r.at) if r.at else axis_end(r.day)) for r in readings]
    for place in range(len(spans) - 2, -1, -1):
        spans[place] = (spans[place][0], min(spans[place][1], spans[place + 1][1]))
    hours = [read_wheels(r.wheels, meter.digits, meter.decimals).hours for r in readings]

    def logged(at):
        return sum(log_between(runs, 0, at)[:2])

    found, place = [], logged(spans[0][0]) if spans else 0
    for n in range(1, len(readings)):
        (first, _), (second, latest) = spans[n - 1], spans[n]
        low, high = logged(second), logged(latest)
        delta = hours[n] - hours[n - 1] + (10**meter.digits if hours[n] < hours[n - 1] else 0)
        passed = Decimal(latest - first) / HOUR
        if delta > passed * (1 + Decimal(difference_pct) / 100) + Decimal(1).scaleb(-meter.decimals):
            place = low
            continue
        seconds = float(delta * HOUR)
        after = min(max(place + seconds, low), high)
        over = seconds - max(after - place, 0)
        place = after
        if over > step:
            found.append((first, max(second, first + ceil(over)), over))
    assert all(0 <= one[2] <= cap for one in found)
    return found


def hours_between(runs, meters, since, until, difference_pct=2.0):
    """Filament hours that count in a window of one chassis, hours at standby, starts by the log."""
    full, standby, starts = log_between(runs, since, until)
    for meter in meters:
        for first, last, seconds in excess_of_meter(runs, meter, difference_pct):
            full += seconds * share((first, last), since, until)
    return full / HOUR, standby / HOUR, starts
