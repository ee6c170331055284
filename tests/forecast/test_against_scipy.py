"""Slope, interval and quantiles against SciPy; how often the interval holds against simulated machines."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from witnessmark.forecast.line import Point, crossing, error_of, fit, scatters, slope_error

from .making import RULES

GAUGE = 0.2
HISTORIES = [
    [(10_000, 3.2), (14_000, 2.2)],
    [(18_090, 4.2), (23_923, 3.1), (28_855, 2.0)],
    [(1000, 5.9), (3000, 5.3), (6500, 4.6), (9000, 3.9), (12_000, 3.3)],
    [(1000, 5.9), (4000, 4.4), (7000, 4.7), (10_000, 2.6), (13_000, 2.5), (16_000, 1.2)],
]


def points(history: list[tuple[float, float]]) -> list[Point]:
    return [Point(*one) for one in history]


@pytest.mark.parametrize("freedom", range(1, len(RULES.quantiles) + 1))
def test_quantiles(freedom: int) -> None:
    assert RULES.student(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=1e-4)
    assert RULES.chi_square(freedom) == pytest.approx(stats.chi2.ppf(0.95, freedom), rel=1e-4)


def test_the_normal_quantile() -> None:
    assert RULES.normal == pytest.approx(stats.norm.ppf(0.975), rel=1e-4)


@pytest.mark.parametrize("history", HISTORIES)
def test_the_line_is_that_of_linregress(history: list[tuple[float, float]]) -> None:
    line, reference = fit(points(history)), stats.linregress(*zip(*history, strict=True))
    assert line.slope == pytest.approx(reference.slope)
    assert line.mean_y - line.slope * line.mean_x == pytest.approx(reference.intercept)


@pytest.mark.parametrize("history", HISTORIES[:3])
def test_the_error_of_the_slope_is_that_of_curve_fit_with_known_errors(
    history: list[tuple[float, float]],
) -> None:
    """The gauge explains the scatter: errors of 0.2 mm in 95 of 100 cases, known beforehand."""
    line = fit(points(history))
    assert not scatters(line, GAUGE, RULES)
    known = np.full(len(history), GAUGE / stats.norm.ppf(0.975))
    x, y = np.array(history, float).T
    _, covariance = optimize.curve_fit(lambda x, a, b: a + b * x, x, y, sigma=known, absolute_sigma=True)
    reference = stats.norm.ppf(0.975) * covariance[1, 1] ** 0.5
    assert slope_error(line, error_of(line, GAUGE, RULES)) == pytest.approx(reference, rel=1e-4)


def test_the_error_of_the_slope_is_that_of_linregress_where_the_scatter_is_more() -> None:
    history = HISTORIES[3]
    line, reference = fit(points(history)), stats.linregress(*zip(*history, strict=True))
    assert scatters(line, GAUGE, RULES)
    expected = stats.t.ppf(0.975, len(history) - 2) * reference.stderr
    assert slope_error(line, error_of(line, GAUGE, RULES)) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("history", HISTORIES)
def test_the_interval_is_where_the_band_crosses_the_limit(history: list[tuple[float, float]]) -> None:
    """The band about the line by its textbook formula, its crossings found numerically."""
    x, y = np.array(history, float).T
    fitted = stats.linregress(x, y)
    line = fit(points(history))
    error = error_of(line, GAUGE, RULES)

    def edge(sign: int) -> Callable[[float], float]:
        def band(at: float) -> float:
            width = error * (1 / len(x) + (at - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum()) ** 0.5
            return fitted.intercept + fitted.slope * at + sign * width - 1.0

        return band

    found = crossing(line, 1.0, error)
    assert found is not None
    assert found.value == pytest.approx((1.0 - fitted.intercept) / fitted.slope)
    assert found.low == pytest.approx(optimize.brentq(edge(-1), x.mean(), 1e6), rel=1e-6)
    assert found.high == pytest.approx(optimize.brentq(edge(+1), x.mean(), 1e7), rel=1e-6)


@pytest.mark.parametrize("visits", [2, 3, 4, 6])
def test_the_interval_holds_the_true_distance_in_95_of_100_machines(visits: int) -> None:
    """Simulated: even wear, errors of a gauge as declared. 2000 machines; three standard errors are 1.5 %."""
    random = np.random.default_rng(visits)
    held = told = 0
    for _ in range(2000):
        rate = random.uniform(0.15, 0.4) / 1000
        x = np.sort(random.uniform(0, 9000, visits))
        x[-1] = x[0] + max(x[-1] - x[0], 3000)
        y = 6 - rate * x + random.normal(0, GAUGE / stats.norm.ppf(0.975), visits)
        line = fit([Point(*one) for one in zip(x, y, strict=True)])
        found = crossing(line, 1.0, error_of(line, GAUGE, RULES))
        if found is not None:
            told += 1
            held += found.low <= 5 / rate <= found.high
    assert told > 1900
    assert 0.935 <= held / told <= 0.985


@given(
    st.lists(
        st.tuples(st.integers(0, 60_000), st.integers(5, 90)),
        min_size=2,
        max_size=8,
        unique_by=lambda p: p[0],
    ),
    st.floats(0.5, 3.0),
)
def test_bounds_always_hold_the_estimate(history: list[tuple[int, int]], limit: float) -> None:
    line = fit([Point(x, y / 10) for x, y in history])
    found = crossing(line, limit, error_of(line, GAUGE, RULES))
    if found is not None:
        slack = 1e-6 * (1 + abs(found.value))
        assert found.low - slack <= found.value <= found.high + slack
