"""What a unit says of itself, such as its prices: each saying a file, none ever changed."""

import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import NamedTemporaryFile
from threading import Lock

from thumbwright.storage.file_store import HALF_SUFFIX
from thumbwright.storage.records import StoreError

FOLDER = "unit"
"""Where these papers lie beside the database."""
_STAMP = "%Y-%m-%dT%H-%M-%S-%fZ"


class PaperChangedError(StoreError):
    """Somebody else saved a paper since the one that a change is based on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPaper:
    """One saying of the unit."""

    name: str
    """Name of its file."""
    saved_at: datetime | None
    """None where the file is damaged."""
    saved_by: str
    content: str
    """The text that was saved; empty where the file is damaged."""

    @property
    def is_whole(self) -> bool:
        """Tell whether the file says what was saved."""
        return self.saved_at is not None


class UnitPapers:
    """Papers of one kind in a folder, to which papers are only added.

    Parameters
    ----------
    folder
        Where they lie; made with the first of them.
    kind
        The first word of their names, such as prices.
    now
        The clock.
    """

    def __init__(self, folder: Path, kind: str, now: Callable[[], datetime]) -> None:
        self.folder, self.kind, self._now = folder, kind, now
        self._writing = Lock()

    def newest_name(self) -> str:
        """Return the name of the paper that was saved last; empty if there is none."""
        return max(self._names(), key=_place_in_time, default="")

    def papers(self) -> tuple[UnitPaper, ...]:
        """Return every paper, the newest first, damaged ones too."""
        ordered = sorted(self._names(), key=_place_in_time, reverse=True)
        return tuple(_read(self.folder / name) for name in ordered)

    def save(self, content: str, who: str, based_on: str) -> str:
        """Save a paper; it is on the disk before this returns.

        Parameters
        ----------
        content
            The text.
        who
            Who saves it.
        based_on
            Name of the paper that this person saw; empty if there was none.

        Returns
        -------
        str
            The name of the paper.

        Raises
        ------
        PaperChangedError
            If another one was saved in the meantime; then nothing is written.
        StoreError
            If it could not be written; then nothing is left of it.
        """
        with self._writing:
            newest = self.newest_name()
            if newest != based_on:
                msg = (
                    f"what was saved last is {newest or 'gone'}, and this page showed "
                    f"{based_on[:80] or 'none'}; allowed is a change of what was saved last; look "
                    "at both and save again"
                )
                raise PaperChangedError(msg)
            now = self._now().astimezone(UTC)
            name = self._next_name(now, newest)
            note = {"saved_at": now.isoformat(), "saved_by": who, "content": content}
            self._write(name, json.dumps(note, ensure_ascii=False, indent=1) + "\n")
            return name

    def _next_name(self, now: datetime, newest: str) -> str:
        """Return a name that sorts behind every other, also after the clock was put back."""
        stamp, number = now.strftime(_STAMP), 1
        if newest and _place_in_time(newest) >= (f"{self.kind}-{stamp}", 1):
            last, before = _place_in_time(newest)
            stamp, number = last.removeprefix(f"{self.kind}-"), before + 1
        return f"{self.kind}-{stamp}{f'_{number}' if number > 1 else ''}.json"

    def _names(self) -> list[str]:
        return [place.name for place in self.folder.glob(f"{self.kind}-*.json")]

    def _write(self, name: str, text: str) -> None:
        half: Path | None = None
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self.folder, suffix=HALF_SUFFIX, delete=False) as file:
                half = Path(file.name)
                file.write(text.encode())
                file.flush()
                os.fsync(file.fileno())
            half.replace(self.folder / name)
            _settle(self.folder)
        except OSError as fault:
            if half is not None:
                half.unlink(missing_ok=True)
            msg = (
                f"{self.kind} could not be saved ({fault.strerror}); nothing of it was kept; see "
                "to room on the disk and permissions, and try again"
            )
            raise StoreError(msg) from fault


def _place_in_time(name: str) -> tuple[str, int]:
    stem, _, number = name.removesuffix(".json").partition("_")
    return stem, int(number) if number.isdecimal() else 1


def _read(place: Path) -> UnitPaper:
    try:
        note = json.loads(place.read_text("utf-8"))
        return UnitPaper(
            name=place.name,
            saved_at=datetime.fromisoformat(note["saved_at"]),
            saved_by=str(note["saved_by"]),
            content=str(note["content"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return UnitPaper(name=place.name, saved_at=None, saved_by="", content="")


def _settle(folder: Path) -> None:
    """Make the new name itself outlive a power cut; Windows has no such call."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
