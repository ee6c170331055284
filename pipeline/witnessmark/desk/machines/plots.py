"""Readings of one quantity as a drawing: values in, places out; ``plot.html`` draws them.

Shape tells before colour: a full disc is a reading as found, a square one as left after work, a ring one of
a part fitted before; a limit is a solid rule with its owner's name, a forecast is dashed.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal, NamedTuple

from witnessmark.desk.machines.axes import Axis, Tick, day_ticks, ticks, written
from witnessmark.forecast.course import Along
from witnessmark.types import Frozen

WIDTH, HEIGHT = 320.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 12.0, 24.0, 34.0
LETTER = 6.3
"""Width of a letter, about; labels are laid out by it."""
LINE = 12.0
"""Height of a label."""

AHEAD = 1.5
"""A forecast is drawn so many times further than the readings reach, and past its limit at least."""

Kind = Literal["found", "left", "before"]
Anchor = Literal["start", "middle", "end"]
_ENDS: tuple[tuple[float, Anchor], ...] = ((LEFT + 4, "start"), (WIDTH - RIGHT - 2, "end"))


class Point(NamedTuple):
    """A reading to draw; ``x`` is a distance, or a day's number."""

    x: float
    y: float
    label: str
    kind: Kind = "found"


class Bound(NamedTuple):
    """A limit to draw, with whose it is."""

    y: float
    label: str


class Label(Frozen):
    """A short text in the drawing."""

    x: float
    y: float
    text: str
    anchor: Anchor = "middle"


class Mark(Frozen):
    """A reading's place."""

    x: float
    y: float
    kind: Kind


class Plot(Frozen):
    """A finished drawing, in its own units from the top left corner."""

    id: str
    title: str
    says: str
    """What it shows, in words."""
    width: float = WIDTH
    height: float = HEIGHT
    frame: tuple[float, float, float, float]
    """Left, top, right, bottom of the field."""
    across: tuple[Label, ...]
    up: tuple[Label, ...]
    unit: str
    way: str
    """What the axis across counts."""
    limits: tuple[float, ...]
    """Heights of the limits."""
    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]
    through: str
    """Corners of the line through what was found on the part fitted now."""
    ahead: str = ""
    band: str = ""


class Field(NamedTuple):
    """Both axes with their figures."""

    x: Axis
    y: Axis
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]


class _Box(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: _Box) -> bool:
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)


def readings_plot(
    id: str,
    title: str,
    says: str,
    points: Sequence[Point],
    bounds: Sequence[Bound],
    line: Sequence[Along],
    unit: str,
    way: str,
) -> Plot:
    """The drawing.

    Args:
        id: unique on its page.
        title: of what.
        says: the same in words, for those who cannot see it.
        points: at least one, in order of time.
        bounds: limits with whose they are.
        line: the forecast, from the last reading on; empty where there is none.
        unit: of the values.
        way: what ``x`` counts, such as ``miles on the clock``; empty for days.
    """
    line = shown_of(line, points, bounds)
    field = field_of(points, bounds, line, days=not way)
    marks = tuple(Mark(x=field.x.place(p.x), y=field.y.place(p.y), kind=p.kind) for p in points)
    limits, named = _limits(field, bounds, marks)
    return Plot(
        id=id,
        title=title,
        says=says,
        frame=(field.x.near, field.y.far, field.x.far, field.y.near),
        across=tuple(_under(field, tick) for tick in field.across),
        up=tuple(_beside(field, tick) for tick in field.up),
        unit=unit,
        way=way,
        limits=limits,
        marks=marks,
        labels=(*named, *_labels(points, marks, named)),
        through=_corners(field, [(p.x, p.y) for p in points if p.kind == "found"]),
        ahead=_corners(field, [(one.x, one.value) for one in line]),
        band=_corners(field, [*((o.x, o.high) for o in line), *((o.x, o.low) for o in reversed(line))]),
    )


def shown_of(line: Sequence[Along], points: Sequence[Point], bounds: Sequence[Bound]) -> Sequence[Along]:
    """The forecast past its limit, and not much further than that or than what was measured."""
    if len(line) < 2 or line[0].value == line[-1].value:
        return line
    start, end = line[0], line[-1]
    slope = (end.value - start.value) / (end.x - start.x)
    across = [start.x + (bound.y - start.value) / slope for bound in bounds]
    far = start.x + AHEAD * (start.x - min(p.x for p in points))
    last = max(far, *(1.05 * x for x in across if x > start.x), line[1].x)
    return [one for one in line if one.x <= last]


def field_of(points: Sequence[Point], bounds: Sequence[Bound], line: Sequence[Along], *, days: bool) -> Field:
    """The axes: values from nought where they reach well towards it, else a window around them.

    Between two limits there is nothing to see near nought. A limit never lies on the edge.
    """
    ys = [*(p.y for p in points), *(b.y for b in bounds)]
    least = 0.0 if len(bounds) < 2 and 0 <= min(ys) < 0.6 * max(ys) else min(ys)
    room = (max(ys) - least) * 0.04
    edges = [bound.y for bound in bounds]
    up = written(ticks(least - (room if least in edges else 0), max(ys) + (room if max(ys) in edges else 0)))
    y = Axis(up[0].value, up[-1].value, HEIGHT - BOTTOM, TOP)
    xs = [*(p.x for p in points), *(one.x for one in line)]
    room = (max(xs) - min(xs)) * 0.04 or (30.0 if days else 500.0)
    x = Axis(min(xs) - room, max(xs) + room, LEFT, WIDTH - RIGHT)
    return Field(x, y, _days(x) if days else _round(x), up)


def _days(x: Axis) -> tuple[Tick, ...]:
    return day_ticks(date.fromordinal(int(x.start)), date.fromordinal(int(x.end)), 4)


def _round(x: Axis) -> tuple[Tick, ...]:
    """Three figures or more within the axis, and no more than have room."""
    found: tuple[Tick, ...] = ()
    for wanted in range(4, 9):
        found = tuple(t for t in written(ticks(x.start, x.end, wanted)) if x.start <= t.value <= x.end)
        if len(found) > 2:
            break
    return found


def _under(field: Field, tick: Tick) -> Label:
    """A figure below the axis, kept inside the drawing."""
    x, half = field.x.place(tick.value), len(tick.label) * LETTER / 2
    anchor: Anchor = "end" if x + half > WIDTH else "middle"
    return Label(x=WIDTH if anchor == "end" else x, y=field.y.near + 14, text=tick.label, anchor=anchor)


def _beside(field: Field, tick: Tick) -> Label:
    return Label(x=field.x.near - 5, y=field.y.place(tick.value), text=tick.label, anchor="end")


def _corners(field: Field, values: Sequence[tuple[float, float]]) -> str:
    """Corners as a polyline takes them; nothing where they make no line."""
    places = [f"{field.x.run(x)},{field.y.run(y)}" for x, y in values]
    return " ".join(places) if len(places) > 1 else ""


def _limits(
    field: Field, bounds: Sequence[Bound], marks: Sequence[Mark]
) -> tuple[tuple[float, ...], list[Label]]:
    """Heights of the limits, and their names at one end of the rule, clear of readings where that goes."""
    named: list[Label] = []
    heights = tuple(field.y.place(bound.y) for bound in bounds)
    for bound, y in zip(bounds, heights, strict=True):
        taken = [*map(_box, named), *map(_mark_box, marks)]
        spots = [
            Label(x=x, y=height, text=bound.label, anchor=anchor)
            for height in (y - 4, y + 12)
            for x, anchor in _ENDS
            if TOP + 6 < height < HEIGHT - BOTTOM
        ]
        named.append(min(spots, key=lambda label: sum(_box(label).meets(other) for other in taken)))
    return heights, named


def _labels(points: Sequence[Point], marks: Sequence[Mark], named: Sequence[Label]) -> list[Label]:
    """The readings' figures where there is room, the last reading's first; the table has them all."""
    taken = [_box(label) for label in named]
    taken += map(_mark_box, marks)
    found: list[Label] = []
    for point, mark in reversed(list(zip(points, marks, strict=True))):
        for label in _around(point.label, mark):
            box = _box(label)
            if _inside(box) and not any(box.meets(other) for other in taken):
                taken.append(box)
                found.append(label)
                break
    return found[::-1]


def _around(text: str, mark: Mark) -> tuple[Label, ...]:
    """Above, below, to the right, to the left."""
    return (
        Label(x=mark.x, y=mark.y - 7, text=text),
        Label(x=mark.x, y=mark.y + 16, text=text),
        Label(x=mark.x + 8, y=mark.y + 4, text=text, anchor="start"),
        Label(x=mark.x - 8, y=mark.y + 4, text=text, anchor="end"),
    )


def _box(label: Label) -> _Box:
    long = len(label.text) * LETTER
    left = label.x - {"start": 0.0, "middle": long / 2, "end": long}[label.anchor]
    return _Box(left, label.y - LINE + 3, left + long, label.y + 2)


def _mark_box(mark: Mark) -> _Box:
    return _Box(mark.x - 4, mark.y - 4, mark.x + 4, mark.y + 4)


def _inside(box: _Box) -> bool:
    return box.left >= LEFT and box.right <= WIDTH and box.top >= 12 and box.bottom <= HEIGHT - BOTTOM
