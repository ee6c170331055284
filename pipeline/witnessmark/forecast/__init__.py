"""When worn parts reach their limits, from confirmed readings of one machine; see docs/forecast.md."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta

from witnessmark.forecast.line import Line, crossing, error_of, fit, scatters, slope_error
from witnessmark.forecast.looking import at_limit, due_work, next_look
from witnessmark.forecast.series import Series, all_series, value
from witnessmark.knowledge.wear import Wear, WearRules
from witnessmark.types import DaySpan, Forecast, PastAction, PastReading, Span, Verdict
from witnessmark.units import convert

__all__ = ["at_limit", "due_work", "forecast", "next_look"]

LimitOf = Callable[[PastReading], Verdict | None]
"""Gives the verdict whose limit holds for a reading of a fresh part; its grade is that of a worn one."""
_ORDER = ("reached", "estimate", "far", "none")


def forecast(
    past: Sequence[PastReading],
    work: Sequence[PastAction],
    limit_of: LimitOf,
    rules: WearRules,
    country: str | None,
) -> tuple[Forecast, ...]:
    """A forecast, or the reason why there is none, for every worn part with a reading; soonest first.

    Args:
        past: confirmed readings of one machine. A reading that the technician was not sure of counts for
            nothing, though it was confirmed.
        work: its confirmed work, to know which parts were replaced.
        limit_of: judges a reading; it is asked with the last one of a part, its value that of a fresh part.
        rules: how parts wear, from ``witnessmark.knowledge.wear.wear_rules``.
        country: of use; only to say what is missing where no limit is known.
    """
    found = [_of(series, limit_of, rules, country) for series in all_series(past, work, rules)]
    return tuple(sorted(found, key=_soonest))


def _soonest(one: Forecast) -> tuple[int, float]:
    return _ORDER.index(one.state), one.left.low if one.left else 0.0


def _of(series: Series, limit_of: LimitOf, rules: WearRules, country: str | None) -> Forecast:
    verdict = limit_of(_fresh(series))
    limit = _limit_in(verdict, series.wear)
    blank = Forecast(
        component=series.place.component,
        end=series.place.end,
        side=series.place.side,
        quantity=series.place.quantity,
        unit=series.wear.unit,
        state="none",
        readings=series.readings,
        renewed=series.renewed,
        limit=limit,
        verdict=verdict if limit is not None else None,
        clock=series.clock,
    )
    if limit is not None and _reached(series, limit):
        return blank.model_copy(update={"state": "reached"})
    reason = series.reason or _trouble(series, rules)
    line = None if reason else fit(series.points)
    if line is not None:
        reason = _unfit(series, line, rules)
    if line is None or reason:
        return blank.model_copy(update={"reason": _told(reason, series, rules), "why": reason})
    known = blank.model_copy(update={"rate": _rate(line, series.wear, rules)})
    if limit is None:
        missing = "no_limit" if country else "no_country"
        return known.model_copy(update=_because(missing, rules))
    return _estimate(known, series, line, limit, rules)


def _fresh(series: Series) -> PastReading:
    """The last reading as a fresh part would give it, with the limit last said of this part.

    Near a limit the judgement is of the margin and not of the limit.
    """
    latest = series.latest
    said = [one.reading for one in (*series.readings, latest) if one.reading.limit]
    limit = said[-1].limit if said and said[-1].unit == latest.reading.unit else latest.reading.limit
    value = convert(series.wear.fresh, series.wear.unit, latest.reading.unit or series.wear.unit)
    reading = latest.reading.model_copy(update={"value": value, "limit": limit})
    return latest.model_copy(update={"reading": reading})


def _limit_in(verdict: Verdict | None, wear: Wear) -> float | None:
    """The bound that wear runs into, in the unit of its row."""
    if verdict is None or verdict.limit is None:
        return None
    bound = verdict.limit.low if wear.way == "falls" else verdict.limit.high
    try:
        return None if bound is None else convert(bound, verdict.unit or wear.unit, wear.unit)
    except ValueError:
        return None


def _reached(series: Series, limit: float) -> bool:
    """Whether the part fitted now is at its limit; one replaced since its last reading is another part."""
    if series.reason in ("none_since_new", "unsure"):
        return False
    return series.wear.better(value(series.latest, series.wear), limit) <= 1e-9


def _trouble(series: Series, rules: WearRules) -> str:
    """Why the distances bear no line."""
    ways = [point.x for point in series.points]
    if ways != sorted(ways):
        return "clock_back"
    if convert(ways[-1] - ways[0], series.clock, "km") < rules.least.km:
        return "too_close"
    return ""


def _unfit(series: Series, line: Line, rules: WearRules) -> str:
    """Why the line is no wear."""
    wear = series.wear
    first, last = series.points[0], series.points[-1]
    scattered = scatters(line, wear.gauge, rules)
    told = abs(line.slope) > slope_error(line, error_of(line, wear.gauge, rules))
    if wear.better(last.y, first.y) > 0 or (told and wear.better(line.slope, 0) > 0):
        return "better"
    if not told:
        return "uneven" if scattered else "no_wear"
    return ""


def _told(reason: str, series: Series, rules: WearRules) -> str:
    if not series.readings:
        return rules.reasons[reason]
    ways = [point.x for point in series.points]
    return rules.reasons[reason].format(
        distance=f"{ways[-1] - ways[0]:,.0f} {series.clock}",
        first=_written(series.readings[0].on),
        last=_written(series.readings[-1].on),
    )


def _written(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _rate(line: Line, wear: Wear, rules: WearRules) -> Span:
    """Wear for 1000 of the clock, a positive number."""
    error = slope_error(line, error_of(line, wear.gauge, rules))
    return Span(
        value=abs(line.slope) * 1000,
        low=(abs(line.slope) - error) * 1000,
        high=(abs(line.slope) + error) * 1000,
    )


def _estimate(known: Forecast, series: Series, line: Line, limit: float, rules: WearRules) -> Forecast:
    """The distance and the day at which the limit is reached."""
    at = crossing(line, limit, error_of(line, series.wear.gauge, rules))
    assert at is not None  # _unfit saw to it that the slope is told from its error
    now = series.points[-1].x
    horizon = convert(series.wear.horizon, "km", series.clock)
    left = Span(value=max(at.value - now, 0.0), low=max(at.low - now, 0.0), high=max(at.high - now, 0.0))
    if left.value > horizon:
        update = {
            "state": "far",
            "not_before": now + min(left.low, horizon),
            **_because("too_far", rules),
        }
        return known.model_copy(update=update)
    day, why = _day(series, left, rules)
    where = Span(value=now + left.value, low=now + left.low, high=now + left.high)
    update = {"state": "estimate", "left": left, "at": where, "day": day}
    return known.model_copy(update=update | (_because(why, rules) if why else {}))


def _because(why: str, rules: WearRules) -> dict[str, str]:
    """A reason without particulars: its id and its sentence."""
    return {"why": why, "reason": rules.reasons[why]}


def _day(series: Series, left: Span, rules: WearRules) -> tuple[DaySpan | None, str]:
    """The day on which the distance left is ridden, at the pace between these readings; or why there is none.

    The reason is an id.
    """
    first, last = series.readings[0], series.readings[-1]
    days = (last.on - first.on).days
    if days < rules.least.days:
        return None, "no_date_short"
    pace = (series.points[-1].x - series.points[0].x) / days
    if left.high / pace > rules.least.years * 365.25:
        return None, "no_date_far"

    def after(way: float) -> date:
        return last.on + timedelta(days=round(way / pace))

    return DaySpan(value=after(left.value), low=after(left.low), high=after(left.high)), ""
