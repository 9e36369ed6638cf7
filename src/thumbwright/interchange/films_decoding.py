"""Decode in a process of its own, so that no damaged film can take the program down."""

import json
import os
import subprocess
import sys
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.interchange.films_decoder import Facts
from thumbwright.interchange.films_limits import refusal

SECONDS = 60
"""Longest time for one film; the largest take a few seconds."""
WHOLE_NUMBERS = ("|b1", "|u1", "|i1", "<u2", "<i2", ">u2", "<u4", "<i4")
"""Types a decoder may answer with, in the notation of NumPy."""


class Decoder(Enum):
    """A way to unpack a stream."""

    JPEG_LOSSLESS = "jpeg-lossless"
    JPEG_LS = "jpeg-ls"
    JPEG_2000 = "jpeg-2000"
    TIFF = "tiff"


def decoded(
    stream: bytes, decoder: Decoder, *, shape: tuple[int, ...], facts: Facts, name: str
) -> NDArray[np.integer]:
    """Unpack one stream.

    Parameters
    ----------
    stream
        The compressed picture.
    decoder
        How to unpack it.
    shape
        The grid that must come out.
    facts
        What the decoder must be told.
    name
        Name of the film.

    Returns
    -------
    NDArray
        Whole numbers in the given shape.

    Raises
    ------
    FilmError
        If the decoder stops, takes too long, or gives another grid than was stated.
    """
    command = [sys.executable, "-P", "-W", "ignore", "-m", "thumbwright.interchange.films_decoder"]
    try:
        answer = subprocess.run(  # noqa: S603  our own interpreter and module
            [*command, decoder.value, json.dumps(dict(facts))],
            input=stream,
            capture_output=True,
            timeout=SECONDS,
            check=False,
            env=os.environ | {"OPENBLAS_NUM_THREADS": "1"},
        )
    except subprocess.TimeoutExpired as fault:
        raise _damaged(name, f"took longer than {SECONDS} seconds to unpack") from fault
    except OSError as fault:
        raise _damaged(
            name, "could not be unpacked, because no process could be started"
        ) from fault
    if answer.returncode != 0:
        raise _damaged(name, "cannot be unpacked")
    if answer.stderr:
        # Sound streams pass in silence; a complaint means that some pixels were made up.
        raise _damaged(name, "its decoder calls damaged")
    head, _, plane = answer.stdout.partition(b"\n")
    return _grid(json.loads(head), plane, shape, name)


def _grid(
    head: dict[str, object], plane: bytes, shape: tuple[int, ...], name: str
) -> NDArray[np.integer]:
    kind, found = str(head["type"]), head["shape"]
    if found != list(shape) or kind not in WHOLE_NUMBERS:
        raise _damaged(name, f"unpacks to {found} of type {kind}, not to {list(shape)}")
    pixels: NDArray[np.integer] = np.frombuffer(plane, dtype=np.dtype(kind)).reshape(shape)
    return pixels


def _damaged(name: str, what: str) -> FilmError:
    return refusal(
        name,
        given=f"a compressed picture that {what}",
        allowed="is a whole, undamaged film",
        advice="copy it again, or export it uncompressed",
    )
