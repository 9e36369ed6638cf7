"""The command that reads a case and its films and names every fault."""

from pathlib import Path

import click

from thumbwright.bootstrap import read_whole_case, take_in
from thumbwright.cli.saying import counted, done_telling, tell


def check_one(case_file: Path, films: Path | None) -> None:
    """Say that all is well; every fault is raised, all at once."""
    if films is None:
        case = read_whole_case(case_file)
        click.echo(f"{case_file.name}: the case {case.case_id} is sound; no film was looked at.")
        return
    intake = take_in(case_file, films, tell)
    done_telling()
    click.echo(
        f"{case_file.name}: the case {intake.case.case_id} and its "
        f"{counted(len(intake.films), 'film')} are sound."
    )
