"""The ``witnessmark`` command. Only what ``--help`` needs is imported before a command runs."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from witnessmark.errors import WitnessmarkError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; whatever goes wrong becomes one message and an exit status.

    Args:
        arguments: those after the program's name; those of this process if None.

    Returns:
        The exit status: 0, 2 for a wrong use of the command, or that of the error (``witnessmark.errors``).
    """
    from witnessmark.cli.app import app

    try:
        app(args=None if arguments is None else list(arguments), prog_name="witnessmark")
    except SystemExit as ended:  # Typer always ends so
        return ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except WitnessmarkError as error:
        return _fail(str(error), error.exit_code)
    except BrokenPipeError:
        # What is left in the buffer would fail once more at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except Exception as error:
        return _unforeseen(error)
    return 0


def _unforeseen(error: Exception) -> int:
    """Everything that no error of ours describes: a full disk under the output, a fault in the program."""
    if "WITNESSMARK_TRACEBACK" in os.environ:
        raise error
    if isinstance(error, OSError):
        return _fail(f"{error.filename or 'The output'}: {error.strerror or error}.", 1)
    told = f"{type(error).__name__}: {error}".splitlines()[0]
    return _fail(
        f"The program failed ({told}). Set WITNESSMARK_TRACEBACK=1 to see where; please report it.", 1
    )


def _fail(message: str, status: int) -> int:
    print(message, file=sys.stderr)
    return status
