"""Requests go through while the records are in use; one that exchanges them waits to be alone."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition

from thumbwright.storage.records import StoreError

LONGEST_WAIT_S = 30.0


class Gate:
    """A gate that many pass at once, and that one may close behind the others."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._inside = 0
        self._is_closed = False

    def enter(self) -> bool:
        """Go in if the gate is open, and tell whether it was."""
        with self._changed:
            if self._is_closed:
                return False
            self._inside += 1
            return True

    def bring_in(self) -> None:
        """Count one more that a caller inside has started."""
        with self._changed:
            self._inside += 1

    def leave(self) -> None:
        """Go out."""
        with self._changed:
            self._inside -= 1
            self._changed.notify_all()

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Wait until the gate is open, and be inside as long as the block runs."""
        with self._changed:
            self._changed.wait_for(lambda: not self._is_closed)
            self._inside += 1
        try:
            yield
        finally:
            self.leave()

    @contextmanager
    def alone(self, longest_wait_s: float = LONGEST_WAIT_S, *, own: int = 0) -> Iterator[None]:
        """Close the gate, wait until all others have left, and open it after the block.

        Parameters
        ----------
        longest_wait_s
            How long to wait for the others. [s]
        own
            How often the caller itself went in.

        Raises
        ------
        StoreError
            If somebody else closed it, or the others stay.
        """
        with self._changed:
            if self._is_closed:
                msg = (
                    "a copy is being put back already; allowed is one at a time; wait until it is "
                    "done, and look at the page again"
                )
                raise StoreError(msg)
            self._is_closed = True
        try:
            self._wait_until_alone(time.monotonic() + longest_wait_s, own)
            yield
        finally:
            with self._changed:
                self._is_closed = False
                self._changed.notify_all()

    def _wait_until_alone(self, until: float, own: int) -> None:
        with self._changed:
            left = max(0.0, until - time.monotonic())
            if not self._changed.wait_for(lambda: self._inside <= own, left):
                msg = (
                    f"{self._inside - own} others are still at work; allowed is a moment when "
                    "nobody records or computes; try again shortly"
                )
                raise StoreError(msg)
