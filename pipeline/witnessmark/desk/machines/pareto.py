"""A Pareto diagram: causes by how often they came up, with the share that they make up together.

Both scales run over the same length, so that the end of the count's scale is all of what was found and
reads 100 % on the other (the usual form since J. M. Juran, Quality Control Handbook, 1951; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from witnessmark.desk.machines.axes import Axis, ticks, written
from witnessmark.types import Frozen

WIDTH = 320.0
LEFT, RIGHT, TOP, BOTTOM = 8.0, 16.0, 34.0, 34.0
ROW, BAR = 34.0, 12.0
SHOWN = 10
"""Causes with a bar of their own; the rest shares one."""


class Cause(NamedTuple):
    """Something that was found, and how often."""

    name: str
    times: int


class Bar(Frozen):
    """One bar with its place; ``share`` is of all, ``together`` with all bars before it, both in percent."""

    name: str
    times: int
    y: float
    length: float
    x: float
    """Of the cumulative line at this bar."""
    share: float
    together: float
    rest: bool = False


class Figure(Frozen):
    """A figure of a scale."""

    x: float
    text: str


class Pareto(Frozen):
    """A finished diagram, in its own units from the top left corner."""

    says: str
    width: float = WIDTH
    height: float
    left: float = LEFT
    top: float = TOP
    right: float = WIDTH - RIGHT
    bottom: float
    bar: float = BAR
    bars: tuple[Bar, ...]
    line: str
    counts: tuple[Figure, ...]
    shares: tuple[Figure, ...]


def pareto(causes: Sequence[Cause], shown: int = SHOWN) -> Pareto | None:
    """The diagram; None where nothing was found.

    Args:
        causes: in any order.
        shown: bars at most; what is rarer shares one more at the end, whatever it sums up to.
    """
    ordered = sorted((one for one in causes if one.times > 0), key=lambda one: -one.times)
    total = sum(one.times for one in ordered)
    if not total:
        return None
    kept, rest = (ordered, []) if len(ordered) <= shown + 1 else (ordered[:shown], ordered[shown:])
    if rest:
        kept = [*kept, Cause(f"{len(rest)} others, each rarer", sum(one.times for one in rest))]
    axis = Axis(0, total, LEFT, WIDTH - RIGHT)
    bars = tuple(_bars(kept, axis, total, bool(rest)))
    bottom = TOP + ROW * len(bars)
    return Pareto(
        says=_says(bars, total),
        height=bottom + BOTTOM,
        bottom=bottom,
        bars=bars,
        line=" ".join(f"{bar.x},{bar.y + BAR / 2}" for bar in bars),
        counts=_counts(axis, total),
        shares=tuple(Figure(x=axis.place(total * part / 4), text=f"{25 * part} %") for part in range(5)),
    )


def _bars(kept: Sequence[Cause], axis: Axis, total: int, rest: bool) -> list[Bar]:
    bars, sum_ = [], 0
    for number, one in enumerate(kept):
        sum_ += one.times
        bars.append(
            Bar(
                name=one.name,
                times=one.times,
                y=TOP + ROW * number + ROW - BAR - 4,
                length=round(axis.place(one.times) - axis.near, 1),
                x=axis.place(sum_),
                share=100 * one.times / total,
                together=100 * sum_ / total,
                rest=rest and number == len(kept) - 1,
            )
        )
    return bars


def _counts(axis: Axis, total: int) -> tuple[Figure, ...]:
    """Whole numbers only, and the total itself at the end."""
    marks = [t for t in written(ticks(0, total)) if t.value == int(t.value) and t.value < 0.88 * total]
    return (
        *(Figure(x=axis.place(t.value), text=t.label) for t in marks),
        Figure(x=axis.far, text=f"{total:,}"),
    )


def _says(bars: Sequence[Bar], total: int) -> str:
    most = bars[0]
    half = next(n for n, bar in enumerate(bars, 1) if bar.together >= 50)
    so = f"Most often: {most.name}, {most.times} of {total}."
    return so if half == 1 else f"{so} The first {half} make up {bars[half - 1].together:.0f} %."
