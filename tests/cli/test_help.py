"""The help teaches: every command says what it does, with examples that work."""

from __future__ import annotations

import re

import pytest

from helpers_cli import Run
from witnessmark import __version__
from witnessmark.cli import app as commands

COMMANDS = ("demo", "ingest", "review", "summarise", "history", "transcribe", "extract", "assess", "limits",
            "doctor", "desk", "certificate", "jobsheet", "estimate", "fleet", "backlog", "export",
            "adopt")  # fmt: skip
STORE = ("check", "backup", "migrate", "compact", "sound", "redact", "erase", "hand-out", "redraft")
CARDS = ("new", "check", "show")


def test_the_version(run: Run) -> None:
    assert run("--version").out == f"witnessmark {__version__}\n"


def test_the_help_names_every_command_and_the_caution(run: Run) -> None:
    ran = run("--help")
    assert ran.status == 0
    assert all(re.search(rf"^│ {command} ", ran.out, re.M) for command in (*COMMANDS, "card", "store"))
    assert len(commands.app.registered_commands) == len(COMMANDS)
    assert "maker's manual" in ran.out


def test_no_command_shows_the_help(run: Run) -> None:
    assert "demo" in run().out
    assert all(name in run("card").out for name in CARDS)
    assert all(name in run("store").out for name in STORE)


@pytest.mark.parametrize(
    "command", [*COMMANDS, *(f"card {name}" for name in CARDS), *(f"store {name}" for name in STORE)]
)
def test_every_command_has_examples_with_options_that_exist(run: Run, command: str) -> None:
    ran = run(*command.split(), "--help")
    known = set(re.findall(r"--[a-z]+", ran.out.split("Examples:")[0]))
    examples = [line.strip() for line in ran.out.split("Examples:")[1].splitlines() if "witnessmark" in line]
    own = [line for line in examples if line.startswith(f"witnessmark {command}")]
    assert ran.status == 0
    assert own
    assert all(set(re.findall(r"--[a-z]+", line)) <= known for line in own)


@pytest.mark.parametrize(
    "wrong", [["revise"], ["extract"], ["ingest", "a.wav", "--on", "yesterday"], ["history"]]
)
def test_a_wrong_use_is_told(run: Run, wrong: list[str]) -> None:
    ran = run(*wrong)
    assert (ran.status, ran.out) == (2, "")
    assert "Usage" in ran.err
