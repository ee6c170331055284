"""The wheel carries everything: built, installed away from the checkout, and used there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

pytestmark = pytest.mark.full
ROOT = Path(__file__).resolve().parents[2]
BIN = "Scripts" if os.name == "nt" else "bin"


def ran(*command: object, cwd: Path) -> str:
    """Standard output of a command that has to succeed, run where nothing of the checkout is in reach."""
    clean = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "WITNESSMARK"))
    }
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=clean, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a virtual environment that has the wheel and nothing of the checkout."""
    folder = tmp_path_factory.mktemp("elsewhere")
    ran(sys.executable, "-m", "build", "--wheel", "--outdir", folder, ROOT, cwd=folder)
    (wheel,) = folder.glob("*.whl")
    venv.create(folder / "venv", with_pip=True)
    python = folder / "venv" / BIN / "python"
    ran(python, "-m", "pip", "install", "-q", f"witnessmark[demo] @ {wheel.as_uri()}", cwd=folder)
    return folder


def command(elsewhere: Path) -> Path:
    """The installed program."""
    return elsewhere / "venv" / BIN / "witnessmark"


def test_the_doctor_finds_nothing_amiss(elsewhere: Path) -> None:
    found = json.loads(
        ran(
            elsewhere / "venv" / BIN / "witnessmark", "doctor", "--json", "--store", "x.sqlite", cwd=elsewhere
        )
    )
    (knowledge,) = (check["found"] for check in found if check["name"] == "knowledge")
    assert Path(knowledge).is_relative_to(elsewhere)
    assert not any(check["problems"] for check in found)


def test_it_drafts_findings(elsewhere: Path) -> None:
    (elsewhere / "t.txt").write_text(
        "Front pads are 2.5 millimetres. The left fork seal is leaking.", "utf-8"
    )
    row = json.loads(ran(command(elsewhere), "extract", "t.txt", cwd=elsewhere))
    assert {(f["component"], f.get("value"), f.get("condition")) for f in row["findings"]} == {
        ("brake_pads", 2.5, None),
        ("fork_seal", None, "leak"),
    }


def test_the_demo_recordings_are_in_it(elsewhere: Path) -> None:
    code = "from witnessmark.cli.demo import scenes; print(len(scenes()))"
    assert int(ran(elsewhere / "venv" / BIN / "python", "-c", code, cwd=elsewhere)) >= 3
