"""Kinds of pixels that picture files hold, in the names of Pillow, and what they are taken as."""

GREY_16 = ("I;16", "I;16L", "I;16B")
COLOURED = ("LA", "La", "P", "PA", "RGB", "RGBA", "RGBa", "RGBX", "CMYK", "YCbCr", "LAB", "HSV")


def taken_as(mode: str) -> str | None:
    """Return the kind that pixels are turned into: L, RGB or one of 16 bits; None to refuse.

    Examples
    --------
    >>> taken_as("P"), taken_as("1"), taken_as("I;16"), taken_as("F")
    ('RGB', 'L', 'I;16', None)
    """
    if mode in {"1", "L"}:
        return "L"
    if mode in GREY_16:
        return mode
    return "RGB" if mode in COLOURED else None
