"""How registrations, VINs and distances are announced and spelled, from ``models/trade/identity.yaml``."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from witnessmark.knowledge.files import read_yaml


class Identity(NamedTuple):
    """Tables for reading the machine's identity."""

    registration: frozenset[tuple[str, ...]]
    vin: frozenset[tuple[str, ...]]
    odometer: frozenset[tuple[str, ...]]
    readout: frozenset[tuple[str, ...]]
    """Announces a distance where no other part is spoken of."""
    letters: dict[str, str]
    """Spelling word → capital letter."""
    formats: dict[str, tuple[re.Pattern[str], ...]]
    """Jurisdiction → what a registration there looks like."""
    stops: frozenset[str]
    span: frozenset[str]
    """Before a distance they say that it is one to go or gone by."""
    span_after: frozenset[str]
    meters: frozenset[str]
    other_meters: frozenset[str]
    """Meters whose distance is not the machine's."""
    named: frozenset[str]
    """In what announces a distance they say that it is the odometer's, and not some clock's."""
    live: frozenset[str]
    """Near a figure they say that it was measured on something that runs or carries current."""
    elsewhere: frozenset[str]
    """Before a distance they say that it is of a paper, a promise or somebody's ride."""
    clock: frozenset[str]
    """Before a distance they say that it is the clock's after all."""


@cache
def identity() -> Identity:
    """The tables, compiled."""
    raw = read_yaml("trade/identity.yaml")
    letters = {word: letter.upper() for letter, words in raw["letters"].items() for word in words}
    said = {
        key: frozenset(tuple(p.split()) for p in raw[key])
        for key in ("registration", "vin", "odometer", "readout")
    }
    return Identity(
        registration=said["registration"],
        vin=said["vin"],
        odometer=said["odometer"],
        readout=said["readout"],
        letters=letters,
        formats={where: tuple(re.compile(p) for p in patterns) for where, patterns in raw["formats"].items()},
        stops=frozenset(str(word) for word in raw["stops"]),
        span=frozenset(raw["span"]),
        span_after=frozenset(raw["span_after"]),
        meters=frozenset(raw["meters"]),
        other_meters=frozenset(raw["other_meters"]),
        named=frozenset(raw["named"]),
        live=frozenset(raw["live"]),
        elsewhere=frozenset(raw["elsewhere"]),
        clock=frozenset(raw["clock"]),
    )
