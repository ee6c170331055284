"""Brings a measurement to the form that limits have: a cold pressure, a rested voltage, an elongation."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from witnessmark.assess.chains import elongation_of
from witnessmark.assess.context import Context
from witnessmark.assess.wording import shown
from witnessmark.knowledge.electrics import electrics
from witnessmark.knowledge.tyres import tyres
from witnessmark.types import Limit, Reading
from witnessmark.units import convert


class Adjusted(NamedTuple):
    """A measurement as limits want it."""

    reading: Reading
    words: str = ""
    """How it was brought there."""
    refused: bool = False
    """Whether it cannot be held against any limit; ``words`` says why."""
    back: Callable[[Limit], tuple[Limit, str]] | None = None
    """A limit of ``reading`` turned into one of the measurement, with its unit."""


def adjusted(reading: Reading, context: Context) -> Adjusted:
    """The measurement as limits want it; unchanged where nothing is known that changes it."""
    change = _CHANGES.get((reading.component, reading.quantity))
    return change(reading, context) if change else Adjusted(reading)


def at_temperature(pressure: float, unit: str, from_degc: float, to_degc: float) -> float:
    """A gauge pressure at another temperature: gas law at constant volume.

    Args:
        pressure: gauge reading in ``unit``.
        unit: of pressure.
        from_degc: temperature at which it was read, in °C.
        to_degc: temperature asked for, in °C.
    """
    ambient = convert(tyres().gas.ambient_bar, "bar", unit)
    return (pressure + ambient) * (to_degc + 273.15) / (from_degc + 273.15) - ambient


def _cold_pressure(reading: Reading, context: Context) -> Adjusted:
    gas = tyres().gas
    told = context.beside(reading, "temperature")
    if told is None or isinstance(told.value, str) or told.unit not in ("degC", "degF"):
        return Adjusted(reading)
    degc = convert(told.value, told.unit, "degC")
    if degc > gas.hot_above_degC:
        at = shown(told.value, told.unit)
        words = f"At {at} the tyre is not cold; compare with the label only when it is, and let no air out"
        return Adjusted(reading, words, refused=True)
    if degc < -60:
        return Adjusted(reading)
    cold = at_temperature(float(reading.value), reading.unit or "bar", degc, gas.reference_degC)
    if abs(degc - gas.reference_degC) < 0.1:
        return Adjusted(reading)
    was = f"{shown(float(reading.value), reading.unit)} at {shown(told.value, told.unit)}"
    words = f"By the gas law from {was} to {gas.reference_degC:g} °C; real tyres change a little less"
    return Adjusted(reading.model_copy(update={"value": float(f"{cold:.5g}")}), words)


def rested_voltage(volts: float, degf: float) -> float:
    """A lead-acid battery's rested voltage as it would be at the reference temperature.

    Args:
        volts: measured, of a 12 V battery.
        degf: temperature of the battery, in °F.
    """
    battery = electrics().battery
    return volts - battery.volts_per_10_degF * (battery.reference_degF - degf) / 10


def _rested_voltage(reading: Reading, context: Context) -> Adjusted:
    told = context.beside(reading, "temperature")
    battery = electrics().battery
    chemistry = context.facts(reading).chemistry or "flooded"
    if told is None or isinstance(told.value, str) or told.unit not in ("degC", "degF"):
        return Adjusted(reading)
    degf = convert(told.value, told.unit, "degF")
    if chemistry not in battery.chemistries or not -100 < degf < 212:
        return Adjusted(reading)
    at_reference = rested_voltage(float(reading.value), degf)
    words = (
        f"{reading.value:g} V at {shown(told.value, told.unit)} counts as {at_reference:.2f} V at the"
        f" {battery.reference_degF:g} °F of the table"
    )
    return Adjusted(reading.model_copy(update={"value": round(at_reference, 3)}), words)


def _elongation(reading: Reading, context: Context) -> Adjusted:
    found = elongation_of(reading, context)
    if found is None:
        return Adjusted(reading)
    if found.percent is None:
        return Adjusted(reading, found.words, refused=True)
    derived = reading.model_copy(
        update={"quantity": "elongation", "value": round(found.percent, 3), "unit": "%", "limit": None}
    )

    def back(limit: Limit) -> tuple[Limit, str]:
        sides = {name: side for name, side in limit if side is not None}
        return Limit(
            **{name: round(found.new_mm * (1 + side / 100), 2) for name, side in sides.items()}
        ), "mm"

    return Adjusted(derived, found.words, back=back)


_CHANGES: dict[tuple[str, str], Callable[[Reading, Context], Adjusted]] = {
    ("tyre", "pressure"): _cold_pressure,
    ("battery", "voltage"): _rested_voltage,
    ("chain", "length"): _elongation,
}
