"""Plans that are being worked out: begun once, joined by whoever asks for the same."""

import logging
import math
import time
from collections import OrderedDict
from collections.abc import Callable
from threading import Event, Lock, Thread
from typing import Generic, TypeVar

T = TypeVar("T")
Progress = Callable[[str], None]
AGAIN_AFTER_S = 5.0
"""After which time something is tried again at which the program itself was at fault."""
log = logging.getLogger(__name__)


def at_fault(fault: Exception) -> str:
    """Say that the program itself is at fault, and what to do."""
    return (
        f"the program itself is at fault ({type(fault).__name__}); nothing was lost; tell whoever "
        "looks after the program, and go on with the other pages"
    )


class Job(Generic[T]):
    """One computation, and how far it is.

    Parameters
    ----------
    steps
        How many steps it takes.
    """

    def __init__(self, steps: int) -> None:
        self.steps = steps
        self.step = 0
        """The step that is under way, from 1 on; 0 before the first."""
        self.said = "waiting for another computation"
        self.ended = Event()
        self.outcome: T | None = None

    def tell(self, words: str) -> None:
        """Take note of what is about to be done."""
        self.step = min(self.step + 1, self.steps)
        self.said = words


class Workroom(Generic[T]):
    """Results by key, each worked out once and in a thread of its own, one at a time.

    Parameters
    ----------
    most
        How many results are kept.
    begins, ends
        Called by whoever begins a computation, and once it is over.
    """

    def __init__(self, most: int, begins: Callable[[], None], ends: Callable[[], None]) -> None:
        self._most, self._begins, self._ends = most, begins, ends
        self._kept: OrderedDict[str, T] = OrderedDict()
        self._broken: dict[str, float] = {}
        self._jobs: dict[str, Job[T]] = {}
        self._lock, self._turn = Lock(), Lock()

    def begun(
        self, key: str, steps: int, work: Callable[[Progress], T], broken: Callable[[Exception], T]
    ) -> T | Job[T]:
        """Return a result, or the computation of it, which this begins if nobody has.

        Parameters
        ----------
        key, steps
            What is computed, in how many steps.
        work
            Computes it; told to say each step.
        broken
            The result where the program itself is at fault; it is soon tried again.
        """
        with self._lock:
            if time.monotonic() - self._broken.get(key, math.inf) > AGAIN_AFTER_S:
                del self._broken[key], self._kept[key]
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            if key in self._jobs:
                return self._jobs[key]
            job = self._jobs[key] = Job(steps)
            self._begins()
        Thread(target=self._worked, args=(key, job, work, broken), daemon=True).start()
        return job

    def job(self, key: str) -> Job[T] | None:
        """Return the computation of a result, if it is under way."""
        with self._lock:
            return self._jobs.get(key)

    def forget(self) -> None:
        """Drop all that was kept."""
        with self._lock:
            self._kept.clear()
            self._broken.clear()

    def finish(self) -> None:
        """Wait until nothing is being worked out."""
        with self._lock:
            jobs = list(self._jobs.values())
        for job in jobs:
            job.ended.wait()

    def _worked(
        self,
        key: str,
        job: Job[T],
        work: Callable[[Progress], T],
        broken: Callable[[Exception], T],
    ) -> None:
        try:
            with self._turn:
                job.outcome = work(job.tell)
        except Exception as fault:
            log.exception("a plan could not be worked out")
            job.outcome = broken(fault)
            self._broken[key] = time.monotonic()
        finally:
            with self._lock:
                del self._jobs[key]
                if job.outcome is not None:
                    self._kept[key] = job.outcome
                while len(self._kept) > self._most:
                    gone, _ = self._kept.popitem(last=False)
                    self._broken.pop(gone, None)
            self._ends()
            job.ended.set()
