"""Where the suites lie, how a text is read for them, and how figures are counted and printed."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator
from pathlib import Path

from witnessmark.extract import pipeline
from witnessmark.extract.talk import Talk

ROOT = Path(__file__).resolve().parents[2]
Figures = dict[str, float]


def folder() -> Path | None:
    """Folder of the suites, None where there is none."""
    named = os.environ.get("WITNESSMARK_OUTSIDE")
    found = [Path(named)] if named else sorted(p.parent for p in ROOT.parent.glob("*/outside/INDEX.md"))
    return next((place for place in found if place.is_dir()), None)


def path(name: str) -> Path:
    """A file of the suites."""
    place = folder()
    if place is None:
        raise SystemExit("The suites are not here; WITNESSMARK_OUTSIDE can name their folder.")
    return place / name


def rows(name: str) -> Iterator[list[str]]:
    """Rows of a flat table, its heading left out; quotes mean nothing in it."""
    lines = path(f"flat/{name}.tsv").read_text("utf-8").splitlines()
    yield from (line.split("\t") for line in lines[1:])


def talk_of(text: str, steps: tuple[str, ...]) -> Talk:
    """A text as far as some components of extraction read it."""
    nlp = pipeline()
    doc = nlp.make_doc(text)
    doc._.talk = Talk(doc, [token.norm_ for token in doc])
    for name, component in nlp.pipeline:
        if name in steps:
            doc = component(doc)
    talk = doc._.talk
    assert isinstance(talk, Talk)
    talk.doc._.talk = talk  # respelling makes another Doc
    return talk


def scores(hits: float, said: float, gold: float) -> tuple[float, float, float]:
    """Precision, recall and F1."""
    precision = hits / said if said else 0.0
    recall = hits / gold if gold else 0.0
    both = precision + recall
    return precision, recall, 2 * precision * recall / both if both else 0.0


def common(found: Iterable[Hashable], gold: Iterable[Hashable]) -> int:
    """How many of what was found is in the gold, each counted once."""
    return sum((Counter(found) & Counter(gold)).values())


def show(measure: Callable[..., Figures]) -> None:
    """Prints the figures of a suite."""
    for name, value in measure(errors="--errors" in sys.argv).items():
        print(f"{name:50} {value:.3f}" if isinstance(value, float) else f"{name:50} {value}")
