"""``witnessmark export`` writes what is confirmed; ``witnessmark adopt`` takes it over elsewhere."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import icalendar
import pyarrow.parquet as pq
import pytest

from helpers_cli import Run
from witnessmark.record import Exchange, Line, Store

from .test_store import confirmed


def lines(path: Path) -> list[Line]:
    with Store.open(path) as record:
        return list(Exchange(record).lines())


def test_json_lines_are_the_lines(run: Run, store: Path) -> None:
    confirmed(store)
    ran = run("export", "--store", store)
    assert ran.status == 0
    assert [Line.model_validate_json(line) for line in ran.out.splitlines()] == lines(store)
    assert {json.loads(line)["registration"] for line in ran.out.splitlines()} == {"KX21WPT"}


def test_nothing_that_waits_is_written(run: Run, store: Path) -> None:
    assert run("export", "--store", store).out == ""


def test_since_a_day_to_come_nothing_is_written(run: Run, store: Path) -> None:
    confirmed(store)
    assert run("export", "--store", store, "--since", "2999-01-01").out == ""
    assert run("export", "--store", store, "--since", "2001-01-01").out.count("\n") == len(lines(store))


@pytest.mark.parametrize("name", ["out.jsonl", "out.csv", "out.parquet"])
def test_every_form_comes_back_as_it_went(run: Run, store: Path, tmp_path: Path, name: str) -> None:
    confirmed(store)
    out, other = tmp_path / name, tmp_path / "other.sqlite"
    assert run("export", "--store", store, "--out", out).status == 0
    count = len(lines(store))
    ran = run("adopt", out, "--store", other, "--who", "Ben")
    assert (ran.status, ran.out) == (0, f"{out}: {count} lines taken over.\n")
    with Store.open(other) as record:
        assert sorted(Exchange(record).from_elsewhere("KX21 WPT"), key=lambda line: line.item) == sorted(
            lines(store), key=lambda line: line.item
        )
    assert run("adopt", out, "--store", other, "--who", "Ben").out == f"{out}: 0 lines taken over.\n"


def test_a_csv_has_a_head_and_a_row_each(run: Run, store: Path, tmp_path: Path) -> None:
    confirmed(store)
    run("export", "--store", store, "--out", tmp_path / "out.csv")
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == list(Line.model_fields)
    assert len(rows) == len(lines(store))
    assert run("export", "--store", store, "--as", "csv").out == (tmp_path / "out.csv").read_text("utf-8")


def test_parquet_has_typed_columns(run: Run, store: Path, tmp_path: Path) -> None:
    confirmed(store)
    run("export", "--store", store, "--out", tmp_path / "out.parquet")
    schema = pq.read_schema(tmp_path / "out.parquet")
    assert {name: str(schema.field(name).type) for name in ("on", "when", "value", "unit")} == {
        "on": "date32[day]",
        "when": "timestamp[us, tz=UTC]",
        "value": "double",
        "unit": "string",
    }
    assert [path.name for path in tmp_path.iterdir() if "out" in path.name] == ["out.parquet"]
    assert run("export", "--store", store, "--as", "parquet").status == 2


def test_follow_ups_are_a_calendar(run: Run, store: Path, tmp_path: Path) -> None:
    id = confirmed(store)
    out = tmp_path / "next.ics"
    assert run("export", "--store", store, "--out", out).status == 0
    calendar = icalendar.Calendar.from_ical(out.read_bytes())
    todos = calendar.walk("VTODO")
    assert [str(todo["uid"]) for todo in todos] == [f"{id}-fork_seal.left.replace@witnessmark"]
    assert "KX21WPT: " in str(todos[0]["summary"])
    (event,) = calendar.walk("VEVENT")
    assert str(event["uid"]) == "look-KX21WPT@witnessmark"
    assert event["dtstart"].dt.isoformat() >= "2026-05-21"
    again = run("export", "--store", store, "--as", "ics").out
    assert again.splitlines() == out.read_text("utf-8").splitlines()


def test_a_reader_that_stops_early_is_no_fault(store: Path) -> None:
    confirmed(store)
    code = (
        f"import sys; from witnessmark.cli import main; sys.exit(main(['export', '--store', {str(store)!r}]))"
    )
    writing = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert writing.stdout is not None
    writing.stdout.close()
    assert writing.stderr is not None
    assert writing.stderr.read() == b""
    assert writing.wait(timeout=60) == 1


def test_whole_walkrounds_move_to_another_record(run: Run, store: Path, tmp_path: Path) -> None:
    id = confirmed(store)
    out, other = tmp_path / "move.jsonl", tmp_path / "other.sqlite"
    assert run("export", "--store", store, "--as", "whole", "--out", out).status == 0
    with Store.open(store) as record:
        before = record.walkround(id)
    ran = run("adopt", out, "--store", other, "--who", "Ben")
    assert ran.out == f"{out}: 1 walkrounds and {len(before.decisions)} decisions taken over.\n"
    with Store.open(other) as record:
        assert record.walkround(id) == before
        assert record.history("KX21WPT").visits[0].walkround == id
        assert record.check() == []
    assert "0 walkrounds and 0 decisions" in run("adopt", out, "--store", other, "--who", "Ben").out


@pytest.mark.parametrize(
    ("name", "content", "problem"),
    [
        ("x.csv", "walkround,item\nw-1,f-1\n", "row 1: standing"),
        ("x.jsonl", "{}\n", "row 1: walkround"),
        ("x.jsonl", "nonsense\n", "cannot be read"),
        ("x.jsonl", '{"transcript": 1}\n', "line 1 is no walkround"),
        ("x.parquet", "nonsense", "no Parquet file"),
        ("x.doc", "", "no file of lines"),
    ],
)
def test_a_file_of_another_form_is_told(
    run: Run, tmp_path: Path, name: str, content: str, problem: str
) -> None:
    (tmp_path / name).write_text(content, "utf-8")
    ran = run("adopt", tmp_path / name, "--store", tmp_path / "other.sqlite", "--who", "Ben")
    assert ran.status == 2
    assert problem in ran.err


def test_an_ending_that_says_nothing_is_told(run: Run, store: Path, tmp_path: Path) -> None:
    assert run("export", "--store", store, "--out", tmp_path / "out.xyz").status == 2
    assert run("export", "--store", store, "--out", tmp_path / "none" / "out.csv").status == 1
    assert run("export", "--store", store, "--out", tmp_path / "none" / "out.parquet").status == 1
