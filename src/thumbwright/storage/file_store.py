"""Films, photographs and papers as files under their own hash: whole, or not there."""

import os
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from tempfile import NamedTemporaryFile

from thumbwright.storage.records import StoreError

HALF_SUFFIX = ".half"


class FileStore:
    """Bytes in a folder, each under its SHA-256; the same bytes are kept once.

    Parameters
    ----------
    folder
        Where they lie; made if need be.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def keep(self, data: bytes) -> str:
        """Keep bytes and return their hash; on the disk before this returns.

        Raises
        ------
        StoreError
            If they could not be written; then nothing is left of them.
        """
        name = sha256(data).hexdigest()
        place = self.place(name)
        if place.exists():
            return name
        half: Path | None = None
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=place.parent, suffix=HALF_SUFFIX, delete=False) as file:
                half = Path(file.name)
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            half.replace(place)
            _settle(place.parent)
        except OSError as fault:
            if half is not None:
                half.unlink(missing_ok=True)
            msg = (
                f"a file of {len(data):,} bytes could not be kept ({fault.strerror}); nothing of "
                "it was kept; see to room on the disk and permissions, and try again"
            )
            raise StoreError(msg) from fault
        return name

    def read(self, name: str) -> bytes:
        """Return the bytes of a hash, after holding them against it.

        Raises
        ------
        StoreError
            If they are not there, or are no longer what was kept.
        """
        try:
            data = self.place(name).read_bytes()
        except OSError as fault:
            msg = (
                f"the file {name[:12]} is not in the folder of files ({fault.strerror}); allowed "
                "are files that were kept; restore the last backup"
            )
            raise StoreError(msg) from fault
        if sha256(data).hexdigest() != name:
            msg = (
                f"the file {name[:12]} is not what was kept: its bytes have changed on the disk; "
                "allowed are unaltered files; restore the last backup"
            )
            raise StoreError(msg)
        return data

    def names(self) -> Iterator[str]:
        """Yield the hash of each file that is there."""
        for place in sorted(self.folder.glob("??/*")):
            if place.suffix != HALF_SUFFIX:
                yield place.name

    def sweep(self) -> int:
        """Remove what was left half written by a killed program; return how many."""
        halves = list(self.folder.glob(f"??/*{HALF_SUFFIX}"))
        for place in halves:
            place.unlink(missing_ok=True)
        return len(halves)

    def place(self, name: str) -> Path:
        """Return where the bytes of a hash lie."""
        return self.folder / name[:2] / name


def _settle(folder: Path) -> None:
    """Make the new name itself outlive a power cut; Windows has no such call."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
