"""A workshop's own prices: labour, parts and tax, from a YAML or CSV file that it keeps.

docs/summarise.md shows both forms. Numbers are decimal, as written; ``40-60`` is a span.
"""

from __future__ import annotations

import csv
import re
from decimal import Decimal, InvalidOperation
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, NamedTuple

import yaml
from pydantic import BeforeValidator, Field, ValidationError

from witnessmark.errors import BadInputError
from witnessmark.knowledge.card_rules import WorkId
from witnessmark.knowledge.rows import ComponentId, fault_of
from witnessmark.types import End, Frozen

SHOWN = "docs/summarise.md shows the form."


class Between(NamedTuple):
    """A figure, or the span in which it lies."""

    low: Decimal
    high: Decimal

    def times(self, factor: Decimal) -> Between:
        """Both ends times a factor."""
        return Between(self.low * factor, self.high * factor)

    def plus(self, other: Between) -> Between:
        """The sum of two spans."""
        return Between(self.low + other.low, self.high + other.high)


NOTHING = Between(Decimal(0), Decimal(0))


def _between(value: object) -> object:
    """``45``, ``40-60`` or a list of two."""
    texts = [str(one) for one in value] if isinstance(value, list) else re.split(r"\s*(?:-|–)\s*", str(value))
    try:
        ends = [Decimal(text.strip()) for text in texts]
    except InvalidOperation:
        raise ValueError(f"{value!r} is not a number or a span such as 40-60") from None
    if len(ends) not in (1, 2) or not all(end.is_finite() and end >= 0 for end in ends) or ends[0] > ends[-1]:
        raise ValueError(f"{value!r} is not a number or a span such as 40-60")
    return Between(ends[0], ends[-1])


Span = Annotated[Between, BeforeValidator(_between)]
Amount = Annotated[Decimal, Field(ge=0, allow_inf_nan=False)]


class PricedPart(Frozen):
    """Parts of one kind that a job needs."""

    name: str
    price: Span
    """Of one, before tax."""
    quantity: Amount = Decimal(1)


class PricedJob(Frozen):
    """One piece of work."""

    component: ComponentId
    work: WorkId
    end: End | None = None
    """Left out: at either end."""
    minutes: Span
    parts: tuple[PricedPart, ...] = ()


class Prices(Frozen):
    """The whole file."""

    currency: Annotated[str, Field(pattern="^[A-Z]{3}$")]
    """ISO 4217."""
    rate: Amount
    """For an hour of labour, before tax."""
    tax: Annotated[Decimal, Field(ge=0, le=100)]
    """Per cent."""
    tax_name: str = ""
    """Nothing: the language's word for it."""
    jobs: tuple[PricedJob, ...] = ()

    @cached_property
    def _by_work(self) -> dict[tuple[str, str, str | None], PricedJob]:
        return {(job.component, job.work, job.end): job for job in self.jobs}

    def of(self, component: str, work: str, end: End | None) -> PricedJob | None:
        """The row for this end, else the one for either end."""
        return self._by_work.get((component, work, end)) or self._by_work.get((component, work, None))


def read_prices(path: Path) -> Prices:
    """A price file, checked.

    Raises:
        BadInputError: it cannot be read, or something is wrong with it; the message names the row.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
        raw = _from_csv(text) if path.suffix.lower() == ".csv" else yaml.load(text, Loader=yaml.BaseLoader)
    except (OSError, UnicodeDecodeError, yaml.YAMLError, csv.Error) as error:
        why = (error.strerror if isinstance(error, OSError) else None) or error
        raise BadInputError(f"cannot be read as prices ({why}).", str(path), SHOWN) from error
    if not isinstance(raw, dict):
        raise BadInputError("has no prices.", str(path), SHOWN)
    try:
        found = Prices.model_validate(raw)
    except ValidationError as error:
        raise BadInputError(_fault(error, raw), str(path), SHOWN) from error
    _refuse_twins(found, path)
    return found


def _fault(error: ValidationError, raw: dict[str, Any]) -> str:
    """What is wrong first, and in which row."""
    first = error.errors()[0]
    place = [str(step) for step in first["loc"]]
    row = f"row {int(place[1]) + 1} of jobs: " if place[:1] == ["jobs"] and len(place) > 1 else ""
    return f"{row}{fault_of(PricedJob, first)}."


def _refuse_twins(found: Prices, path: Path) -> None:
    seen = set()
    for job in found.jobs:
        key = (job.component, job.work, job.end)
        if key in seen:
            name = " ".join(filter(None, (job.work, job.end, job.component)))
            raise BadInputError(f"the work {name!r} has two rows.", str(path), "Keep one.")
        seen.add(key)


def _from_csv(text: str) -> dict[str, Any]:
    """Rows of one part each; those of the same work belong together. Settings are rows of ``workshop``."""
    raw: dict[str, Any] = {"jobs": []}
    jobs: dict[tuple[str, ...], dict[str, Any]] = {}
    for row in csv.DictReader(text.splitlines()):
        cells = {str(key).strip(): (value or "").strip() for key, value in row.items() if key is not None}
        if cells.get("component") == "workshop":
            raw[cells.get("work", "")] = cells.get("price", "")
        elif any(cells.values()):
            _add(jobs, cells)
    raw["jobs"] = list(jobs.values())
    return raw


def _add(jobs: dict[tuple[str, ...], dict[str, Any]], cells: dict[str, str]) -> None:
    place = tuple(cells.get(name, "") for name in ("component", "work", "end"))
    job = jobs.setdefault(
        place, {"component": place[0], "work": place[1], "end": place[2] or None, "parts": []}
    )
    if cells.get("minutes"):
        job["minutes"] = cells["minutes"]
    if cells.get("part"):
        part = {"name": cells["part"], "price": cells.get("price", "")}
        job["parts"].append({**part, "quantity": cells.get("quantity") or "1"})
