"""Which modality step, window or table a DICOM header asks for."""

from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.grey_scale import (
    GreyPath,
    LookUp,
    Numbers,
    Rescale,
    Window,
    WindowFunction,
    modality_values,
    whole_range,
)
from thumbwright.interchange.dicom_elements import Elements, words
from thumbwright.interchange.dicom_grid import Grid

MOST_ENTRIES = 65_536


def grey_path(elements: Elements, grid: Grid, patterns: NDArray[np.uint16]) -> GreyPath:
    """Gather what stands between the stored numbers and what is seen.

    Parameters
    ----------
    elements
        The data set; oddities are added to its remarks.
    grid
        How the pixels are stored.
    patterns
        The pixels, needed only where the header asks for no window. (rows, columns)

    Notes
    -----
    Where the header offers both a VOI table and windows the table is taken, and of several
    windows the first: C.11.2 of [dicom-ps3-3]_ makes them alternatives without order.
    """
    modality = _modality(elements, grid)
    padding = _padding(elements, grid)
    display = _table(elements, "VOILUTSequence", grid) or _window(elements)
    if display is None:
        elements.remarks.append(
            "The header asks for no window; the film is shown over its whole range."
        )
        display = _over_all(patterns, grid, modality_values(grid.stored, modality), padding)
    _compare_presentation(elements, grid)
    return GreyPath(
        stored=grid.stored,
        modality=modality,
        display=display,
        lowest_is_white=grid.lowest_is_white,
        padding=padding,
    )


def _modality(elements: Elements, grid: Grid) -> Rescale | LookUp:
    if table := _table(elements, "ModalityLUTSequence", grid):
        return table
    slope, intercept = elements.number("RescaleSlope"), elements.number("RescaleIntercept")
    if slope is None or intercept is None:
        return Rescale()
    try:
        return Rescale(slope=slope, intercept=intercept)
    except FilmError:
        elements.remarks.append(
            f"The header's rescale of slope {slope:g} and intercept {intercept:g} cannot be and "
            "was not used. See that bone is light."
        )
        return Rescale()


def _window(elements: Elements) -> Window | None:
    centre, width = elements.number("WindowCenter"), elements.number("WindowWidth")
    if centre is None or width is None:
        return None
    word = elements.text("VOILUTFunction") or WindowFunction.LINEAR.value
    try:
        function = WindowFunction(word)
    except ValueError:
        function = WindowFunction.LINEAR
        elements.remarks.append(
            f"{words('VOILUTFunction')} is none of LINEAR, LINEAR_EXACT and SIGMOID; LINEAR was "
            "taken."
        )
    try:
        return Window(centre=centre, width=width, function=function)
    except FilmError:
        elements.remarks.append(
            f"The header's window of centre {centre:g} and width {width:g} cannot be and was not "
            "used."
        )
        return None


def _table(elements: Elements, keyword: str, grid: Grid) -> LookUp | None:
    """Return the first table of a sequence, or None with a remark if it cannot be one."""
    items = elements.items(keyword)
    if not items:
        return None
    descriptor = items[0].numbers("LUTDescriptor")
    data = _entries(items[0])
    if len(descriptor) == 3 and data is not None:
        count, first, bits = (int(number) for number in descriptor)
        count = count or MOST_ENTRIES
        if data.dtype == np.uint8 and not (bits == 8 and data.size == count):
            # Otherwise each entry takes a word of two bytes.
            data = data[: data.size // 2 * 2].view(np.dtype("<u2"))
        if grid.stored.signed and first > 32_767:
            first -= MOST_ENTRIES
        if 0 < count <= data.size and 8 <= bits <= 16:
            outputs = np.minimum(data[:count].astype(np.uint16), np.uint16(2**bits - 1))
            return LookUp(first=first, outputs=outputs, bits=bits)
    elements.remarks.append(f"The table in {words(keyword)} is malformed and was not used.")
    return None


def _entries(item: Elements) -> NDArray[np.uint16] | NDArray[np.uint8] | None:
    """Return LUT Data as words, or as bytes in the order of little endian."""
    found = item.value("LUTData")
    if isinstance(found, bytes):
        bytes_found = np.frombuffer(found, dtype=np.uint8)
        if getattr(item.dataset, "original_encoding", (None, True))[1] is False:
            return np.frombuffer(found[: len(found) // 2 * 2], dtype=">u2").astype(np.uint16)
        return bytes_found
    try:
        numbers = np.atleast_1d(np.asarray(found, dtype=np.int64))
    except (TypeError, ValueError, OverflowError):
        return None
    return (numbers & 0xFFFF).astype(np.uint16) if numbers.ndim == 1 else None


def _padding(elements: Elements, grid: Grid) -> tuple[int, int] | None:
    first = elements.whole("PixelPaddingValue")
    if first is None:
        return None
    last = elements.whole("PixelPaddingRangeLimit")
    ends = [_as_stored(number, grid) for number in (first, first if last is None else last)]
    numbers = grid.stored.all
    if all(numbers.min() <= end <= numbers.max() for end in ends):
        return min(ends), max(ends)
    elements.remarks.append(
        f"{words('PixelPaddingValue')} lies outside what the pixels can hold and was not used."
    )
    return None


def _as_stored(number: int, grid: Grid) -> int:
    """Read a 16-bit word as signed or unsigned, as the pixels are."""
    word = number & 0xFFFF
    return word - MOST_ENTRIES if grid.stored.signed and word > 32_767 else word


def _over_all(
    patterns: NDArray[np.uint16], grid: Grid, values: Numbers, padding: tuple[int, int] | None
) -> Window:
    """Return the window that shows everything on this film, padding apart."""
    counts = np.bincount(patterns.ravel(), minlength=MOST_ENTRIES)
    present = counts.reshape(-1, values.size).sum(axis=0) > 0
    if padding:
        numbers = grid.stored.all
        present &= (numbers < padding[0]) | (numbers > padding[1])
    found = values[present] if present.any() else values
    return whole_range(floor(found.min()), ceil(found.max()))


def _compare_presentation(elements: Elements, grid: Grid) -> None:
    shape = elements.text("PresentationLUTShape")
    expected = "INVERSE" if grid.lowest_is_white else "IDENTITY"
    if shape in {"INVERSE", "IDENTITY"} and shape != expected:
        photometric = "MONOCHROME1" if grid.lowest_is_white else "MONOCHROME2"
        elements.remarks.append(
            f"{words('PresentationLUTShape')} says {shape}, which contradicts {photometric}; "
            f"{photometric} was followed. See that bone is light."
        )
    if elements.text("PresentationIntentType") == "FOR PROCESSING":
        elements.remarks.append(
            "The film is marked FOR PROCESSING: its greys are raw and may look unusual."
        )
