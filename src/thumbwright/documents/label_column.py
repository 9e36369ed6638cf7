"""Labels set in one column so that none covers another, each near to what it names."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from thumbwright.core.radiograph.landmarks import Point
from thumbwright.documents.svg import wrapped

LEADING = 1.22
"""Distance of lines over the size of letters. [-]"""
AIR = 0.45
"""Room between two labels over the size of letters. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A label in its place."""

    text: str
    anchor: Point
    """What it names. [drawing units]"""
    lines: tuple[str, ...] = ()
    top: float = 0.0
    """Upper edge. [drawing units]"""
    size: float = 0.0
    """Of the letters. [drawing units]"""

    @property
    def bottom(self) -> float:
        """Return the lower edge [drawing units]."""
        return self.top + len(self.lines) * LEADING * self.size

    @property
    def middle(self) -> float:
        """Return the middle of the first line, where the leader ends [drawing units]."""
        return self.top + 0.6 * self.size

    @property
    def first_line(self) -> float:
        """Return the first base line [drawing units]."""
        return self.top + 0.95 * self.size


def placed(
    labels: Sequence[Label], *, width: float, size: float, top: float, bottom: float
) -> list[Label]:
    """Stack labels in the order of what they name, as near to it as they can stand.

    Parameters
    ----------
    labels
        With text and anchor.
    width, size
        Of the column and of the letters. [drawing units]
    top, bottom
        Between which they should stand; the column grows downwards if it must.
        [drawing units]
    """
    ordered = sorted(labels, key=lambda label: (label.anchor[1], label.anchor[0], label.text))
    stacked: list[Label] = []
    lowest = top
    for label in ordered:
        lines = tuple(wrapped(label.text, width, size))
        wished = label.anchor[1] - 0.6 * size
        stacked.append(replace(label, lines=lines, size=size, top=max(wished, lowest)))
        lowest = stacked[-1].bottom + AIR * size
    return _lifted(stacked, top=top, bottom=bottom)


def _lifted(stacked: list[Label], *, top: float, bottom: float) -> list[Label]:
    """Lift what hangs over the bottom, pushing up what is above it, but not over the top."""
    lifted: list[Label] = []
    limit = bottom
    for label in reversed(stacked):
        height = label.bottom - label.top
        lifted.append(replace(label, top=min(label.top, limit - height)))
        limit = lifted[-1].top - AIR * label.size
    lifted.reverse()
    short = top - lifted[0].top if lifted else 0.0
    return [replace(label, top=label.top + max(0.0, short)) for label in lifted]
