"""Readings of a machine through its visits, by what was read where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Literal, NamedTuple, TypeAlias

from witnessmark.desk.machines import shown
from witnessmark.desk.machines.knowing import Known
from witnessmark.desk.machines.plots import Bound, Kind, Plot, Point, readings_plot
from witnessmark.forecast.course import Along, course
from witnessmark.review.wording import measured, printable
from witnessmark.summarise.judged import Judged, facts_of
from witnessmark.summarise.reckoned import at_limit, rate_of
from witnessmark.types import End, Forecast, Limit, Odometer, Reading, Side, Verdict
from witnessmark.units import convert, text_of

BEYOND = 1e12
"""No reading of a machine is as large; such a number, or none at all, is not drawn."""
WAYS = {"mi": "miles on the clock", "km": "km on the clock"}


_Key: TypeAlias = tuple[str, End | None, Side | None, str]
"""Component, end, side, quantity."""


class _Read(NamedTuple):
    """One reading with its day."""

    walkround: str
    on: date
    odometer: Odometer | None
    judged: Judged
    reading: Reading


def all_series(known: Known) -> tuple[shown.Series, ...]:
    """Every quantity at every place: those with a forecast first, soonest first, then by name."""
    groups: dict[_Key, list[_Read]] = {}
    for read in _reads(known):
        groups.setdefault((*read.reading.place, read.reading.quantity), []).append(read)
    forecasts = {(f.component, f.end, f.side, f.quantity): f for f in known.outlook.forecasts}
    order = list(forecasts)
    keys = sorted(
        groups, key=lambda key: (order.index(key) if key in forecasts else len(order), _name(groups[key]))
    )
    return tuple(_series(known, f"s{n}", groups[key], forecasts.get(key)) for n, key in enumerate(keys))


def _name(reads: list[_Read]) -> str:
    return measured(reads[0].reading.model_copy(update={"phase": "found"}))


def _reads(known: Known) -> Iterator[_Read]:
    for visit, outcome in zip(known.history.visits, known.outcomes, strict=True):
        for reading, judged in facts_of(outcome).readings:
            yield _Read(visit.walkround, visit.on, visit.machine.odometer, judged, reading)


def _series(known: Known, id: str, reads: list[_Read], forecast: Forecast | None) -> shown.Series:
    unit = (forecast.unit if forecast else reads[-1].reading.unit) or ""
    part, _, quantity = _name(reads).rpartition(": ")
    return shown.Series(
        id=id,
        part=printable(part),
        quantity=printable(quantity),
        unit=unit,
        clock=_clock(reads, forecast),
        readings=tuple(_measured(read, unit, forecast) for read in reads),
        bounds=tuple(_bounds(_deciding(reads, forecast), unit)),
        reached=forecast is not None and forecast.state == "reached",
        forecast=tuple(map(printable, _lines(forecast))) if forecast else (),
        line=tuple(
            shown.ForecastPoint(odometer=one.x, value=one.value, low=one.low, high=one.high)
            for one in (course(forecast, known.outlook.rules) if forecast else ())
        ),
    )


def _clock(reads: list[_Read], forecast: Forecast | None) -> Literal["mi", "km"]:
    if forecast and forecast.readings:
        return forecast.clock
    return next((read.odometer.unit for read in reversed(reads) if read.odometer), "km")


def _lines(forecast: Forecast) -> Iterator[str]:
    yield from at_limit(forecast)
    if rate := rate_of(forecast):
        yield f"wear {rate}"


def _measured(read: _Read, unit: str, forecast: Forecast | None) -> shown.Measured:
    return shown.Measured(
        on=read.on,
        walkround=read.walkround,
        odometer=read.odometer,
        text=printable(text_of(read.reading.value, read.reading.unit)),
        value=_value(read.reading, unit),
        left=read.reading.phase == "left",
        before=_before(read, forecast),
        grade=read.judged.grade.value,
    )


def _value(reading: Reading, unit: str) -> float | None:
    """In the unit of the series; None for text and for what nobody can have measured."""
    if isinstance(reading.value, str):
        return None
    try:
        value = convert(reading.value, reading.unit or unit, unit)
    except ValueError:
        return None
    return value if abs(value) < BEYOND else None


def _before(read: _Read, forecast: Forecast | None) -> bool:
    """Whether it is of a part that was replaced since; on the day of that, one as found may be of either."""
    if forecast is None or forecast.renewed is None or read.on != forecast.renewed:
        return forecast is not None and forecast.renewed is not None and read.on < forecast.renewed
    counted = ((one.walkround, one.reading.value) for one in forecast.readings)
    return read.reading.phase == "found" and (read.walkround, read.reading.value) not in counted


def _deciding(reads: list[_Read], forecast: Forecast | None) -> Verdict | None:
    """The verdict whose limit holds now."""
    if forecast and forecast.verdict:
        return forecast.verdict
    verdicts = (verdict for read in reversed(reads) for verdict in read.judged.verdicts)
    return next((verdict for verdict in verdicts if verdict.limit), None)


def _bounds(verdict: Verdict | None, unit: str) -> Iterator[shown.LimitLine]:
    if verdict is None or verdict.limit is None:
        return
    for word, value in _sides(verdict.limit):
        try:
            held = convert(value, verdict.unit or unit, unit)
        except ValueError:
            continue
        yield shown.LimitLine(
            value=held,
            says=f"{word} {text_of(held, unit)}",
            whose=verdict.basis.value,
            source=printable(verdict.source or ""),
            sureness=verdict.sureness,
        )


def _sides(limit: Limit) -> Iterator[tuple[str, float]]:
    for word, value in (("at least", limit.low), ("at most", limit.high), ("aim for", limit.target)):
        if value is not None:
            yield word, value


def plot_of(series: shown.Series) -> Plot | None:
    """The drawing of a series; None where there are not two values to compare."""
    values = [one for one in series.readings if one.value is not None]
    along = [one for one in values if one.odometer is not None]
    ridden = len(along) == len(values) or (bool(series.line) and len(along) > 1)
    drawn = along if ridden else values
    if len({one.walkround for one in drawn}) < 2:
        return None
    points = [
        Point(_across(one, series, ridden), one.value or 0.0, f"{one.value:.4g}", _kind(one)) for one in drawn
    ]
    bounds = [Bound(one.value, f"{one.says}: {one.whose}") for one in series.bounds]
    return readings_plot(
        series.id,
        f"{series.part}: {series.quantity}",
        _says(series, drawn),
        points,
        bounds,
        [Along(one.odometer, one.value, one.low, one.high) for one in series.line] if ridden else (),
        text_of("", series.unit).strip(),
        WAYS[series.clock] if ridden else "",
    )


def _across(one: shown.Measured, series: shown.Series, ridden: bool) -> float:
    if ridden and one.odometer is not None:
        return convert(one.odometer.value, one.odometer.unit, series.clock)
    return float(one.on.toordinal())


def _kind(one: shown.Measured) -> Kind:
    return "before" if one.before else "left" if one.left else "found"


def _says(series: shown.Series, drawn: Sequence[shown.Measured]) -> str:
    first, last = drawn[0], drawn[-1]
    told = [f"{len(drawn)} readings, from {first.text} on {first.on} to {last.text} on {last.on}."]
    told += [f"Limit {one.says}, {one.whose}." for one in series.bounds]
    told += [f"{line[:1].upper()}{line[1:].rstrip('.')}." for line in series.forecast]
    return " ".join(told)
