"""The charts of this area, each laid out from the answer of a query."""

from collections.abc import Sequence

from inventory.house.chart_labels import GAP, extent
from inventory.running.queries import ChassisLog, Comparison, LifeAnswer, TrendLine
from inventory.running.queries.hours import RunsOf
from inventory.running.rules.survival import Step, Survival
from inventory.running.rules.trend import BY_HOURS, Trend
from inventory.running.wording.frame import BOTTOM, LETTERS, WIDTH, Chart, Frame, frame

STEPS = 60  # points of a curve
Points = list[tuple[float, float]]


def hours_chart(found: ChassisLog) -> Chart | None:
    """Hours of a set over time: those that count, and those by the log alone."""
    if len(found.curve) < 2:
        return None
    days = [float(point.day.toordinal()) for point in found.curve]
    box = frame(days, [point.hours for point in found.curve])
    counted = box.path((day, point.hours) for day, point in zip(days, found.curve, strict=True))
    logged = box.path((day, point.log) for day, point in zip(days, found.curve, strict=True))
    first, last = found.curve[0], found.curve[-1]
    both = "" if last.hours - last.log < 0.05 else f"; {last.log:.1f} of them by the log"
    return Chart(
        label=f"Filament hours from {first.day} to {last.day}: {last.hours:.1f} h at the end{both}.",
        caption="Line: hours that count. Dashed: by the log alone." if both else "Hours that count.",
        x_name="", y_name="hours", x_ticks=box.day_ticks(), y_ticks=box.y_ticks(),
        lines=((counted, "line"), *([(logged, "dashed")] if both else [])),
    )  # fmt: skip


BAR_LEAST, BAR_MOST = 4.0, 28.0  # width of a bar


def runs_chart(found: ChassisLog) -> Chart | None:
    """What was run when, by the log: a bar a day (a month, a year) with its hours, the latest told first."""
    if not found.runs:
        return None
    days = [float(run.day.toordinal()) for run in found.runs]
    ends = [float(point.day.toordinal()) for point in (found.curve[0], found.curve[-1])] if found.curve else []
    box = frame([*days, *ends], [0.0, *(run.hours for run in found.runs)])
    wide = min(max(box.x(box.low_x + 1) - box.x(box.low_x), BAR_LEAST), BAR_MOST)
    bars = [(round(box.x(day) - wide / 2, 1), box.y(run.hours), run) for run, day in zip(found.runs, days, strict=True)]
    tops = _tops([(x, y, _hours(run.hours)) for x, y, run in bars], wide)
    total = sum(run.hours for run in found.runs)
    return Chart(
        label=f"Runs by the log: {total:.1f} h in all, the last {_run_words(found.runs[-1])}.",
        caption="Bars: hours of each run by the log; the table below has them all.",
        x_name="", y_name="hours of a run", x_ticks=box.day_ticks(), y_ticks=box.y_ticks(),
        lines=(), tops=tops,
        bars=tuple((x, y, wide, round(BOTTOM - y, 1), _run_words(run)) for x, y, run in bars),
    )  # fmt: skip


def _tops(bars: Sequence[tuple[float, float, str]], wide: float) -> tuple[tuple[float, float, str], ...]:
    """Words above bars (left end, top, words): the last one, then the tallest, where nothing is in the way."""
    shown: list[tuple[float, float, str]] = []
    blocks = [(x, x + wide, y) for x, y, _ in bars]  # a bar hides what lies lower than its top
    taken: list[tuple[float, float, float]] = []
    for x, y, words in [bars[-1], *sorted(bars[:-1], key=lambda bar: bar[1])]:
        low, high = extent((x + wide / 2, words, "middle"), LETTERS)
        beside = [one for one in blocks if one[0] < high and low < one[1] and one[0] != x]
        clear = all(top >= y for _, _, top in beside) and low >= 0 and high <= WIDTH
        near = (one for one in taken if one[0] < high + GAP and low < one[1] + GAP)
        if clear and all(abs(at - y) > LETTERS + 2 for _, _, at in near):
            shown.append((round(x + wide / 2, 1), y - 5, words))
            taken.append((low, high, y))
    return tuple(shown)


def _run_words(run: RunsOf) -> str:
    many = f" in {run.runs} runs" if run.runs > 1 else ""
    standby = f", {_hours(run.standby)} h of it at standby" if run.standby else ""
    return f"{run.words}: {_hours(run.hours)} h{many}{standby}"


def _hours(hours: float) -> str:
    return f"{round(hours, 2):g}"


def trend_chart(line: TrendLine) -> Chart | None:
    """Readings of one instrument against filament hours or days: tests, line, interval, limit, fittings."""
    found = line.trend
    if len(found.xs) < 2:
        return None
    by_hours = found.axis == BY_HOURS
    shift = 0.0 if by_hours else float(line.tests[0].on.toordinal())
    xs = [x + shift for x in found.xs]
    ahead = (max(xs) - min(xs)) * 0.15
    limit = [line.minimum] if line.minimum is not None else []
    box = frame([*xs, max(xs) + ahead], [*found.ys, *limit], from_zero=False)
    lines: list[tuple[str, str]] = []
    bands: tuple[str, ...] = ()
    if found.slope is not None and found.intercept is not None:
        bands = _trend_bands(box, found, xs, shift)
        ends = [min(xs), box.high_x]
        lines.append((box.path(_within(box, [(x, found.intercept + found.slope * (x - shift)) for x in ends])), "line"))
    if limit:
        lines.append((box.level(limit[0]), "limit"))
    if not by_hours:
        lines += [(box.upright(mark), "mark") for mark in _fitting_marks(line, box)]
    dots = tuple(
        (box.x(x), box.y(y), f"{test.on}: {test.reading_text} {test.unit_beside}".rstrip(), "plain")
        for x, y, test in zip(xs, found.ys, line.tests, strict=True)
    )
    scale = f"{found.instrument}{f', section {found.section}' if found.section else ''}"
    against = "filament hours" if by_hours else "time"
    marks = " Thin uprights: put into a set or taken out." if not by_hours and line.fittings else ""
    limits = " Broken: the limit." if limit else ""
    return Chart(
        label=f"Readings on {scale} against {against}: {found.text}",
        caption=f"Dots: tests. Line and shading: trend and its interval.{limits}{marks}",
        x_name="filament hours" if by_hours else "", y_name=line.unit,
        x_ticks=box.x_ticks() if by_hours else box.day_ticks(), y_ticks=box.y_ticks(),
        lines=tuple(lines), bands=bands, dots=dots,
    )  # fmt: skip


def _trend_bands(box: Frame, found: Trend, xs: Sequence[float], shift: float) -> tuple[str, ...]:
    """Lines of the least and the greatest slope through the middle of the readings: a bow tie."""
    if found.slopes is None or found.slope is None or found.intercept is None:
        return ()
    ordered = sorted(x - shift for x in xs)
    half = len(ordered) // 2
    middle = ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2
    level = found.intercept + found.slope * middle
    parts = [ordered[0] + (box.high_x - shift - ordered[0]) * step / STEPS for step in range(STEPS + 1)]
    both = [[level + slope * (x - middle) for x in parts] for slope in found.slopes]
    upper = [(x + shift, max(pair)) for x, pair in zip(parts, zip(*both, strict=True), strict=True)]
    lower = [(x + shift, min(pair)) for x, pair in zip(parts, zip(*both, strict=True), strict=True)]
    return (box.band(_within(box, upper), _within(box, lower)),)


def _within(box: Frame, points: Points) -> Points:
    """Points held inside the drawing."""
    return [(x, min(max(y, box.low_y), box.high_y)) for x, y in points]


def _fitting_marks(line: TrendLine, box: Frame) -> list[float]:
    days = [day for f in line.fittings for day in (f.since, f.until) if day]
    return [float(day.toordinal()) for day in days if box.low_x <= day.toordinal() <= box.high_x]


def scatter_chart(found: Comparison) -> Chart | None:
    """Two instruments: a dot a tube, and the line through them."""
    if len(found.pairs) < 2:
        return None
    box = frame([pair.here for pair in found.pairs], [pair.there for pair in found.pairs], from_zero=False)
    lines: tuple[tuple[str, str], ...] = ()
    text = found.why_not
    if fit := found.line:
        ends = [min(pair.here for pair in found.pairs), max(pair.here for pair in found.pairs)]
        lines = ((box.path(_within(box, [(x, fit.at(x)) for x in ends])), "line"),)
        text = f"slope {fit.slope:.3g}, scatter about the line {fit.scatter:.3g}"
    dots = tuple(
        (box.x(pair.here), box.y(pair.there), f"{pair.tag} {pair.section}: {pair.here:g} and {pair.there:g}", "plain")
        for pair in found.pairs
    )
    return Chart(
        label=f"{len(found.pairs)} tubes {found.type} read on {found.here} and on {found.there}: {text}.",
        caption="A dot a tube, or a section of one. The line compares; it rewrites no reading.",
        x_name=f"{found.here}, {found.here.unit}", y_name=f"{found.there}, {found.there.unit}",
        x_ticks=box.x_ticks(), y_ticks=box.y_ticks(), lines=lines, dots=dots,
    )  # fmt: skip


def life_chart(found: LifeAnswer) -> Chart | None:
    """Share still working against hours: Kaplan-Meier steps with their interval, and the Weibull curve."""
    answer = found.answer
    if answer is None or not answer.steps:
        return None
    last = max(step.t for step in answer.steps)
    since = found.since
    box = frame([since, last], [0.0, 1.0])
    lines = [(box.path(_stairs(answer.steps, "s", since, last)), "line")]
    if fit := answer.weibull:
        hours = [since + (last - since) * step / STEPS for step in range(STEPS + 1)]
        curve = [(at, fit.surviving(at, since)) for at in hours]
        lines.append((box.path(curve), "dashed"))
    band = box.band(_stairs(answer.steps, "high", since, last), _stairs(answer.steps, "low", since, last))
    return Chart(
        label=f"Share still working against filament hours, {_median(answer)}.",
        caption="Steps: as it was. Shading: its interval." + (" Dashed: Weibull." if answer.weibull else ""),
        x_name="filament hours", y_name="share still working", x_ticks=box.x_ticks(), y_ticks=box.y_ticks(),
        lines=tuple(lines), bands=(band,),
    )  # fmt: skip


def _stairs(steps: Sequence[Step], name: str, since: float, last: float) -> Points:
    """A step curve from 1 where the watch begins; where an end of the interval is not known it stays where it was."""
    points, level = [(since, 1.0)], 1.0
    for step in steps:
        value = getattr(step, name)
        points.append((step.t, level))
        level = level if value is None else value
        points.append((step.t, level))
    return [*points, (last, level)]


def _median(answer: Survival) -> str:
    return f"half of them failed by {answer.median:g} h" if answer.median is not None else "half of them never failed"
