"""Find and number the sources that a paper cites, and no other."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Source
from thumbwright.documents.plan_content import PlanPaper, SourceEntry
from thumbwright.documents.report_content import Report

Paper = TypeVar("Paper", PlanPaper, Report)


def bases(part: object) -> Iterator[Basis]:
    """Yield every basis anywhere in a paper or a part of one, in reading order."""
    if isinstance(part, Basis):
        yield part
    elif is_dataclass(part):
        for field in fields(part):
            yield from bases(getattr(part, field.name))
    elif isinstance(part, tuple):
        for item in part:
            yield from bases(item)


def cited_keys(part: object) -> tuple[str, ...]:
    """Return the keys of all sources cited, each once, in the order they are met."""
    return tuple(dict.fromkeys(basis.source for basis in bases(part) if basis.source))


def with_sources(paper: Paper, bibliography: Mapping[str, Source]) -> Paper:
    """Return the paper with its list of sources, numbered in reading order.

    Parameters
    ----------
    paper
        The whole content; whatever stands in its ``sources`` is replaced.
    bibliography
        All sources of the program by key.

    Raises
    ------
    KnowledgeError
        If the paper cites a key that the bibliography does not hold.
    """
    keys = cited_keys(paper)
    missing = [key for key in keys if key not in bibliography]
    if missing:
        raise KnowledgeError(_missing(missing, "the bibliography"))
    entries = tuple(_entry(number, bibliography[key]) for number, key in enumerate(keys, start=1))
    return replace(paper, sources=entries)


def require_sources(paper: PlanPaper | Report) -> None:
    """Refuse a paper that cites what its list of sources does not hold.

    Raises
    ------
    KnowledgeError
        If a cited key is not listed.
    """
    listed = {entry.key for entry in paper.sources}
    missing = [key for key in cited_keys(paper) if key not in listed]
    if missing:
        raise KnowledgeError(_missing(missing, "its list of sources"))


def _entry(number: int, source: Source) -> SourceEntry:
    return SourceEntry(
        number=number,
        key=source.key,
        citation=source.citation,
        identifier=source.identifier,
        provenance=source.provenance,
        note=source.note,
    )


def _missing(keys: list[str], place: str) -> str:
    return (
        f"the paper cites {', '.join(sorted(keys))}, which {place} does not hold; allowed are keys "
        "of the bibliography; add the source, or build the paper with with_sources"
    )
