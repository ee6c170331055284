"""The README's two commands are the ones that CI runs, and its other commands exist."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
CI = (ROOT / ".ci" / "run").read_text("utf-8")


def blocks() -> list[str]:
    """Shell blocks of the README."""
    return re.findall(r"```sh\n(.*?)```", README, re.S)


def test_the_first_two_blocks_are_one_line_each() -> None:
    demo, test = (block.strip() for block in blocks()[:2])
    assert demo.startswith("python3 -m venv")
    assert demo.endswith("witnessmark demo")
    assert test.startswith("python3 -m venv")
    assert test.endswith("-m pytest")
    assert "\n" not in demo + test


def test_ci_runs_the_test_command_as_it_stands() -> None:
    assert blocks()[1].strip() in CI.splitlines()


def test_ci_runs_the_demo_command_as_it_stands() -> None:
    assert blocks()[0].strip() in [line.strip() for line in CI.splitlines()]


def test_every_command_of_the_readme_exists() -> None:
    from witnessmark.cli.app import app

    known = {command.callback.__name__ for command in app.registered_commands if command.callback}
    known |= {group.name for group in app.registered_groups if group.name}
    said = {name for block in blocks() for name in re.findall(r"witnessmark ([a-z]+)", block)}
    assert said == known
