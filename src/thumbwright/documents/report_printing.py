"""A report as a PDF and as JSON, from one content."""

import json
from collections.abc import Iterator, Mapping
from pathlib import PurePath

from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.documents.cited_sources import require_sources
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.plan_report import CAUTION, LABELLED, Plain, plain
from thumbwright.documents.printer import set_pdf
from thumbwright.documents.report_content import Figure, Gallery, Report
from thumbwright.documents.svg import legal


def write_report_pdf(report: Report, drawings: Mapping[str, bytes]) -> bytes:
    """Set a report as a tagged PDF; the same content and drawings give the same bytes.

    Parameters
    ----------
    report
        The whole content.
    drawings
        Bytes of each picture by the name the report gives it.

    Raises
    ------
    KnowledgeError
        If a picture is missing or broken, or a source is cited that the report does not list.
    """
    require_sources(report)
    named = [picture.name for picture in pictures_of(report)]
    missing = sorted(set(named) - set(drawings))
    if missing or len(set(named)) != len(named):
        msg = (
            f"the report names {len(named)} pictures, of which {', '.join(missing) or 'none'} were "
            "not handed over; allowed is one picture for each name, each name once"
        )
        raise KnowledgeError(msg)
    places = {name: f"picture-{count}{PurePath(name).suffix}" for count, name in enumerate(named)}
    parts = {places[name]: drawings[name] for name in named}
    setting: dict[str, Plain] = {
        "files": {legal(name): place for name, place in places.items()},
        "labels": {provenance.value: provenance.label for provenance in LABELLED},
        "caution": CAUTION,
        "long": True,
    }
    parts["report.json"] = _json(plain(report, legal)).encode()
    parts["setting.json"] = _json(setting).encode()
    return set_pdf("report.typ", parts, issued_on=report.issued_on)


def write_report_json(report: Report) -> str:
    """Write a report as JSON, with a line feed at the end.

    Raises
    ------
    KnowledgeError
        If a source is cited that the report does not list.
    """
    require_sources(report)
    content = plain(report, lambda text: text.encode("utf-8", "replace").decode("utf-8"))
    return json.dumps(content, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def pictures_of(report: Report) -> Iterator[Picture]:
    """Yield every picture of a report in reading order."""
    for section in report.sections:
        for block in section.blocks:
            if isinstance(block, Figure):
                yield block.picture
            elif isinstance(block, Gallery):
                yield from block.pictures


def _json(content: Plain) -> str:
    return json.dumps(content, ensure_ascii=False, allow_nan=False)
