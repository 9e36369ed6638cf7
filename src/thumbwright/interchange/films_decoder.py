"""Unpack one picture from the standard input to the standard output; run as a process.

Decoders written in C end the whole process when a damaged stream makes them stop, and some
write to the terminal. Here that harms nobody: see :mod:`thumbwright.interchange.films_decoding`.
The answer is one line of JSON with type and shape, then the bytes.
"""

import json
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from thumbwright.interchange.raster_modes import taken_as

MEMORY_BYTES = 3 * 1024**3
"""What the largest film allowed needs in 32-bit planes, several times over."""

TIFF_ORIENTATION = 274
TURNED_BACK = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_90",
    7: "TRANSVERSE",
    8: "ROTATE_270",
}
"""What undoes each value of Orientation (TIFF 6.0, section 8), in the names of Pillow."""

Facts = Mapping[str, int]
"""What the caller knows: rows, columns, bits_allocated, bits_stored, signed."""


def main() -> None:
    """Decode as the first argument says, with the facts in the second."""
    _limit_this_process()
    decode = _DECODERS[sys.argv[1]]
    pixels = np.ascontiguousarray(decode(sys.stdin.buffer.read(), json.loads(sys.argv[2])))
    head = {"type": pixels.dtype.str, "shape": list(pixels.shape)}
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n")
    sys.stdout.buffer.write(pixels.tobytes())


def _jpeg_lossless(stream: bytes, facts: Facts) -> NDArray[np.generic]:
    import gdcm  # noqa: PLC0415  each decoder loads only its own library

    fragment = gdcm.Fragment()
    fragment.SetByteStringValue(stream)
    fragments = gdcm.SequenceOfFragments.New()
    fragments.AddFragment(fragment)
    element = gdcm.DataElement(gdcm.Tag(0x7FE0, 0x0010))
    element.SetValue(fragments.__ref__())
    image = gdcm.Image()
    image.SetNumberOfDimensions(2)
    image.SetDimensions((facts["columns"], facts["rows"], 1))
    image.SetDataElement(element)
    image.SetPhotometricInterpretation(
        gdcm.PhotometricInterpretation(gdcm.PhotometricInterpretation.MONOCHROME2)
    )
    image.SetTransferSyntax(gdcm.TransferSyntax(gdcm.TransferSyntax.JPEGLosslessProcess14))
    image.SetPixelFormat(
        gdcm.PixelFormat(
            1,
            facts["bits_allocated"],
            facts["bits_stored"],
            facts["bits_stored"] - 1,
            facts["signed"],
        )
    )
    # The library hands bytes over as text.
    plane = image.GetBuffer().encode("utf-8", "surrogateescape")
    kind = np.dtype(f"<u{facts['bits_allocated'] // 8}")
    return np.frombuffer(plane, dtype=kind).reshape(facts["rows"], facts["columns"])


def _jpeg_ls(stream: bytes, _facts: Facts) -> NDArray[np.generic]:
    import jpeg_ls  # type: ignore[import-untyped]  # noqa: PLC0415  as above

    plane, found = jpeg_ls.decode_pixel_data(stream)
    kind = np.dtype("<u1" if found["bits_per_sample"] <= 8 else "<u2")
    return np.frombuffer(plane, dtype=kind).reshape(found["height"], found["width"])


def _jpeg_2000(stream: bytes, _facts: Facts) -> NDArray[np.generic]:
    from openjpeg.utils import decode  # noqa: PLC0415  as above

    return np.asarray(decode(stream))


def _tiff(stream: bytes, _facts: Facts) -> NDArray[np.generic]:
    from PIL import Image  # noqa: PLC0415  as above

    with Image.open(BytesIO(stream), formats=("TIFF",)) as picture:
        orientation = picture.tag_v2.get(TIFF_ORIENTATION)  # type: ignore[attr-defined]
        picture.load()
        # The library has followed the wish to be turned; the pixels are wanted as stored.
        back = TURNED_BACK.get(orientation)
        stored = picture if back is None else picture.transpose(Image.Transpose[back])
        kind = taken_as(stored.mode) or stored.mode
        return np.asarray(stored if kind == stored.mode else stored.convert(kind))


def _limit_this_process() -> None:
    # Not every system has these limits, and an administrator may have set tighter ones.
    with suppress(ImportError, ValueError, OSError):
        import resource  # noqa: PLC0415  see above

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))


_DECODERS: dict[str, Callable[[bytes, Facts], NDArray[np.generic]]] = {
    "jpeg-lossless": _jpeg_lossless,
    "jpeg-ls": _jpeg_ls,
    "jpeg-2000": _jpeg_2000,
    "tiff": _tiff,
}

if __name__ == "__main__":
    main()
