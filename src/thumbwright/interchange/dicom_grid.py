"""What a DICOM header says of its pixels, checked before any of them is touched."""

from dataclasses import dataclass

from thumbwright.core.radiograph.grey_scale import StoredNumbers
from thumbwright.interchange.dicom_elements import Elements, words
from thumbwright.interchange.films_limits import demand_fair_grid, refusal

GREY = ("MONOCHROME1", "MONOCHROME2")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The shape of a film's pixels and how each is stored."""

    rows: int
    columns: int
    bits_allocated: int
    """8 or 16."""
    stored: StoredNumbers
    lowest_is_white: bool
    """True for MONOCHROME1."""

    @property
    def bytes(self) -> int:
        """Return the size of all pixels when not compressed."""
        return self.rows * self.columns * (self.bits_allocated // 8)


def pixel_grid(elements: Elements, name: str) -> Grid:
    """Read the shape and demand one grey frame of at most 16 bits.

    Raises
    ------
    FilmError
        If there are no pixels, several frames, colours, too many pixels, or numbers of bits
        that cannot be.
    """
    _demand_one_grey_frame(elements, name)
    rows, columns = (_must(elements, key, name) for key in ("Rows", "Columns"))
    demand_fair_grid(rows, columns, name)
    allocated, stored, high = (
        _must(elements, key, name) for key in ("BitsAllocated", "BitsStored", "HighBit")
    )
    sign = _must(elements, "PixelRepresentation", name)
    fits = allocated in {8, 16} and 1 <= stored <= allocated
    if not fits or high != stored - 1 or sign not in {0, 1}:
        raise refusal(
            name,
            given=(
                f"{stored} bits stored in {allocated} allocated, high bit {high}, "
                f"pixel representation {sign}"
            ),
            allowed=(
                "are 8 or 16 bits allocated, at most as many stored, the high bit one less than "
                "those, and a representation of 0 or 1"
            ),
            advice="export the film again; its header contradicts itself or is of another kind",
        )
    return Grid(
        rows=rows,
        columns=columns,
        bits_allocated=allocated,
        stored=StoredNumbers(bits=stored, signed=sign == 1),
        lowest_is_white=elements.text("PhotometricInterpretation") == "MONOCHROME1",
    )


def _demand_one_grey_frame(elements: Elements, name: str) -> None:
    if "PixelData" not in elements.dataset:
        raise refusal(
            name,
            given="a DICOM file without Pixel Data (7FE0,0010)",
            allowed="is a film with its picture",
            advice="export the film itself, not a report or an empty header",
        )
    frames = elements.whole("NumberOfFrames")
    if frames not in {None, 1}:
        raise refusal(
            name,
            given=f"{frames} frames",
            allowed="is a single frame",
            advice="export the one film that is meant",
        )
    samples, photometric = (
        elements.whole("SamplesPerPixel"),
        elements.text("PhotometricInterpretation"),
    )
    if samples != 1 or photometric not in GREY:
        raise refusal(
            name,
            given=f"{samples} samples per pixel as {_plain(photometric) or 'nothing'}",
            allowed=f"is 1 sample per pixel as {' or '.join(GREY)}",
            advice="export the grey original, not a coloured copy",
        )


def _must(elements: Elements, keyword: str, name: str) -> int:
    number = elements.whole(keyword)
    if number is None or number < 0:
        raise refusal(
            name,
            given=f"no usable {words(keyword)}",
            allowed="is a whole number there",
            advice="export the film again; its header is incomplete",
        )
    return number


def _plain(word: str) -> str:
    """Return a coded word for a message, and nothing that could be more than that."""
    return word[:16] if word.replace("_", "").isalnum() else ""
