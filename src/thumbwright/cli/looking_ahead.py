"""The command that tells what lies ahead with each technique."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import click

from thumbwright.ahead import LookedAhead, look_ahead
from thumbwright.bootstrap import today
from thumbwright.cli.saying import done_telling, tell
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.outlook.foresee import ShareAhead
from thumbwright.core.techniques.growth_outlook import ThumbForecast
from thumbwright.pathway.foresee_case import Foresight


def look_ahead_for_one(
    case_file: Path, films: Path, out: Path, prices: Path | None, day: date | None
) -> None:
    """Look ahead for one case, write the report, print a summary and where the report is."""
    found = look_ahead(case_file, films, out, day or today(), prices, tell)
    done_telling()
    click.echo(summary(found))


def summary(ahead: LookedAhead) -> str:
    """Return what lies ahead in a few lines, one for each technique that is not closed."""
    report = ahead.report
    head = f"{report.pseudonym} ({report.case_id}), {report.age}, {report.side}"
    lines = [click.style(head, bold=True)]
    lines += [f"  {name:<46}{words}" for name, words in _lines(ahead.found)]
    lines += [f"  {'report':<46}{ahead.pdf}", f"  {'data':<46}{ahead.json}"]
    return "\n".join(lines)


def _lines(found: Foresight) -> Iterator[tuple[str, str]]:
    firsts = _firsts(found)
    worn = Unknown(reason="it is worn over the stump")
    grown = {one.key: worn if one.is_worn else one.forecast for one in found.growth}
    names = {one.technique.key: one.technique.short_name for one in found.plan.options}
    for outlook in found.outlooks:
        key = outlook.technique
        forecast, reach = grown[key], found.reaches.of(key)
        parts = [
            f"first in {firsts[key]} of 100" if key in firsts else "waits for a finding",
            _lives(outlook.lives_with_fallback),
            _grown(forecast),
            "reach unknown"
            if isinstance(reach, Unknown)
            else f"grasp {reach.widest_grasp.middle_mm:.0f} mm",
        ]
        yield names[key], "; ".join(part for part in parts if part)


def _firsts(found: Foresight) -> dict[str, int]:
    if isinstance(found.weighing, Unknown):
        return {}
    view = found.weighing.views[0]
    return {
        key: round(100 * float(share))
        for key, share in zip(view.found.techniques, view.found.first_prob, strict=True)
    }


def _lives(share: ShareAhead | Unknown) -> str:
    return "" if isinstance(share, Unknown) else f"a thumb in {share.of_hundred} of 100"


def _grown(forecast: ThumbForecast | Unknown) -> str:
    if isinstance(forecast, Unknown):
        return ""
    apart = round(forecast.grown.median_mm)
    if apart == 0:
        return "as long as the other thumb when grown"
    difference = f"{apart:+d} mm".replace("-", "−")
    return f"{difference} against the other thumb when grown"
