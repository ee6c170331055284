"""The house: short modules, short functions, declared knowledge that loads, one word for one thing."""

from __future__ import annotations

import ast
import re
import statistics
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "pipeline" / "witnessmark"
MODULES = sorted(PACKAGE.rglob("*.py"))
TEXT = {".css", ".html", ".json", ".md", ".py", ".sql", ".toml", ".txt", ".yaml"}
LONGEST = 300
STILL_LONG: set[str] = set()
"""Modules over the limit. This list may only shrink."""
HEAVY = (
    "av",
    "ctranslate2",
    "faster_whisper",
    "jinja2",
    "numpy",
    "pint",
    "pydantic",
    "spacy",
    "sqlite_utils",
)


def name_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def lines(path: Path) -> int:
    return len(path.read_text("utf-8").splitlines())


def test_modules_are_short() -> None:
    assert {name_of(path) for path in MODULES if lines(path) > LONGEST} == STILL_LONG


def test_functions_can_be_seen_whole() -> None:
    sizes = [
        node.end_lineno - node.lineno + 1
        for path in MODULES
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
    ]
    assert statistics.median(sizes) <= 10
    assert statistics.quantiles(sizes, n=10)[-1] <= 30


def test_every_module_says_what_it_is_for() -> None:
    silent = [name_of(p) for p in MODULES if not ast.get_docstring(ast.parse(p.read_text("utf-8")))]
    assert silent == []


def test_the_help_imports_nothing_heavy() -> None:
    code = (
        "import sys; from witnessmark.cli import main; status = main(['--help'])\n"
        f"print(status, *(name for name in {HEAVY!r} if name in sys.modules), file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stderr.strip() == "0"


@pytest.fixture(scope="module")
def tracked() -> list[Path]:
    """Text files that are or may go under version control; all files of an unpacked copy without it."""
    ran = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    names = ran.stdout.split("\n") if ran.returncode == 0 else [str(p) for p in ROOT.rglob("*")]
    paths = [ROOT / name for name in names if name]
    return [path for path in paths if path.suffix in TEXT]


def test_no_path_of_one_machine_is_written_down(tracked: list[Path]) -> None:
    own = re.compile(r"(?<![\w.~$}])/(?:work|farm|root|home|Users|tmp)/\w")
    assert tracked
    assert [str(p) for p in tracked if p.exists() and own.search(p.read_text("utf-8"))] == []


def test_the_text_is_about_the_product_only(tracked: list[Path]) -> None:
    other = re.compile(r"\b(?:[a]gents?|(?<!scope=.)[s]essions?|[w]orkplace)\b", re.I)
    assert [str(p) for p in tracked if p.exists() and other.search(p.read_text("utf-8"))] == []


def test_links_in_the_documents_lead_somewhere(tracked: list[Path]) -> None:
    broken = [
        f"{page.relative_to(ROOT)}: {target}"
        for page in tracked
        if page.suffix == ".md"
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text("utf-8"))
        if not (page.parent / target).exists()
    ]
    assert broken == []
