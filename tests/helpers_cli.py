"""How a command of the command line ended, for the tests of several folders."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple


class Ran(NamedTuple):
    """How a command ended."""

    status: int
    out: str
    err: str


Run = Callable[..., Ran]
"""Takes the arguments after the program's name."""
