"""The plan report as a PDF and as JSON, from one content."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from pathlib import PurePath

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Provenance
from thumbwright.documents.cited_sources import require_sources
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.plan_content import OptionState, PlanPaper
from thumbwright.documents.plan_figures import (
    level_bars,
    level_picture,
    scale_drawing,
    scale_picture,
)
from thumbwright.documents.printer import set_pdf
from thumbwright.documents.svg import legal

CAUTION = (
    "Research and planning aid, not a medical device; for the licensed clinician, who decides."
)
LABELLED = (Provenance.RECALLED, Provenance.COMMON_PRACTICE, Provenance.ASSUMED)
"""Provenances whose words are printed wherever the sentence or number stands."""
LONG = 400
"""Letters of a text from which on table rows may break over pages. [-]"""

Plain = str | int | float | bool | None | list["Plain"] | dict[str, "Plain"]
"""What JSON can hold."""


def write_pdf(paper: PlanPaper, pictures: Mapping[str, bytes]) -> bytes:
    """Set the plan as a tagged PDF; the same content and pictures give the same bytes.

    Parameters
    ----------
    paper
        The whole content. Its day of issue is the date of the document.
    pictures
        Bytes of each film's picture, by the name the paper gives it.

    Raises
    ------
    KnowledgeError
        If a picture is missing or broken, or a source is cited that the paper does not list.
    """
    require_sources(paper)
    drawn = _film_pictures(paper, pictures) | _own_pictures(paper)
    places = {name: f"picture-{count}{PurePath(name).suffix}" for count, name in enumerate(drawn)}
    parts = {places[name]: content for name, content in drawn.items()}
    parts["plan.json"] = _json(plain(paper, legal)).encode()
    parts["setting.json"] = _json(_setting(paper, places)).encode()
    return set_pdf("plan.typ", parts, issued_on=paper.issued_on)


def write_json(paper: PlanPaper) -> str:
    """Write the plan as JSON in the documented form, with a line feed at the end.

    Raises
    ------
    KnowledgeError
        If a source is cited that the paper does not list.
    """
    require_sources(paper)
    return _json(plain(paper, _encodable), indent=2) + "\n"


def plain(part: object, text: Callable[[str], str]) -> Plain:
    """Return a part of a paper as plain lists, names and numbers; each string goes through text."""
    if is_dataclass(part):
        return {field.name: plain(getattr(part, field.name), text) for field in fields(part)}
    if isinstance(part, tuple):
        return [plain(item, text) for item in part]
    if isinstance(part, Enum):
        return str(part.value)
    if isinstance(part, date):
        return part.isoformat()
    if isinstance(part, str):
        return text(part)
    if part is None or isinstance(part, bool | int | float):
        return part
    msg = (
        f"a paper was given with {part!r}; allowed are text, numbers, dates and parts of papers; "
        "say it in words"
    )
    raise KnowledgeError(msg)


def _json(content: Plain, *, indent: int | None = None) -> str:
    return json.dumps(content, ensure_ascii=False, allow_nan=False, indent=indent)


def _encodable(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")


def _film_pictures(paper: PlanPaper, pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    if isinstance(paper.films, Unknown):
        return {}
    named = [film.picture.name for film in paper.films if isinstance(film.picture, Picture)]
    missing = sorted(set(named) - set(pictures))
    if missing or len(set(named)) != len(named):
        msg = (
            f"the paper names the pictures {', '.join(named)}, of which {', '.join(missing) or 0} "
            "were not handed over; allowed is one picture for each film, each of another name"
        )
        raise KnowledgeError(msg)
    return {f"film/{name}": pictures[name] for name in named}


def _own_pictures(paper: PlanPaper) -> dict[str, bytes]:
    """Draw what the paper itself holds."""
    drawn = {}
    if not isinstance(paper.scale, Unknown):
        picture = scale_picture(paper.scale)
        drawn[picture.name] = scale_drawing(paper.scale, title=picture.alt).encode()
    if not isinstance(paper.levels.shares, Unknown):
        picture = level_picture(paper.levels.shares)
        drawn[picture.name] = level_bars(paper.levels.shares, title=picture.alt).encode()
    return drawn


def _texts(content: Plain) -> Iterator[str]:
    if isinstance(content, str):
        yield content
    elif isinstance(content, list):
        for item in content:
            yield from _texts(item)
    elif isinstance(content, dict):
        yield from _texts(list(content.values()))


def _setting(paper: PlanPaper, places: Mapping[str, str]) -> dict[str, Plain]:
    """Return what the template needs besides the content."""
    setting: dict[str, Plain] = {
        "files": {legal(name): place for name, place in places.items()},
        "labels": {provenance.value: provenance.label for provenance in LABELLED},
        "signs": {state.value: state.sign for state in OptionState},
        "caution": CAUTION,
        "long": any(len(text) > LONG for text in _texts(plain(paper, legal))),
    }
    if not isinstance(paper.scale, Unknown):
        setting["scale_picture"] = plain(scale_picture(paper.scale), legal)
    if not isinstance(paper.levels.shares, Unknown):
        setting["level_picture"] = plain(level_picture(paper.levels.shares), legal)
    return setting
