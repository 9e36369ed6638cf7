"""All commands by name."""

import sys
from pathlib import Path
from typing import NoReturn

import click

from thumbwright import __version__

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="thumbwright")
def commands() -> None:
    """Plan the reconstruction of a lost thumb. The program decides nothing."""


@commands.command()
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--films", required=True, type=FOLDER, help="Folder of films with their list.")
@click.option("--out", required=True, type=FOLDER, help="Folder for the papers.")
@click.option(
    "--day",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Day of the plan, year-month-day; today if not given.",
)
def plan(case_file: Path, films: Path, out: Path, day: object) -> None:
    """Plan one case and write its papers (PDF and JSON)."""
    from thumbwright.cli.planning import plan_one

    plan_one(case_file, films, out, day)


@commands.command()
@click.argument("case_file", metavar="CASE", type=FILE)
@click.option("--films", type=FOLDER, help="Folder of films with their list.")
def check(case_file: Path, films: Path | None) -> None:
    """Read a case, and its films if given, and name every fault."""
    from thumbwright.cli.checking import check_one

    check_one(case_file, films)


@commands.command()
@click.argument("files", nargs=-1, required=True, type=FILE)
@click.option("--out", required=True, type=FOLDER, help="Folder for the copies.")
@click.option(
    "--secret-file",
    type=FILE,
    help="The unit's secret (at least 16 bytes); drawn anew and kept in the folder if not given.",
)
@click.option(
    "--burned-in-checked",
    is_flag=True,
    help="Say that a person looked at the pictures and found no name in them.",
)
def intake(
    files: tuple[Path, ...], out: Path, secret_file: Path | None, *, burned_in_checked: bool
) -> None:
    """Copy films into a folder without what they say of the person."""
    from thumbwright.cli.intake import take_in_all

    take_in_all(files, out, secret_file, burned_in_checked=burned_in_checked)


@commands.command()
@click.argument("film", type=str)
@click.option("--films", required=True, type=FOLDER, help="Folder of films with their list.")
@click.option(
    "--ray",
    required=True,
    type=click.Choice(["thumb", "great toe", "second toe"]),
    help="The ray along which the line runs.",
)
@click.option(
    "--line",
    required=True,
    nargs=4,
    type=float,
    metavar="COLUMN ROW COLUMN ROW",
    help="Rough line from the body to the tip, in pixels.",
)
def propose(film: str, films: Path, ray: str, line: tuple[float, float, float, float]) -> None:
    """Propose joint lines and bone ends along a rough line; a person must confirm them."""
    from thumbwright.cli.proposing import propose_along_line

    propose_along_line(film, films, ray, line)


@commands.command()
@click.option("--out", required=True, type=FOLDER, help="Folder for cases, films and papers.")
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="Day of the plans.")
def demo(out: Path, day: object) -> None:
    """Make the five invented cases with their films, and plan each of them."""
    from thumbwright.cli.showing import show_demo

    show_demo(out, day)


def main() -> NoReturn:
    """Run a command; whatever goes wrong is said in words."""
    from thumbwright.cli.saying import said_in_words

    with said_in_words():
        commands(standalone_mode=True)
    sys.exit(0)
