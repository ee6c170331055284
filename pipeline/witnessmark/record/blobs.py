"""Files named by the SHA-256 of their bytes, in folders of the first two digits: ``3f/3f2a…``."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from uuid import uuid4

from witnessmark.errors import StoreError


def place(folder: Path, sha256: str) -> Path:
    """Where the bytes of this hash lie."""
    return folder / sha256[:2] / sha256


def put(folder: Path, content: bytes) -> str:
    """Write bytes unless they are there already, whole or not at all; returns their hash.

    Raises:
        StoreError: they cannot be written, such as on a full disk.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    target = place(folder, sha256)
    if target.exists() and hashlib.sha256(target.read_bytes()).hexdigest() == sha256:
        return sha256
    part = target.with_name(f".{sha256}.{uuid4().hex}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with part.open("xb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
            _settle(target.parent)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(
            f"the file cannot be written ({error.strerror})", str(target), "Nothing was stored. Make room."
        ) from error
    return sha256


def get(folder: Path, sha256: str) -> bytes:
    """The bytes of this hash.

    Raises:
        StoreError: they are not there, cannot be read, or are not the ones that were put there.
    """
    path = place(folder, sha256)
    try:
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise StoreError("the file is not there", str(path), "Restore it from a copy.") from error
    except OSError as error:
        raise StoreError(
            f"the file cannot be read ({error.strerror})", str(path), "Check the disk."
        ) from error
    if hashlib.sha256(content).hexdigest() != sha256:
        raise StoreError("the file was changed after it was stored", str(path), "Restore it from a copy.")
    return content


def _settle(folder: Path) -> None:
    """Make a new name last through a power cut, where the system can."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
