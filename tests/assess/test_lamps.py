"""Dip of a headlamp: GB manual § 4.1.2 by an equipment manual that quotes it."""

from __future__ import annotations

import pytest

from witnessmark.assess import assess
from witnessmark.assess.lamps import band, drop_mm
from witnessmark.knowledge.limits import rules
from witnessmark.types import Draft, Grade, Reading


def dip(percent: float, height: float | None, country: str = "GB"):
    # No quantity of the vocabulary is a dip yet; any that is given in per cent on a headlamp is read as one.
    readings = [Reading(key="k", component="headlight_dip", quantity="remaining", value=percent, unit="%")]
    if height is not None:
        readings.append(
            Reading(key="h", component="headlight_dip", quantity="length", value=height, unit="mm")
        )
    return assess(Draft(id="d", text="", findings=tuple(readings)), rules(country)).verdicts_of("k")[0]


@pytest.mark.parametrize(
    ("percent", "height", "grade"),
    [
        (1.0, 900, Grade.MAJOR),  # above 850 mm: 1.25 to 2.75 %
        (1.0, 700, Grade.SOUND),  # up to 850 mm: 0.5 to 2.0 %
        (2.5, 700, Grade.MAJOR),
        (2.5, 900, Grade.SOUND),
        (0.2, None, Grade.MAJOR),  # out at any height
        (1.5, None, Grade.SOUND),  # in at any height
        (1.0, None, Grade.UNGRADED),  # depends on the height
    ],
)
def test_dip(percent, height, grade):
    assert dip(percent, height).grade is grade


def test_the_edge_belongs_to_the_lower_band():
    assert (band(850, "GB").low, band(850.1, "GB").low) == (0.5, 1.25)


@pytest.mark.parametrize(
    ("percent", "metres", "mm"),
    # Rider handbook: 20 to 80 mm at 3.81 m; the rest computed
    [(0.5, 3.81, 19), (2.0, 3.81, 76), (1.25, 3.81, 48), (2.75, 3.81, 105), (0.5, 10, 50), (2.75, 10, 275)],
)
def test_dip_on_a_wall(percent, metres, mm):
    assert drop_mm(percent, metres) == pytest.approx(mm, abs=0.5)


def test_a_country_without_a_band_judges_nothing():
    assert dip(5.0, 700, "DE").grade is Grade.UNGRADED
    assert dip(1.0, 700, "XX").grade is Grade.UNGRADED
