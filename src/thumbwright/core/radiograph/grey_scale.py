"""From stored numbers to grey values: modality step, window or table, and one inversion.

Every step is worked out once for each number that a pixel can hold, at most 65,536 of them;
the film itself is then only looked up. Formulas of [dicom-ps3-3]_, C.11.1 and C.11.2.
"""

from dataclasses import dataclass
from enum import Enum
from math import isfinite
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError

Numbers = NDArray[np.float64]
Grey = TypeVar("Grey", np.uint8, np.uint16)

WHITE = 255
"""Lightest value on the screen [-]."""
LIGHTEST = 65_535
"""Largest value that a film may hold in memory [-]."""
LARGEST_RESCALE = 1e9
"""Largest slope or intercept that is believed [-]; working assumption of this program."""
STRIP_ROWS = 64
"""Rows looked up at a time, so that the index stays in the processor's cache."""


class WindowFunction(Enum):
    """How a window turns values into grey: VOI LUT Function (0028,1056)."""

    LINEAR = "LINEAR"
    LINEAR_EXACT = "LINEAR_EXACT"
    SIGMOID = "SIGMOID"


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The range of values to be spread from black to white."""

    centre: float
    """[value after the modality step]"""
    width: float
    """[value after the modality step]"""
    function: WindowFunction = WindowFunction.LINEAR

    def __post_init__(self) -> None:
        """Refuse a window that the standard forbids."""
        narrowest_is_one = self.function is WindowFunction.LINEAR
        fits = self.width >= 1 if narrowest_is_one else self.width > 0
        if not (fits and isfinite(self.width) and isfinite(self.centre)):
            least = "from 1 upwards" if narrowest_is_one else "above 0"
            msg = (
                f"a window of centre {self.centre} and width {self.width} was given for "
                f"{self.function.value}; allowed is a finite centre and a width {least}; "
                "set another window"
            )
            raise FilmError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescale:
    """Output = slope times stored value plus intercept."""

    slope: float = 1.0
    """[value per stored number]"""
    intercept: float = 0.0
    """[value]"""

    def __post_init__(self) -> None:
        """Refuse numbers that would make every pixel alike or none a number."""
        fits = 0 < abs(self.slope) <= LARGEST_RESCALE and abs(self.intercept) <= LARGEST_RESCALE
        if not fits:
            msg = (
                f"a rescale of slope {self.slope} and intercept {self.intercept} was given; "
                f"allowed are a slope other than 0 and numbers within {LARGEST_RESCALE:.0e}; "
                "have the film exported anew"
            )
            raise FilmError(msg)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LookUp:
    """A table of outputs; inputs below its first or above its last take the end entry."""

    first: int
    """Input that the first entry stands for."""
    outputs: NDArray[np.uint16]
    """(entries,)"""
    bits: int
    """Bits of an output, 8 to 16."""

    def __post_init__(self) -> None:
        """Refuse a table that is none."""
        if self.outputs.size == 0 or not 8 <= self.bits <= 16:
            msg = (
                f"a look-up table of {self.outputs.size} entries of {self.bits} bits was given; "
                "allowed are 1 to 65,536 entries of 8 to 16 bits; have the film exported anew"
            )
            raise FilmError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredNumbers:
    """Which numbers a pixel can hold."""

    bits: int
    """1 to 16."""
    signed: bool

    @property
    def all(self) -> NDArray[np.int64]:
        """Return the number that each bit pattern from 0 upwards stands for, (2**bits,)."""
        patterns = np.arange(2**self.bits, dtype=np.int64)
        if not self.signed:
            return patterns
        return np.where(patterns >= 2 ** (self.bits - 1), patterns - 2**self.bits, patterns)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyPath:
    """All that stands between a stored number and what is seen."""

    stored: StoredNumbers
    modality: Rescale | LookUp = Rescale()
    display: Window | LookUp
    lowest_is_white: bool = False
    """True for MONOCHROME1; then, and only then, the order is turned round, once."""
    padding: tuple[int, int] | None = None
    """First and last stored number that is no part of the picture."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyTables:
    """One entry for each bit pattern of a pixel, whatever its unused upper bits hold."""

    values: NDArray[np.uint16]
    shown: NDArray[np.uint8]
    squeezed: bool
    """True if the modality step gave fractions or too wide a range, so steps were lost."""


def windowed(values: Numbers, window: Window, *, lowest: float, highest: float) -> Numbers:
    """Spread values over a range of grey by a window.

    Parameters
    ----------
    values
        Values after the modality step.
    window
        Centre, width and function.
    lowest, highest
        Output for black and for white.

    Returns
    -------
    NDArray
        Grey, not rounded, of the same shape.

    Notes
    -----
    LINEAR: C.11.2.1.2.1 of [dicom-ps3-3]_; LINEAR_EXACT: C.11.2.1.3.2; SIGMOID: C.11.2.1.3.1.
    LINEAR counts whole steps, hence its halves and ``width - 1``; dividing by ``width`` there
    is a common mistake.

    Examples
    --------
    >>> whole = Window(centre=2048, width=4096)
    >>> windowed(np.array([0.0, 2048.0, 4095.0]), whole, lowest=0, highest=255).round(2).tolist()
    [0.0, 127.53, 255.0]
    """
    if window.function is WindowFunction.SIGMOID:
        curve: Numbers = _sigmoid(values, window) * (highest - lowest) + lowest
        return curve
    halves = 0.5 if window.function is WindowFunction.LINEAR else 0.0
    centre, width = window.centre - halves, window.width - 2 * halves
    with np.errstate(over="ignore"):
        share = (values - centre) / (width or 1.0) + 0.5
    grey: Numbers = np.clip(share, 0.0, 1.0) * (highest - lowest) + lowest
    grey[values <= centre - width / 2] = lowest
    grey[values > centre + width / 2] = highest
    return grey


def looked_up(values: Numbers, table: LookUp) -> Numbers:
    """Return the table's output for each value; C.11.1.1.1 and C.11.2.1.1 of [dicom-ps3-3]_.

    Examples
    --------
    >>> table = LookUp(first=10, outputs=np.array([5, 6, 7], dtype=np.uint16), bits=8)
    >>> looked_up(np.array([0.0, 10.0, 11.0, 99.0]), table).tolist()
    [5.0, 5.0, 6.0, 7.0]
    """
    entries = np.clip(np.floor(values) - table.first, 0, table.outputs.size - 1)
    outputs: Numbers = table.outputs[entries.astype(np.int64)].astype(np.float64)
    return outputs


def whole_range(lowest: float, highest: float) -> Window:
    """Return the window that shows all values from lowest to highest.

    Examples
    --------
    >>> whole_range(0, 4095)
    Window(centre=2048.0, width=4096, function=<WindowFunction.LINEAR: 'LINEAR'>)
    """
    return Window(centre=(lowest + highest + 1) / 2, width=highest - lowest + 1)


def modality_values(stored: StoredNumbers, modality: Rescale | LookUp) -> Numbers:
    """Return the output of the modality step for every bit pattern, (2**bits,)."""
    numbers = stored.all.astype(np.float64)
    if isinstance(modality, LookUp):
        return looked_up(numbers, modality)
    return numbers * modality.slope + modality.intercept


def grey_tables(path: GreyPath) -> GreyTables:
    """Work out the two tables of a film.

    Returns
    -------
    GreyTables
        `values` rise with lightness and keep every step of the film where they can; `shown`
        is what the header asks to be seen. Padding is darkest in both.
    """
    after_modality = modality_values(path.stored, path.modality)
    values, squeezed = _whole_numbers(after_modality)
    grey = _display(after_modality, path.display)
    if path.lowest_is_white:
        values = values.max() - values
        grey = WHITE - grey
    if path.padding:
        low, high = sorted(path.padding)
        outside = (path.stored.all >= low) & (path.stored.all <= high)
        values = np.where(outside, 0, values)
        grey = np.where(outside, 0, grey)
    return GreyTables(
        values=_for_every_pattern(values.astype(np.uint16)),
        shown=_for_every_pattern(np.rint(grey).astype(np.uint8)),
        squeezed=squeezed,
    )


def look_up(table: NDArray[Grey], patterns: NDArray[np.uint16]) -> NDArray[Grey]:
    """Look every pixel up in a table of 65,536 entries.

    Parameters
    ----------
    table
        Output for each bit pattern, of any type. (65536,)
    patterns
        The film's pixels as bit patterns. (rows, columns)
    """
    result: NDArray[Grey] = np.empty(patterns.shape, dtype=table.dtype)
    for start in range(0, patterns.shape[0], STRIP_ROWS):
        strip = slice(start, start + STRIP_ROWS)
        # mode="clip" is only a faster road: no 16-bit pattern lies outside the table.
        np.take(table, patterns[strip], out=result[strip], mode="clip")
    return result


def _sigmoid(values: Numbers, window: Window) -> Numbers:
    with np.errstate(over="ignore"):
        steepness = np.clip(-4.0 * (values - window.centre) / window.width, -700.0, 700.0)
    shares: Numbers = 1.0 / (1.0 + np.exp(steepness))
    return shares


def _display(values: Numbers, display: Window | LookUp) -> Numbers:
    if isinstance(display, LookUp):
        grey: Numbers = looked_up(values, display) * (WHITE / (2**display.bits - 1))
        return grey
    return windowed(values, display, lowest=0, highest=WHITE)


def _whole_numbers(values: Numbers) -> tuple[Numbers, bool]:
    """Shift values, or squeeze them where need be, into 0 to 65,535; say whether squeezed."""
    low, high = float(values.min()), float(values.max())
    if high - low <= LIGHTEST and np.array_equal(values, np.rint(values)):
        fits_as_it_is = low >= 0 and high <= LIGHTEST
        return (values if fits_as_it_is else values - low), False
    squeezed: Numbers = np.rint((values - low) * (LIGHTEST / (high - low)))
    return squeezed, True


def _for_every_pattern(table: NDArray[Grey]) -> NDArray[Grey]:
    """Repeat a table so that unused upper bits (old overlays live there) change nothing."""
    return np.tile(table, 65_536 // table.size)
