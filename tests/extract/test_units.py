"""Conversions against published factors.

Factors marked * are exact by definition; all as in NIST SP 811, Guide for the Use of the SI, appendix B.8.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.units import PINT_NAMES, UNITS, convert

FACTORS = (
    ("in", "mm", 25.4),  # *
    ("thou", "mm", 0.0254),  # *
    ("mi", "km", 1.609344),  # *
    ("psi", "kPa", 6.894757293168),
    ("psi", "bar", 0.06894757293),
    ("bar", "kPa", 100.0),  # *
    ("bar", "psi", 14.503774),
    ("kgf/cm2", "kPa", 98.0665),  # *
    ("kgf/cm2", "bar", 0.980665),  # *
    ("kgf/cm2", "psi", 14.223343),
    ("lbf*ft", "Nm", 1.3558179483),
    ("lbf*in", "Nm", 0.1129848290),
    ("kgf*m", "Nm", 9.80665),  # *
    ("L", "mL", 1000.0),
    ("min", "s", 60.0),
)
EXAMPLES = (
    # worked out by hand from the factors above, four figures
    (36, "psi", 2.482, "bar"),
    (36, "psi", 248.2, "kPa"),
    (36, "psi", 2.531, "kgf/cm2"),
    (42, "psi", 2.896, "bar"),
    (2.5, "bar", 36.26, "psi"),
    (2.9, "bar", 42.06, "psi"),
    (225, "kPa", 32.63, "psi"),
    (2 / 32, "in", 1.5875, "mm"),
    (30, "thou", 0.762, "mm"),
    (1, "lbf*ft", 1.356, "Nm"),
    (72.5, "lbf*ft", 98.30, "Nm"),
    (205, "degC", 401, "degF"),
    (600, "mi", 965.6, "km"),
)
FAMILIES = (
    ("mm", "in", "thou"),
    ("kPa", "psi", "bar", "kgf/cm2"),
    ("Nm", "lbf*ft", "lbf*in", "kgf*m"),
    ("km", "mi"),
    ("L", "mL"),
    ("s", "min"),
    ("degC", "degF"),
)


@pytest.mark.parametrize(("unit", "into", "factor"), FACTORS)
def test_published_factor(unit: str, into: str, factor: float) -> None:
    assert convert(1.0, unit, into) == pytest.approx(factor, rel=1e-7)


@pytest.mark.parametrize(("value", "unit", "result", "into"), EXAMPLES)
def test_worked_example(value: float, unit: str, result: float, into: str) -> None:
    assert convert(float(value), unit, into) == pytest.approx(result, rel=2e-4)


def test_every_unit_agrees_with_pint() -> None:
    """Pint, asked directly; its registry follows NIST SP 811 and CODATA."""
    import pint

    registry: Any = pint.UnitRegistry()
    for family in FAMILIES:
        for unit in family:
            for into in family:
                asked = registry.Quantity(3.7, PINT_NAMES.get(unit, unit))
                told = asked.to(PINT_NAMES.get(into, into)).magnitude
                assert convert(3.7, unit, into) == pytest.approx(told, rel=1e-12), (unit, into)


@given(
    st.sampled_from(FAMILIES).flatmap(lambda f: st.tuples(st.sampled_from(f), st.sampled_from(f))),
    st.floats(0.1, 500),
)
def test_there_and_back(units: tuple[str, str], value: float) -> None:
    unit, into = units
    assert convert(convert(value, unit, into), into, unit) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("unit", UNITS)
def test_a_unit_is_itself(unit: str) -> None:
    assert convert(2.5, unit, unit) == 2.5


@pytest.mark.parametrize(
    ("unit", "into"),
    [("psi", "mm"), ("V", "A"), ("mm", "%"), ("Nm", "psi"), ("smoot", "psi"), ("mm", "nonsense")],
)
def test_what_cannot_be_converted_is_refused(unit: str, into: str) -> None:
    with pytest.raises(ValueError, match="cannot express"):
        convert(1.0, unit, into)


def test_an_absolute_temperature_has_its_offset() -> None:
    """Definition of the degree Fahrenheit: 32 °F is 0 °C, 212 °F is 100 °C, −40 is the same on both."""
    assert [round(convert(f, "degF", "degC"), 9) for f in (32.0, 212.0, -40.0)] == [0, 100, -40]
