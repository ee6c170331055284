"""Units as findings write them, converted by Pint.

Factors are Pint's, whose registry follows NIST SP 811 and the 2019 SI; the tests check them against
the published factors.
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

PINT_NAMES = {
    "in": "inch",
    "thou": "thou",
    "kgf/cm2": "kgf/cm**2",
    "Nm": "N*m",
    "lbf*ft": "lbf*ft",
    "lbf*in": "lbf*inch",
    "kgf*m": "kgf*m",
    "mi": "mile",
    "degC": "degC",
    "degF": "degF",
    "rpm": "rpm",
    "1/min": "1/min",
    "%": "percent",
}
"""Our unit → Pint's name, where they differ."""

UNITS = (
    "mm", "in", "thou", "kPa", "psi", "bar", "kgf/cm2", "V", "A", "Nm", "lbf*ft", "lbf*in", "kgf*m",
    "km", "mi", "L", "mL", "s", "min", "rpm", "1/min", "%", "degC", "degF",
)  # fmt: skip
"""Every unit that a reading may carry."""


@cache
def _registry() -> Any:
    import pint  # heavy: only when a conversion is wanted

    return pint.UnitRegistry(cache_folder=":auto:")


@lru_cache(maxsize=512)
def convert(value: float, unit: str, into: str) -> float:
    """``value`` of ``unit`` expressed in ``into``.

    Raises:
        ValueError: when a unit is unknown or the two measure different things.
    """
    if unit == into:
        return value
    import pint

    try:
        quantity = _registry().Quantity(value, PINT_NAMES.get(unit, unit))
        return float(quantity.to(PINT_NAMES.get(into, into)).magnitude)
    except (pint.DimensionalityError, pint.UndefinedUnitError) as error:
        raise ValueError(f"cannot express {unit} in {into}") from error


def text_of(value: float | str, unit: str | None) -> str:
    """``2.5 mm``, ``22 psi``, ``2017-W22``: a value as a person writes it."""
    number = value if isinstance(value, str) else f"{value:.4g}" if abs(value) < 1000 else f"{value:,.0f}"
    shown = {"degC": "°C", "degF": "°F", "lbf*ft": "lbf·ft", "lbf*in": "lbf·in", "kgf*m": "kgf·m",
             "kgf/cm2": "kgf/cm²", "1/min": "per minute"}.get(unit or "", unit or "")  # fmt: skip
    return f"{number}{'' if shown == '%' else ' ' if shown else ''}{shown}"
