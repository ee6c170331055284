"""Cases: something said, and all that must be read from it, one line for each item.

A case file holds blocks parted by blank lines. In a block the lines that are not indented are what is said,
the indented ones what is read from it; ``#`` begins a comment. Lines read so::

    @ US                                       the country of the cases that follow
    brake_disc front - scoring absent          component, end, side, condition, state
    brake_pads rear - unseen
    chain - - slack 45 mm found low 25 high 35  quantity, value, unit, phase, limit
    ! tyre rear - inflate done                 work
    = odometer 14230 mi                        the machine's identity
    nothing

A line may end in ``? misheard_word``: a doubt that the item, or the machine for its odometer, has to carry.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from _pytest.mark import ParameterSet

from walkrounds.scoring import line
from witnessmark.extract import extract
from witnessmark.types import Draft

FOLDER = Path(__file__).parent / "cases"
NOTHING = "nothing"
_KNOWN = pytest.mark.xfail(strict=True, raises=AssertionError, reason="known failure")


@dataclass(frozen=True)
class Case:
    """One thing said and the lines it should come to."""

    said: str
    lines: tuple[str, ...]
    jurisdiction: str | None

    def check(self) -> None:
        """Fails unless exactly these items are read."""
        found = draft_lines(extract(self.said, id="case", jurisdiction=self.jurisdiction), self._doubts())
        right = Counter(line for line in self.lines if line != NOTHING)
        missed, extra = right - Counter(found), Counter(found) - right
        wrong = [f"  missed {line}" for line in missed] + [f"  extra  {line}" for line in extra]
        assert wrong == [], "\n".join([self.said, *wrong])

    def _doubts(self) -> frozenset[str]:
        """The kinds of doubt that the case asks for; others are not looked at."""
        return frozenset(line.split(" ? ")[1] for line in self.lines if " ? " in line)


def cases(name: str) -> list[ParameterSet]:
    """The cases of one file as parameters, those in ``known_failures.txt`` marked so."""
    return [
        pytest.param(case, id=case.said[:60], marks=[_KNOWN] if case.said in failing() else [])
        for case in read(FOLDER / f"{name}.case")
    ]


def params(values: Iterable[str], *not_yet: str) -> list[ParameterSet]:
    """Values as parameters, those that the extractor does not read yet marked as known failures."""
    return [pytest.param(value, marks=[_KNOWN] if value in not_yet else []) for value in values]


@cache
def failing() -> frozenset[str]:
    """What is said in the cases that the extractor does not read yet."""
    lines = (FOLDER / "known_failures.txt").read_text("utf-8").splitlines()
    return frozenset(line for line in lines if line and not line.startswith("#"))


def read(path: Path) -> list[Case]:
    """All cases of a file, in order."""
    found: list[Case] = []
    said: list[str] = []
    lines: list[str] = []
    jurisdiction: str | None = "GB"
    for text in [*path.read_text("utf-8").splitlines(), ""]:
        if not text.strip():
            if said:
                assert lines, f"{path.name}: no lines for {said}"
                found.append(Case(" ".join(said), tuple(lines), jurisdiction))
            said, lines = [], []
        elif text.startswith("@"):
            jurisdiction = text[1:].strip()
        elif text.startswith("    "):
            lines.append(" ".join(text.split()))
        elif not text.startswith("#"):
            said.append(text.strip())
    return found


def lines_of(said: str, jurisdiction: str | None = "GB") -> list[str]:
    """All that is read from something said, in order."""
    return draft_lines(extract(said, id="case", jurisdiction=jurisdiction))


def draft_lines(draft: Draft, doubts: frozenset[str] = frozenset()) -> list[str]:
    """A draft as lines, with those of its doubts that are asked for."""
    machine = draft.machine
    lines = [f"= {key} {getattr(machine, key)}" for key in ("registration", "vin") if getattr(machine, key)]
    if machine.odometer:
        kinds = [doubt.kind for doubt in machine.doubts if doubt.kind in doubts]
        odometer = f"= odometer {machine.odometer.value:g} {machine.odometer.unit}"
        lines.append(" ? ".join((odometer, *kinds)))
    for item in draft.items:
        kinds = [doubt.kind for doubt in item.doubts if doubt.kind in doubts]
        lines.append(" ? ".join((line(item.model_dump(mode="json")), *kinds)))
    return lines
