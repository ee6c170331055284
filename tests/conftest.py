"""What tests of several folders share: the command line in this process, and its surroundings."""

from __future__ import annotations

import os

import pytest

from helpers_cli import Ran, Run
from witnessmark.cli import main


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs ``witnessmark`` with these arguments; a fault in the program shows as a traceback."""
    for name in [name for name in os.environ if name.startswith("WITNESSMARK_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("WITNESSMARK_TRACEBACK", "1")
    monkeypatch.setenv("COLUMNS", "170")
    monkeypatch.setenv("NO_COLOR", "1")

    def ran(*arguments: object) -> Ran:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        return Ran(status, *capsys.readouterr())

    return ran
