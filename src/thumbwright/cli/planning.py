"""The command that plans one case."""

from datetime import date, datetime
from pathlib import Path

import click

from thumbwright.bootstrap import Issued, issue, today
from thumbwright.cli.saying import done_telling, tell
from thumbwright.documents.plan_content import PlanPaper


def day_of(given: object) -> date:
    """Return the day that was given, or today."""
    return given.date() if isinstance(given, datetime) else today()


def plan_one(case_file: Path, films: Path, out: Path, day: object) -> None:
    """Plan one case, write its papers, print a summary and where the papers are."""
    issued = issue(case_file, films, out, day_of(day), tell)
    done_telling()
    click.echo(summary(issued))


def summary(issued: Issued) -> str:
    """Return the plan in a few lines."""
    paper = issued.paper
    rows = (
        ("level", _level(paper)),
        ("missing", _number(paper.glance.missing_length)),
        *_cuts(paper),
        ("plan A", paper.glance.plan_a),
        ("plan B", paper.glance.fallback),
        ("unknown", _unknown(paper)),
        ("paper", str(issued.pdf)),
        ("data", str(issued.json)),
    )
    head = f"{paper.pseudonym} ({paper.case_id}), {paper.age}, {paper.side}"
    return "\n".join(
        [click.style(head, bold=True), *(f"  {name:<9}{words}" for name, words in rows)]
    )


def _level(paper: PlanPaper) -> str:
    probability = paper.glance.level_prob
    words = getattr(probability, "words", "")
    return f"{paper.glance.level} ({words})" if words else paper.glance.level


def _number(number: object) -> str:
    return str(getattr(number, "words", number))


def _cuts(paper: PlanPaper) -> tuple[tuple[str, str], ...]:
    if not isinstance(paper.cuts, tuple):
        return (("cut", str(paper.cuts)),)
    return tuple(
        ("cut", f"{cut.donor}: {_number(cut.cut)} {cut.measured_from}") for cut in paper.cuts
    )


def _unknown(paper: PlanPaper) -> str:
    questions = paper.open_questions
    if not questions:
        return "nothing that the plan needs"
    first = questions[0]
    more = f" (and {len(questions) - 1} more in the paper)" if len(questions) > 1 else ""
    return f"{first.question}{more}"
