"""``witnessmark extract`` reads every kind of talk and writes one JSON object a line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from helpers_cli import Ran, Run

from .conftest import TALK, transcript

OBSERVATION = {"component", "end", "side", "condition", "state"}
READING = {"component", "end", "side", "quantity", "value", "unit", "limit", "phase"}
ACTION = {"component", "end", "side", "kind", "status"}
ADDED = {"evidence", "confidence", "doubts"}
"""Keys of the contract, and what the product adds."""


def rows(ran: Ran) -> list[dict]:
    return [json.loads(line) for line in ran.out.splitlines()]


def written(path: Path, content: object) -> Path:
    path.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
    return path


def test_a_text_gives_one_line_with_the_keys_of_the_contract(run: Run, tmp_path: Path) -> None:
    ran = run("extract", written(tmp_path / "monday.txt", TALK), "--jurisdiction", "GB")
    (row,) = rows(ran)
    assert ran.status == 0
    assert row["id"] == "monday"
    assert row["machine"]["registration"] == "KX21WPT"
    assert row["machine"]["vin"] is None
    assert row["machine"]["odometer"] == {"value": 14200, "unit": "mi"}
    readings = [f for f in row["findings"] if "quantity" in f]
    observations = [f for f in row["findings"] if "quantity" not in f]
    assert all(set(f) >= READING | ADDED for f in readings)
    assert all(set(f) >= OBSERVATION | ADDED for f in observations)
    assert all(set(a) >= ACTION | ADDED for a in row["actions"])
    assert {(f["component"], f["end"], f["value"]) for f in readings} == {
        ("tyre", "front", 0.8),
        ("brake_pads", "rear", 4),
    }
    assert ("fork_seal", "left", "leak", "present") in {
        (f["component"], f["side"], f["condition"], f["state"]) for f in observations
    }
    assert [(a["component"], a["kind"], a["status"]) for a in row["actions"]] == [
        ("fork_seal", "replace", "wanted")
    ]


def test_evidence_points_into_the_text(run: Run, tmp_path: Path) -> None:
    (row,) = rows(run("extract", written(tmp_path / "monday.txt", TALK)))
    pieces = [piece for item in (*row["findings"], *row["actions"]) for piece in item["evidence"]]
    assert pieces
    assert all(row["text"][p["char_start"] : p["char_end"]] == p["text"] for p in pieces)
    assert all(p["start"] is None for p in pieces)


def test_a_transcript_gives_evidence_its_seconds(run: Run, tmp_path: Path) -> None:
    file = written(tmp_path / "t.json", transcript(name="monday.m4a").model_dump_json())
    (row,) = rows(run("extract", file))
    (horn,) = (f for f in row["findings"] if f["component"] == "horn")
    first = TALK.split().index("horn")
    assert row["id"] == "monday"
    assert horn["evidence"][0]["start"] <= first / 3 < horn["evidence"][0]["end"]


def test_a_talk_in_json_says_its_own_id_and_country(run: Run, tmp_path: Path) -> None:
    text = "The nearside mirror is cracked."
    file = written(tmp_path / "t.json", {"id": "w7", "text": text, "jurisdiction": "DE", "style": "terse"})
    (row,) = rows(run("extract", file, "--jurisdiction", "GB"))
    assert (row["id"], row["jurisdiction"]) == ("w7", "DE")
    assert row["findings"][0]["side"] == "right"  # nearside is the kerb's side, on the right where traffic is
    file = written(tmp_path / "u.json", {"id": "w8", "text": text})
    (row,) = rows(run("extract", file, "--jurisdiction", "GB"))
    assert row["jurisdiction"] == "GB"
    assert row["findings"][0]["side"] == "left"


def test_json_lines_hold_many_talks(run: Run, tmp_path: Path) -> None:
    talks = [{"id": f"w{n}", "text": "The horn works."} for n in range(3)]
    file = written(tmp_path / "many.jsonl", "\n".join(map(json.dumps, talks)))
    assert [row["id"] for row in rows(run("extract", file))] == ["w0", "w1", "w2"]


def test_limits_said_have_only_their_own_bounds(run: Run, tmp_path: Path) -> None:
    file = written(tmp_path / "t.txt", "Chain slack was 42 millimetres, limits 25 to 35.")
    (row,) = rows(run("extract", file))
    assert row["findings"][0]["limit"] == {"low": 25, "high": 35}


def test_one_bad_file_does_not_lose_the_others(run: Run, tmp_path: Path) -> None:
    good = [written(tmp_path / f"{n}.txt", "The horn works.") for n in "ac"]
    bad = written(tmp_path / "b.json", "{")
    ran = run("extract", good[0], bad, good[1])
    assert ran.status == 2
    assert [row["id"] for row in rows(ran)] == ["a", "c"]
    assert ran.err.count("\n") == 1
    assert str(bad) in ran.err


def test_a_file_takes_the_lines(run: Run, tmp_path: Path) -> None:
    talk = written(tmp_path / "a.txt", "The horn works.")
    ran = run("extract", talk, "--out", tmp_path / "out.jsonl")
    assert (ran.status, ran.out, ran.err) == (0, "", "")
    assert json.loads((tmp_path / "out.jsonl").read_text("utf-8"))["id"] == "a"


def test_the_output_never_overwrites_what_is_to_be_read(run: Run, tmp_path: Path) -> None:
    talk = written(tmp_path / "a.json", {"id": "a", "text": "The horn works."})
    ran = run("extract", talk, "--out", talk)
    assert ran.status == 1
    assert str(talk) in ran.err
    assert json.loads(talk.read_text("utf-8"))["id"] == "a"


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("t.txt", " \n", "no words"),
        ("t.json", "{", "not JSON"),
        ("t.json", "[1]", "no talk"),
        ("t.json", {"id": "x", "text": 3}, "no talk"),
        ("t.json", {"recording": {"name": "x"}}, "not a transcript"),
        ("t.json", transcript().model_dump(mode="json") | {"text": "otherwise"}, "do not fit"),
        ("t.json", transcript("").model_dump(mode="json"), "no words"),
    ],
)
def test_bad_talks_get_one_message(run: Run, tmp_path: Path, name: str, content: object, says: str) -> None:
    file = written(tmp_path / name, content)
    ran = run("extract", file)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert says in ran.err
    assert str(file) in ran.err


def test_text_in_another_encoding_is_refused(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "t.txt"
    file.write_bytes("Brems\xfcng".encode("latin-1"))
    ran = run("extract", file)
    assert ran.status == 2
    assert "UTF-8" in ran.err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("how", [["--out", "/dev/full"], []])
def test_a_full_disk_is_told(tmp_path: Path, how: list[str]) -> None:
    talk = written(tmp_path / "a.txt", "The horn works.")
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "witnessmark", "extract", str(talk), *how]
        ran = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert ran.returncode == 1
    assert "No space left on device" in ran.stderr
    assert "Traceback" not in ran.stderr
