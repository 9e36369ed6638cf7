"""The command that makes the five invented cases and plans each of them."""

from datetime import date
from functools import partial
from pathlib import Path

import click

from thumbwright.bootstrap import demand_place, issue, not_written
from thumbwright.cli.planning import summary
from thumbwright.cli.saying import done_telling, tell
from thumbwright.demo.making import make_case
from thumbwright.demo.people import DAY, PEOPLE


def _tell_of(case: str, words: str) -> None:
    tell(f"{case}: {words}")


def show_demo(out: Path, day: date | None) -> None:
    """Make every case with its films, plan it, and print what came out."""
    demand_place(out)
    click.echo(f"Five invented cases, their films and their plans go to {out}.")
    for number, person in enumerate(PEOPLE, start=1):
        place = out / "cases" / person.key
        told = partial(_tell_of, f"case {number} of {len(PEOPLE)}, {person.key}")
        try:
            films = make_case(person, place, told)
        except OSError as fault:
            raise not_written(place, fault.strerror or type(fault).__name__) from fault
        issued = issue(place / "case.toml", films, out / "plans", day or DAY, told)
        done_telling()
        click.echo("\n" + summary(issued))
    click.echo("\nThe people are invented. The program decides nothing; it is no medical device.")
