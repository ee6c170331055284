"""Lines of the exchange as files: JSON Lines, CSV and Parquet, written and read back."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from witnessmark.errors import BadInputError, WitnessmarkError

if TYPE_CHECKING:
    import pyarrow as pa

    from witnessmark.record import Line

GROUP = 20_000
"""Lines in one group of rows of a Parquet file."""


def missing(package: str, extra: str) -> WitnessmarkError:
    """The error for a package that was not installed with the program."""
    what = f"this needs the package {package}"
    return WitnessmarkError(what, remedy=f'Install it: pip install "witnessmark[{extra}]".')


def json_lines(lines: Iterable[Line]) -> Iterator[str]:
    """One JSON object a line, its keys in the order of the schema."""
    for line in lines:
        yield json.dumps(line.model_dump(mode="json"), ensure_ascii=False)


def write_csv(lines: Iterable[Line], out: Any) -> None:
    """Comma-separated values with a head; an empty field is null or empty text."""
    from witnessmark.record import Line

    table = csv.DictWriter(out, list(Line.model_fields), lineterminator="\n")
    table.writeheader()
    for line in lines:
        table.writerow(line.model_dump(mode="json"))


def write_parquet(lines: Iterable[Line], out: Path) -> None:
    """An Apache Parquet file with typed columns.

    Raises:
        WitnessmarkError: pyarrow is not installed.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise missing("pyarrow", "exchange") from error
    schema, rest = _columns(pa), iter(lines)
    with pq.ParquetWriter(out, schema, compression="zstd") as writer:
        while group := [line.model_dump() for line in islice(rest, GROUP)]:
            writer.write_table(pa.Table.from_pylist(group, schema=schema))


def _columns(pa: Any) -> pa.Schema:
    from witnessmark.record import Line

    own = {
        "on": pa.date32(),
        "when": pa.timestamp("us", tz="UTC"),
        "odometer": pa.float64(),
        "value": pa.float64(),
    }
    return pa.schema([(name, own.get(name, pa.string())) for name in Line.model_fields])


def read(path: Path) -> Iterator[Line]:
    """The lines of a file, by its ending.

    Raises:
        BadInputError: it cannot be read, or is not what ``witnessmark export`` writes.
        WitnessmarkError: pyarrow is not installed.
    """
    from pydantic import ValidationError

    from witnessmark.record import Line

    reader = READERS.get(path.suffix.lower())
    if reader is None:
        raise BadInputError("is no file of lines", str(path), f"Give one that ends in {', '.join(READERS)}.")
    try:
        for number, row in enumerate(reader(path), 1):
            try:
                yield Line.model_validate(row)
            except ValidationError as error:
                first = error.errors()[0]
                what = f"row {number}: {'.'.join(map(str, first['loc']))}: {first['msg']}"
                raise BadInputError(what, str(path), "docs/exchange.schema.json has the form.") from error
    except (OSError, UnicodeDecodeError, csv.Error, json.JSONDecodeError) as error:
        raise BadInputError(f"cannot be read ({error})", str(path), "Export it again.") from error


def _json_rows(path: Path) -> Iterator[Any]:
    with path.open(encoding="utf-8") as file:
        for line in file:
            if line.strip():
                yield json.loads(line)


def _csv_rows(path: Path) -> Iterator[Any]:
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield {key: value if value or key in _TEXTS else None for key, value in row.items()}


_TEXTS = frozenset(("heard", "why"))
"""Columns where empty is empty, and not null."""


def _parquet_rows(path: Path) -> Iterator[Any]:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise missing("pyarrow", "exchange") from error
    try:
        for batch in pq.ParquetFile(path).iter_batches():
            yield from batch.to_pylist()
    except pa.ArrowInvalid as error:
        raise BadInputError("is no Parquet file, or is damaged", str(path), "Export it again.") from error


READERS: dict[str, Callable[[Path], Iterator[Any]]] = {
    ".jsonl": _json_rows,
    ".csv": _csv_rows,
    ".parquet": _parquet_rows,
}
