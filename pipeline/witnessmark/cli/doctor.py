"""``witnessmark doctor``: whether everything is in place."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

import typer

from witnessmark import __version__
from witnessmark.cli.options import AsJson, Model, StorePath
from witnessmark.cli.output import print_json
from witnessmark.errors import KnowledgeError, SpeechModelError, StoreError, WitnessmarkError

EPILOG = """\b
Examples:
  witnessmark doctor
  witnessmark doctor --store shop.sqlite --json

Exit status: 0 when all is well, 3 for the speech model, 4 for the record, 5 for the declared knowledge.
"""

PACKAGES = ("faster-whisper", "ctranslate2", "av", "spacy", "pydantic", "sqlite-utils", "pint", "jinja2")


class Check(NamedTuple):
    """One thing looked at."""

    name: str
    found: str
    problems: tuple[str, ...] = ()
    status: int = 0
    """Exit status that a problem calls for."""


def doctor(store: StorePath = None, model: Model = None, as_json: AsJson = False) -> None:
    """Look everything over: versions, declared knowledge, speech weights (every byte), and the record."""
    checks = []
    for check in (_versions(), _knowledge(), _weights(model), _record(store)):
        checks.append(check)
        if not as_json:
            _tell(check)
    if as_json:
        print_json([check._asdict() for check in checks])
    worst = next((check.status for check in checks if check.problems), 0)
    if worst:
        raise typer.Exit(worst)


def _tell(check: Check) -> None:
    print(f"{check.name:<10} {'FAULT' if check.problems else 'well':<6} {check.found}")
    for problem in check.problems:
        print(f"{'':<18}{problem}")


def _versions() -> Check:
    import platform
    import sqlite3

    parts = [f"witnessmark {__version__}", f"Python {platform.python_version()}"]
    parts += [f"{name} {_version(name)}" for name in PACKAGES]
    return Check("versions", ", ".join([*parts, f"SQLite {sqlite3.sqlite_version}"]))


def _version(package: str) -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version(package)
    except PackageNotFoundError:
        return "missing"


def _knowledge() -> Check:
    from witnessmark.knowledge.files import models_dir

    problems = tuple(str(error) for error in faults_of_knowledge())
    try:
        where = str(models_dir())
    except KnowledgeError:
        where = "not found"
    return Check("knowledge", where, problems, KnowledgeError.exit_code)


def faults_of_knowledge() -> Iterator[KnowledgeError]:
    """What is wrong with the files of ``models/``: every one is read and checked."""
    for load in _loaders():
        try:
            load()
        except KnowledgeError as error:
            yield error


def _loaders() -> tuple[Callable[[], object], ...]:
    from witnessmark.knowledge import (
        card_rules,
        cards,
        chains,
        drawings,
        electrics,
        fluids,
        grammar,
        identity,
        jobs,
        lexicon,
        limits,
        marks,
        misheard,
        paper,
        phrases,
        plain,
        speech,
        standing,
        tyres,
        vocabulary,
        wear,
    )
    from witnessmark.knowledge.files import read_yaml

    return (
        vocabulary.vocabulary,
        lexicon.lexicon,
        phrases.spellings,
        identity.identity,
        misheard.misheard,
        lambda: [grammar.words(name) for name in read_yaml("trade/grammar.yaml")],
        *(partial(plain.plain_words, language) for language in paper.languages()),
        partial(paper.units_of, "any"),
        drawings.drawings,
        jobs.jobs,
        speech.speech,
        speech.sounds_like,
        limits.limit_rows,
        lambda: limits.rules(None),
        tyres.tyres,
        chains.chains,
        fluids.fluids,
        electrics.electrics,
        marks.marks,
        card_rules.card_rules,
        cards.all_cards,
        wear.wear_rules,
        standing.standings,
    )


def _weights(model: str | None) -> Check:
    from witnessmark.transcribe import Transcriber, weights

    name = Transcriber(model).model
    return Check("speech", name, tuple(weights.check(name)), SpeechModelError.exit_code)


def _record(path: Path | None) -> Check:
    """The record as it is; looking makes none."""
    from witnessmark.record import Store

    where = path or Store.default_path()
    if not where.exists():
        return Check("record", f"{where} (none yet)")
    try:
        with Store.open(where) as store:
            return Check("record", str(where), tuple(store.check()), StoreError.exit_code)
    except WitnessmarkError as error:
        return Check("record", str(where), (str(error),), error.exit_code)
