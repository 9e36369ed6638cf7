"""Set a template with its data as a tagged PDF (PDF/UA-1), the same bytes each time."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import typst

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.letters import printable

STANDARD = "ua-1"
TEMPLATES = files("thumbwright.documents") / "templates"


def set_pdf(template: str, parts: Mapping[str, bytes], *, issued_on: date) -> bytes:
    """Set one paper.

    Parameters
    ----------
    template
        File name of the template.
    parts
        Data and pictures by the name under which the template reads them. Nothing of them is
        ever read as markup.
    issued_on
        Day of issue, which is written into the file; midnight, universal time.

    Raises
    ------
    KnowledgeError
        If the paper cannot be set: a picture is no picture, or the fonts are not installed.
    """
    sources = {
        item.name: item.read_bytes() for item in TEMPLATES.iterdir() if _is_source(item.name)
    }
    main = sources.pop(template)
    try:
        # The stubs of typst do not list several files in memory; the code and its README do.
        made: bytes = typst.compile(  # type: ignore[call-overload]
            {"main.typ": main, **sources, **_drawable(parts)},
            font_paths=_fonts(),
            format="pdf",
            pdf_standards=STANDARD,
            timestamp=datetime.combine(issued_on, time(), tzinfo=UTC),
            sys_inputs={},
        )
    except typst.TypstError as fault:
        msg = (
            f"the paper could not be set: {fault.message}; allowed are whole JPEG, PNG or SVG "
            "pictures and text in the letters of the installed fonts; mend the picture or text"
        )
        raise KnowledgeError(msg) from fault
    return made


def _drawable(parts: Mapping[str, bytes]) -> dict[str, bytes]:
    """Replace, in data and drawings, the signs that no font holds."""
    folder = font_folder()
    return {
        name: printable(content.decode(), folder).encode()
        if name.endswith((".json", ".svg"))
        else content
        for name, content in parts.items()
    }


def font_folder() -> Path:
    """Return the folder of the fonts, without running the package that carries them.

    Raises
    ------
    KnowledgeError
        If the fonts are not installed.
    """
    found = find_spec("manimgx_fonts")
    if found is None or found.origin is None:
        msg = "the fonts for paper were not found; allowed is the package manimgx-fonts; install it"
        raise KnowledgeError(msg)
    return Path(found.origin).parent


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(font_folder())]
    )


def _is_source(name: str) -> bool:
    return name.endswith(".typ")
