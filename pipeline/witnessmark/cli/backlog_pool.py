"""Where the work of a backlog is done: processes of this machine, or workers of a cluster."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from typing import NamedTuple

from witnessmark.errors import BadInputError, WitnessmarkError


class Pool(NamedTuple):
    """Something that does jobs."""

    start: Callable[[], Executor]
    """Makes what does the jobs; called again when it broke."""
    size: int
    """How many jobs it does at once."""


def local(processes: int | None) -> Pool:
    """Processes of this machine, as many as it has cores if None.

    They are started afresh, not forked: the speech engine's threads do not survive a fork.
    """
    from multiprocessing import get_context
    from os import cpu_count

    size = processes or cpu_count() or 1
    return Pool(lambda: ProcessPoolExecutor(size, mp_context=get_context("spawn")), size)


@contextmanager
def cluster(address: str, needs: dict[str, float]) -> Iterator[Pool]:
    """The workers of a Dask scheduler.

    Args:
        address: of the scheduler, such as ``tcp://10.0.0.5:8786``.
        needs: resources that a worker must offer for one job, such as ``{"GPU": 1}``.

    Raises:
        WitnessmarkError: dask.distributed is not installed, or nobody answers at the address.
    """
    from witnessmark.cli.exchange_files import missing

    try:
        from distributed import Client
    except ImportError as error:
        raise missing("dask.distributed", "cluster") from error
    try:
        client = Client(address, timeout="10s")
    except (OSError, TimeoutError, ValueError) as error:
        what = f"no scheduler answers ({type(error).__name__})"
        raise WitnessmarkError(what, address, "Start `dask scheduler` there, and workers.") from error
    with client:
        size = sum(client.ncores().values())
        # A worker that dies is no fault of the job at first; distributed gives up after a few deaths.
        yield Pool(lambda: client.get_executor(pure=False, retries=0, resources=needs or None), max(1, size))


def needs_of(given: list[str]) -> dict[str, float]:
    """``GPU=1`` and the like as a mapping.

    Raises:
        BadInputError: one is not of that form.
    """
    needs: dict[str, float] = {}
    for one in given:
        name, sign, amount = one.partition("=")
        try:
            needs[name.strip()] = float(amount) if sign else 1.0
        except ValueError as error:
            raise BadInputError(f"{one!r} is no need", remedy="Write NAME=AMOUNT, such as GPU=1.") from error
    return needs
