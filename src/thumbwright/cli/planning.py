"""The command that plans one case."""

from datetime import date
from pathlib import Path

import click

from thumbwright.bootstrap import Issued, issue, today
from thumbwright.cli.saying import done_telling, tell
from thumbwright.documents.compose_donors import toes_in_question
from thumbwright.documents.plan_content import PlanPaper

MOST_STOPS = 4
"""Stops that are said on the screen; all stand on the first page of the paper."""


def plan_one(case_file: Path, films: Path, out: Path, day: date | None) -> None:
    """Plan one case, write its papers, print a summary and where the papers are."""
    issued = issue(case_file, films, out, day or today(), tell)
    done_telling()
    click.echo(summary(issued))


def summary(issued: Issued) -> str:
    """Return the plan in a few lines."""
    paper = issued.paper
    rows = (
        ("level", _level(paper)),
        ("missing", _number(paper.glance.missing_length)),
        *_cuts(issued),
        ("plan A", paper.glance.plan_a),
        ("plan B", paper.glance.fallback),
        *(("stop", stop.text) for stop in paper.glance.stops[:MOST_STOPS]),
        *_more_stops(paper),
        ("unknown", _unknown(paper)),
        ("paper", str(issued.pdf)),
        ("data", str(issued.json)),
    )
    head = f"{paper.pseudonym} ({paper.case_id}), {paper.age}, {paper.side}"
    return "\n".join(
        [click.style(head, bold=True), *(f"  {name:<9}{words}" for name, words in rows)]
    )


def _more_stops(paper: PlanPaper) -> tuple[tuple[str, str], ...]:
    more = len(paper.glance.stops) - MOST_STOPS
    return (("stop", f"{more} more on the first page of the paper"),) if more > 0 else ()


def _level(paper: PlanPaper) -> str:
    probability = paper.glance.level_prob
    words = getattr(probability, "words", "")
    return f"{paper.glance.level} ({words})" if words else paper.glance.level


def _number(number: object) -> str:
    return str(getattr(number, "words", number))


def _cuts(issued: Issued) -> tuple[tuple[str, str], ...]:
    """Return the cuts of toes that a technique may yet take."""
    asked = {ray.value for ray in toes_in_question(issued.plan)}
    cuts = issued.paper.cuts
    if not asked:
        return ()
    if not isinstance(cuts, tuple):
        return (("cut", str(cuts)),)
    return tuple(
        ("cut", f"{cut.donor}: {_number(cut.cut)} {cut.measured_from}")
        for cut in cuts
        if cut.donor.partition(" ")[2] in asked
    )


def _unknown(paper: PlanPaper) -> str:
    questions = paper.open_questions
    if not questions:
        return "nothing that the plan needs"
    first = questions[0]
    settled = f"; settled by {first.settled_by[0]}" if first.settled_by else ""
    more = len(questions) + len(first.settled_by[1:]) - 1
    return f"{first.question}{settled}" + (f" (and {more} more in the paper)" if more else "")
