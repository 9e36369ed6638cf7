"""Writing SVG by hand: escaped text, wrapped labels, and strokes that show on any grey."""

import re
from collections.abc import Sequence
from html import escape
from textwrap import wrap

FONTS = "Noto Sans, Noto Sans Hebrew, Noto Sans Arabic, sans-serif"
INK = "#1a1a1a"
PAPER = "#ffffff"
QUIET = "#6b6b6b"
"""5.3 to 1 on white: the lightest grey that still carries text."""
LETTER_SHARE = 0.56
"""Mean width of a letter of the text face over its size [-]; wide enough for plain prose."""

_ILLEGAL = re.compile(
    "[^\\t\\n\\r\\x20-\\x7e\\xa0-\\ud7ff\\ue000-\U0010ffff]|["
    + "".join(
        chr(plane + last) for plane in range(0, 0x110000, 0x10000) for last in (0xFFFE, 0xFFFF)
    )
    + "]"
)


def legal(text: str) -> str:
    """Replace the characters that no XML or PDF text may hold by the replacement sign."""
    return _ILLEGAL.sub("\ufffd", text)


def escaped(text: str) -> str:
    """Return text that is safe inside an element and inside an attribute."""
    return escape(legal(text), quote=True)


def number(value: float) -> str:
    """Write a coordinate shortly and always alike.

    Examples
    --------
    >>> number(12.0), number(-0.004), number(3.14159)
    ('12', '0', '3.14')
    """
    words = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if words == "-0" else words


def svg(width: float, height: float, body: Sequence[str], *, title: str) -> str:
    """Wrap elements into a document with a title for those who cannot see it."""
    wide, high = number(width), number(height)
    inside = tag("title", escaped(title)) + "".join(body)
    return tag(
        "svg",
        inside,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {wide} {high}",
        width=wide,
        height=high,
        role="img",
        aria_label=legal(title),
        font_family=FONTS,
    )


def tag(name: str, content: str = "", /, **attributes: str | float) -> str:
    """Write one element; an underscore in an attribute's name stands for a hyphen."""
    pairs = "".join(
        f' {key.replace("_", "-")}="{_attribute(value)}"' for key, value in attributes.items()
    )
    return f"<{name}{pairs}>{content}</{name}>" if content else f"<{name}{pairs}/>"


def wrapped(text: str, width: float, size: float, *, most_lines: int = 6) -> list[str]:
    """Break a label into lines that fit a width; what does not fit ends in an ellipsis.

    Parameters
    ----------
    text
        The label.
    width, size
        Room for a line and size of the letters. [drawing units]
    most_lines
        Lines at most. [-]
    """
    letters = max(4, int(width / (LETTER_SHARE * size)))
    return wrap(legal(text), letters, max_lines=most_lines, placeholder=" …") or [""]


def text_lines(
    lines: Sequence[str], x: float, y: float, size: float, **attributes: str | float
) -> str:
    """Write lines of text one under the other; (x, y) is the start of the first base line."""
    return "".join(
        tag("text", escaped(line), x=x, y=y + row * 1.22 * size, font_size=size, **attributes)
        for row, line in enumerate(lines)
        if line
    )


def _attribute(value: str | float) -> str:
    return escaped(value) if isinstance(value, str) else number(value)
