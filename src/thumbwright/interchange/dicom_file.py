"""A DICOM file opened with care: what it is, and its data set, pixels still as stored."""

import logging
import zlib
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pydicom
from pydicom.filereader import read_dataset
from pydicom.uid import UID, DeflatedExplicitVRLittleEndian, ExplicitVRLittleEndian

from thumbwright.interchange.films_limits import (
    LARGEST_FILE_BYTES,
    demand_fair_size,
    foreign_code,
    refusal,
)

# Its log repeats its warnings, which may quote what a file says of a person.
logging.getLogger("pydicom").propagate = False

PREAMBLE_BYTES = 128
META_START = PREAMBLE_BYTES + 4


@dataclass(frozen=True, slots=True, kw_only=True)
class DicomFile:
    """One opened file."""

    name: str
    dataset: Any
    """A pydicom ``FileDataset``, which carries no types."""
    transfer_syntax: str
    """Unique identifier of how the file is written."""
    remarks: tuple[str, ...]


def is_dicom(data: bytes) -> bool:
    """Tell whether the bytes begin as a DICOM file does: PS3.10, 7.1."""
    return data[PREAMBLE_BYTES:META_START] == b"DICM"


def open_dicom(data: bytes, name: str) -> DicomFile:
    """Read a DICOM file without decoding its pixels.

    Raises
    ------
    FilmError
        If it is no DICOM file, too large (packed or unpacked), damaged, or does not say how
        it is written.
    """
    demand_fair_size(data, name)
    if not is_dicom(data):
        raise refusal(
            name,
            given="a file without the mark DICM behind its first 128 bytes",
            allowed="is a DICOM file with its file header (PS3.10, 7.1)",
            advice="export it again as a DICOM file",
        )
    with foreign_code(name, "its header was read") as remarks:
        transfer_syntax, start = _transfer_syntax(data)
        if transfer_syntax == DeflatedExplicitVRLittleEndian:
            data = _inflated(data, start, name)
        dataset = pydicom.dcmread(BytesIO(data))
    if not transfer_syntax:
        raise refusal(
            name,
            given="a DICOM file that does not say how it is written",
            allowed="is a file with a Transfer Syntax UID (0002,0010)",
            advice="export it again",
        )
    return DicomFile(
        name=name, dataset=dataset, transfer_syntax=transfer_syntax, remarks=tuple(remarks)
    )


def syntax_in_words(transfer_syntax: str) -> str:
    """Return the registered name of a transfer syntax.

    Examples
    --------
    >>> syntax_in_words("1.2.840.10008.1.2.1")
    'Explicit VR Little Endian'
    """
    return str(UID(transfer_syntax).name)


def _transfer_syntax(data: bytes) -> tuple[str, int]:
    """Return the transfer syntax, and where the part written in it begins."""
    stream = BytesIO(data)
    stream.seek(META_START)
    meta = read_dataset(stream, False, True, stop_when=_is_behind_meta)  # noqa: FBT003  as named there: not implicit, little endian
    return str(meta.get("TransferSyntaxUID") or ""), stream.tell()


def _is_behind_meta(tag: int, _vr: str | None, _length: int) -> bool:
    return tag >> 16 != 2


def _inflated(data: bytes, start: int, name: str) -> bytes:
    """Unpack a deflated data set within the limit, and name the file's syntax accordingly."""
    unpacker = zlib.decompressobj(-zlib.MAX_WBITS)
    body = unpacker.decompress(data[start:], LARGEST_FILE_BYTES + 1)
    if len(body) > LARGEST_FILE_BYTES:
        raise refusal(
            name,
            given=f"a packed file of more than {LARGEST_FILE_BYTES:,} bytes when unpacked",
            allowed=f"are at most {LARGEST_FILE_BYTES:,} bytes",
            advice="export a single film, not a series",
        )
    packed = DeflatedExplicitVRLittleEndian.encode()
    plain = ExplicitVRLittleEndian.encode().ljust(len(packed), b"\0")
    return data[:start].replace(packed, plain) + body
