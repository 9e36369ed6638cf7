"""Which signs the fonts for paper hold, and what is printed in place of those they do not.

A tagged PDF may not hold a sign that no font can draw, and a plan must not fail for the
spelling of a name. So a sign that cannot be drawn is printed as its number, ``[U+6F22]``.
Signs that turn the direction of the text around them are printed so as well: they could make
"LEFT" read otherwise than it was written.
"""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from struct import Struct, unpack_from

from thumbwright.core.foundations.errors import KnowledgeError

EMBEDDED = frozenset("−–—‘’“”…≥≤≈≠∞√→←↑↓↔·•′″‴×÷µΩαβγδπσΔΣ½¼¾²³°±¹✓✗™®⌀∅∠∥⊥∆∑∂∫")
"""Signs of the trade that are surely drawn: most by the folder's fonts, the rest by the
setter's own."""
JOINERS = frozenset("\u00ad\u200b\u200c\u200d")
"""Signs without a shape that some scripts need; harmless."""
TURNERS = frozenset(
    chr(code) for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
)
"""Signs without a shape that change the direction of what stands around them."""

_DOUBTFUL = re.compile(f"[^ -~\n\r\t\u00a0-\u017f{''.join(sorted(EMBEDDED | JOINERS))}]")
"""A sign that may not be drawn, or must not be; plain Latin text needs no look into a font."""
_TABLE = Struct(">4sIII")
_RANGE = Struct(">III")


def printable(text: str, folder: Path) -> str:
    """Return text in which every sign that the fonts cannot draw is replaced by its number.

    Parameters
    ----------
    text
        Any text, already free of control characters.
    folder
        Folder of the fonts.
    """
    if not _DOUBTFUL.search(text):
        return text
    held = _held(folder)
    return _DOUBTFUL.sub(
        lambda sign: sign[0] if ord(sign[0]) in held else f"[U+{ord(sign[0]):04X}]", text
    )


@cache
def _held(folder: Path) -> frozenset[int]:
    codes: set[int] = set()
    for path in sorted(folder.glob("*.ttf")):
        codes.update(font_signs(path.read_bytes(), path.name))
    return frozenset(codes - {ord(sign) for sign in TURNERS})


def font_signs(font: bytes, name: str) -> Iterator[int]:
    """Yield the code of each sign that a TrueType font draws.

    Notes
    -----
    Reads the table that maps signs to glyphs: the segments of its format 12, or of format 4
    where the font has no other. A segment of format 4 that looks its glyphs up one by one is
    taken as whole; none of the fonts used has holes in one.

    Raises
    ------
    KnowledgeError
        If the bytes hold no such table.
    """
    found = {}
    (tables,) = unpack_from(">H", font, 4) if len(font) > 6 else (0,)
    for table in range(tables):
        label, _, offset, _ = _TABLE.unpack_from(font, 12 + 16 * table)
        found[label] = offset
    if b"cmap" not in found:
        msg = f"the font {name} has no table of signs; allowed are TrueType fonts; reinstall it"
        raise KnowledgeError(msg)
    start = found[b"cmap"]
    (count,) = unpack_from(">H", font, start + 2)
    offsets = [start + unpack_from(">I", font, start + 8 + 8 * each)[0] for each in range(count)]
    by_format = {unpack_from(">H", font, offset)[0]: offset for offset in offsets}
    if 12 in by_format:
        yield from _format_12(font, by_format[12])
    elif 4 in by_format:
        yield from _format_4(font, by_format[4])


def _format_12(font: bytes, offset: int) -> Iterator[int]:
    (groups,) = unpack_from(">I", font, offset + 12)
    for group in range(groups):
        first, last, _ = _RANGE.unpack_from(font, offset + 16 + 12 * group)
        yield from range(first, last + 1)


def _format_4(font: bytes, offset: int) -> Iterator[int]:
    (doubled,) = unpack_from(">H", font, offset + 6)
    lasts = unpack_from(f">{doubled // 2}H", font, offset + 14)
    firsts = unpack_from(f">{doubled // 2}H", font, offset + 16 + doubled)
    for first, last in zip(firsts, lasts, strict=True):
        yield from range(first, min(last, 0xFFFE) + 1)
