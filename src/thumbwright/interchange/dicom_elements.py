"""The elements of a DICOM data set, asked for one by one; what cannot be read is absent."""

from dataclasses import dataclass
from math import isfinite
from typing import Any

from pydicom.datadict import dictionary_description, tag_for_keyword
from pydicom.multival import MultiValue


@dataclass(frozen=True, slots=True)
class Elements:
    """A data set, and the remarks that reading it gives rise to."""

    dataset: Any
    """A pydicom ``Dataset``, which carries no types."""
    remarks: list[str]

    def value(self, keyword: str) -> Any:  # noqa: ANN401  pydicom's values have any type
        """Return the value as pydicom gives it, or None."""
        try:
            return self.dataset.get(keyword)
        except Exception:  # noqa: BLE001  pydicom raises whatever a malformed value provokes
            self.remarks.append(f"{words(keyword)} cannot be understood and was not used.")
            return None

    def texts(self, keyword: str) -> tuple[str, ...]:
        """Return all values as trimmed text in capitals, empty ones left out."""
        found = self.value(keyword)
        every = found if isinstance(found, MultiValue | list | tuple) else (found,)
        return tuple(str(one).strip().upper() for one in every if one not in (None, ""))

    def text(self, keyword: str) -> str:
        """Return the first value as text in capitals, or an empty text."""
        return next(iter(self.texts(keyword)), "")

    def numbers(self, keyword: str) -> tuple[float, ...]:
        """Return all values as finite numbers; none at all if one of them is not."""
        try:
            found = tuple(float(text) for text in self.texts(keyword))
        except (ValueError, OverflowError):
            found = (float("nan"),)
        if all(isfinite(number) for number in found):
            return found
        self.remarks.append(f"{words(keyword)} is no number and was not used.")
        return ()

    def number(self, keyword: str) -> float | None:
        """Return the first number, or None."""
        return next(iter(self.numbers(keyword)), None)

    def whole(self, keyword: str) -> int | None:
        """Return the first number if it is a whole one, or None."""
        number = self.number(keyword)
        return int(number) if number is not None and number.is_integer() else None

    def items(self, keyword: str) -> tuple["Elements", ...]:
        """Return the items of a sequence."""
        found = self.value(keyword)
        if found is None or isinstance(found, str | bytes):
            return ()
        try:
            return tuple(Elements(item, self.remarks) for item in found if hasattr(item, "get"))
        except TypeError:
            return ()


def words(keyword: str) -> str:
    """Return an attribute's name and tag as they stand in the standard.

    Examples
    --------
    >>> words("PixelSpacing")
    'Pixel Spacing (0028,0030)'
    """
    tag = tag_for_keyword(keyword) or 0
    return f"{dictionary_description(tag)} ({tag >> 16:04X},{tag & 0xFFFF:04X})"
