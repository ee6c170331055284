"""Drives a backlog: hands jobs out, at most so many at once, and writes what comes back, alone."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.cli.backlog_work import Job, Read, read
from witnessmark.errors import StoreError, WitnessmarkError
from witnessmark.intake import sound_file

if TYPE_CHECKING:
    from witnessmark.cli.backlog_pool import Pool
    from witnessmark.record.repository import Intake

TRIES = 3
"""Vain ones after which a recording is set aside."""
STEP = "backlog"
"""Under which a finished source is kept among the record's steps."""


@dataclass
class Tally:
    """What became of the recordings of a backlog; each is counted once."""

    new: int = 0
    known: int = 0
    """Taken in before, under any name."""
    failed: list[tuple[str, str]] = field(default_factory=list)
    """Set aside in this run: source and reason."""
    skipped: int = 0
    """Set aside before, or finished in an earlier run."""
    seconds: float = 0.0
    """Of sound."""

    @property
    def done(self) -> int:
        """How many are accounted for."""
        return self.new + self.known + len(self.failed) + self.skipped


Told = Callable[[Tally], object]


def drive(
    jobs: Iterable[Job],
    pool: Pool,
    record: Intake,
    at_most: int,
    told: Told,
    work: Callable[[Job], Read] = read,
) -> Tally:
    """Do every job that is not done yet; the record is written by this process only.

    Args:
        jobs: what is to be read.
        pool: who does it.
        record: where it goes.
        at_most: jobs handed out at once; each may hold the sound of a recording in memory.
        told: called after each recording, with what is done so far.
        work: what a worker does.

    Raises:
        StoreError: the record cannot be written. What is in stays; a later run goes on from there.
    """
    return _Drive(pool, record, at_most, told, work).all(jobs)


class _Drive:
    def __init__(
        self, pool: Pool, record: Intake, at_most: int, told: Told, work: Callable[[Job], Read]
    ) -> None:
        self._pool, self._record, self._at_most, self._told, self._work = pool, record, at_most, told, work
        self._executor: Executor = pool.start()
        self._out: dict[Future[Read], Job] = {}
        self._again: deque[Job] = deque()
        self._suspects: deque[Job] = deque()
        """Those that were out when the pool broke: one of them broke it, so each goes out alone."""
        self.tally = Tally()
        self._aside = {one.source for one in record.set_aside(TRIES)}

    def all(self, jobs: Iterable[Job]) -> Tally:
        """Everything, until nothing is out and nothing is left."""
        left = iter(jobs)
        try:
            while self._hand_out(left) or self._out:
                finished, _ = wait(self._out, return_when=FIRST_COMPLETED)
                for future in finished:
                    if future in self._out:
                        self._take(future, self._out.pop(future))
        finally:
            for future in self._out:
                future.cancel()
            self._executor.shutdown(wait=True)
        return self.tally

    def _hand_out(self, left: Iterable[Job]) -> bool:
        """Hand out as many as may be out; False when there was nothing to hand out."""
        before = len(self._out)
        while len(self._out) < (1 if self._suspects else self._at_most):
            job = self._next(left)
            if job is None:
                break
            try:
                self._out[self._executor.submit(self._work, job)] = job
            except BrokenProcessPool:
                self._suspects.appendleft(job)
                self._mend()
        return len(self._out) > before

    def _next(self, left: Iterable[Job]) -> Job | None:
        for waiting in (self._suspects, self._again):
            if waiting:
                return waiting.popleft()
        for job in left:
            before = self._record.step(job.source, STEP) or ""
            if job.source not in self._aside and before.rpartition(" ")[0] != job.state:
                return job
            self.tally.skipped += 1
            self._told(self.tally)
        return None

    def _take(self, future: Future[Read], job: Job) -> None:
        try:
            result = future.result()
        except BrokenProcessPool:
            self._broken(job)
            return
        except Exception as error:
            self._vain(job, error)
            return
        self._write(job, result)
        self._told(self.tally)

    def _broken(self, job: Job) -> None:
        """A process died, and the pool with it: whose job it was is known only when it was out alone."""
        others = list(self._out.values())
        self._out.clear()
        self._mend()
        if not others:
            self._vain(job, RuntimeError("the process that read it died"))
            return
        self._suspects.extend((job, *others))

    def _mend(self) -> None:
        self._executor.shutdown(wait=False)
        self._executor = self._pool.start()

    def _vain(self, job: Job, error: Exception) -> None:
        reason = error.what if isinstance(error, WitnessmarkError) else f"{type(error).__name__}: {error}"
        if self._record.tried(job.source, reason) < TRIES:
            self._again.append(job)
            return
        self._aside.add(job.source)
        self.tally.failed.append((job.source, reason))
        self._told(self.tally)

    def _write(self, job: Job, result: Read) -> None:
        """First the sound, then the walkround and that its source is done, at once: a stop loses nothing."""
        from witnessmark.record.intake import knowledge_version
        from witnessmark.record.steps import Finished
        from witnessmark.types import Walkround

        if result.knowledge != knowledge_version():
            what = (
                f"a worker knows other rules ({result.knowledge}) than this machine ({knowledge_version()})"
            )
            raise StoreError(what, job.source, "Install the same program and models everywhere.")
        walkround = Walkround.model_validate_json(result.walkround)
        kept = self._keep(walkround.id, result.sound) if result.sound else False
        sound = sound_file(self._record.path, walkround.id) if kept else None
        finished = Finished(job.source, STEP, f"{job.state} {walkround.id}")
        new = self._record.ingest(walkround, sound, finished)
        self.tally.new += new
        self.tally.known += not new
        self.tally.seconds += result.seconds

    def _keep(self, walkround: str, sound: bytes) -> bool:
        """Put the sound where it belongs, unless it is there or was taken away; whether it is there."""
        target = sound_file(self._record.path, walkround)
        if self._record.sound_removed(walkround):
            return False
        if target.exists():
            return True
        part = target.with_name(f".{target.name}.{uuid4().hex}")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(sound)
            part.replace(target)
        except OSError as error:
            what = f"the sound could not be written ({error.strerror})"
            raise StoreError(what, str(target), "Free some space and run it again.") from error
        finally:
            part.unlink(missing_ok=True)
        return True
