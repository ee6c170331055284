"""The recipes of DEVELOPERS.md work as they stand there: carried out on a copy of the program."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
BLOCK = re.compile(
    r"```yaml\n# (models/\S+), (a new file|at the end|under (\w+)|in the list of (\w+))\n(.*?)```", re.S
)
TALK = (
    "The rear arresters are fine. The front pads are glazed. "
    "Front tyre tread is 1.5 mm. Brake lever free play is 30 mm."
)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program with every recipe carried out."""
    folder = tmp_path_factory.mktemp("copy")
    shutil.copytree(ROOT / "pipeline", folder / "pipeline", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "models", folder / "models")
    recipes = BLOCK.findall((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert len(recipes) == 9
    for path, where, under, listed, rows in recipes:
        carry_out(folder / path, where, under, listed, rows)
    return folder


def carry_out(file: Path, where: str, under: str, listed: str, rows: str) -> None:
    before = "" if where == "a new file" else file.read_text("utf-8")
    if under:
        after, found = re.subn(rf"^{under}:\n", lambda m: m[0] + rows, before, count=1, flags=re.M)
    elif listed:
        after, found = re.subn(
            rf"^{listed}: \[", lambda m: f"{m[0]}{rows.strip()}, ", before, count=1, flags=re.M
        )
    else:
        after, found = f"{before}\n{rows}", 1
    assert found == 1
    file.write_text(after, "utf-8")


def run(copy: Path, *arguments: str) -> str:
    command = [sys.executable, *arguments]
    surroundings = os.environ | {"PYTHONPATH": str(copy / "pipeline")}
    ran = subprocess.run(command, cwd=copy, env=surroundings, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


def findings(copy: Path) -> list[dict[str, Any]]:
    (copy / "t.txt").write_text(TALK, "utf-8")
    return json.loads(run(copy, "-m", "witnessmark", "extract", "t.txt"))["findings"]


def test_doctor_is_content(copy: Path) -> None:
    told = run(copy, "-m", "witnessmark", "doctor", "--model", "tiny.en", "--store", "none.sqlite", "--json")
    (knowledge,) = (check for check in json.loads(told) if check["name"] == "knowledge")
    assert knowledge["found"] == str(copy / "models")
    assert knowledge["problems"] == []


def test_the_word_and_the_condition_are_understood(copy: Path) -> None:
    assert {(f["component"], f["end"], f["condition"]) for f in findings(copy) if "condition" in f} == {
        ("brakes", "rear", "sound"),
        ("brake_pads", "front", "glazed"),
    }


def test_they_are_new(copy: Path) -> None:
    (copy / "t.txt").write_text(TALK, "utf-8")
    found = json.loads(run(ROOT, "-m", "witnessmark", "extract", str(copy / "t.txt")))["findings"]
    assert not any(f.get("condition") == "glazed" or f["component"] == "brakes" for f in found)


JUDGE = """
import sys
from datetime import date
from witnessmark.extract import extract
from witnessmark.run import judge
for country in ("GB", "XA"):
    draft = extract(sys.argv[1], jurisdiction=country)
    for verdict in judge(draft, date(2026, 5, 21), draft.machine).verdicts:
        print(country, verdict.rule, verdict.grade)
"""


def test_the_limit_the_severity_and_the_country_judge(copy: Path) -> None:
    told = run(copy, "-c", JUDGE, TALK).splitlines()
    assert "GB gb.example.free-play minor" in told
    assert "GB lining.glazed minor" in told
    assert "XA xa.tyre.tread major" in told
