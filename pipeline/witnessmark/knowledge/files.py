"""Finds and reads the files of ``models/``: beside the package in a wheel, at the top of a checkout."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from witnessmark.errors import KnowledgeError

_HERE = Path(__file__).resolve()


@cache
def models_dir() -> Path:
    """Folder of declared knowledge.

    Raises:
        KnowledgeError: when neither the installed nor the checked-out folder is there.
    """
    for place in (_HERE.parents[1] / "models", _HERE.parents[3] / "models"):
        if (place / "trade").is_dir():
            return place
    raise KnowledgeError(
        "the folder of declared knowledge is missing",
        str(_HERE.parents[1] / "models"),
        "Install the package again.",
    )


def read_yaml(relative: str) -> Any:
    """Content of one YAML file below ``models/``.

    Raises:
        KnowledgeError: when it is missing or not YAML; the message says where.
    """
    path = models_dir() / relative
    try:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        return yaml.load(path.read_text(encoding="utf-8"), Loader=loader)
    except OSError as error:
        raise KnowledgeError(
            "cannot be read", str(path), f"({error.strerror}) Install the package again."
        ) from error
    except yaml.YAMLError as error:
        raise KnowledgeError(f"is not valid YAML: {error}", str(path), "Mend the file.") from error


def read_toml(relative: str) -> dict[str, Any]:
    """Content of one TOML file below ``models/``.

    Raises:
        KnowledgeError: when it is missing or not TOML.
    """
    path = models_dir() / relative
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise KnowledgeError(
            "cannot be read", str(path), f"({error.strerror}) Install the package again."
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(f"is not valid TOML: {error}", str(path), "Mend the file.") from error
