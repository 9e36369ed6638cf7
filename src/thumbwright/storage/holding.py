"""A store is open in one program at a time; the lock goes with the program, also when killed."""

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from thumbwright.storage.records import StoreError

LOCK, NOTE = "workbench.lock", "workbench.json"
PATIENCE_S = 1.0
"""How long one waits for somebody who only looks whether the store is held."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A workbench that is open on a store."""

    pid: int
    address: str


class HeldError(StoreError):
    """Another program holds the store."""


@contextmanager
def held(folder: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold the store in a folder as long as the block runs.

    Raises
    ------
    HeldError
        If another program holds it.
    StoreError
        If the folder cannot be written to.
    """
    handle = _opened(folder)
    try:
        until = time.monotonic() + patience_s
        while not _locked(handle):
            if time.monotonic() >= until:
                raise _held(folder)
            time.sleep(0.02)
        forget(folder)
        yield
    finally:
        os.close(handle)


def is_held(folder: Path) -> bool:
    """Tell whether a program holds the store in a folder."""
    if not (folder / LOCK).exists():
        return False
    handle = _opened(folder)
    try:
        return not _locked(handle)
    finally:
        os.close(handle)


def running(folder: Path) -> Running | None:
    """Return the workbench that is open on a store, if there is one and it has said where."""
    if not is_held(folder):
        return None
    try:
        note = json.loads((folder / NOTE).read_text("utf-8"))
        return Running(pid=int(note["pid"]), address=str(note["address"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def tell_where(folder: Path, address: str) -> None:
    """Write down the address and number of this program; it must hold the store."""
    half = folder / f".{NOTE}.half"
    half.write_text(json.dumps({"pid": os.getpid(), "address": address}) + "\n", "utf-8")
    half.replace(folder / NOTE)


def forget(folder: Path) -> None:
    """Remove what was written down, also by a program that was killed."""
    with suppress(OSError):
        (folder / NOTE).unlink(missing_ok=True)


def _opened(folder: Path) -> int:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as fault:
        msg = (
            f"{folder} was given as the folder of the records and cannot be used "
            f"({fault.strerror}); allowed is a folder that may be written to; choose another"
        )
        raise StoreError(msg) from fault


def _locked(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415  there on this system alone

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415  there on the other systems alone

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _held(folder: Path) -> HeldError:
    other = running(folder)
    where = f" by the workbench at {other.address}" if other else ""
    return HeldError(
        f"the records in {folder} are held{where}; allowed is one program at a time; use that one, "
        f"or close it: thumbwright serve --store {folder} --stop"
    )
