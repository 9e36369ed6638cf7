"""All commands by name."""

import sys
from datetime import date
from pathlib import Path
from typing import NoReturn

import click

from thumbwright import __version__

PLACE = click.Path(readable=False, path_type=Path)
"""A file or folder; what is wrong with it is said by whoever opens it."""


class Day(click.ParamType[date]):
    """A day as year-month-day."""

    name = "day"

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:  # noqa: ARG002
        """Return how the help shows it."""
        return "YYYY-MM-DD"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        """Read a day, or say how one is written."""
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            allowed = "allowed is a day as year-month-day, such as 2026-11-20; write it so."
            self.fail(f"{value!r} was given; {allowed}", param, ctx)


DAY = Day()


class Command(click.Command):
    """A command that helps when it is asked to, whatever else is wrong with its words."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Drop all other words where help is asked for."""
        asked = not set(ctx.help_option_names).isdisjoint(args)
        return super().parse_args(ctx, ctx.help_option_names[:1] if asked else args)


class Commands(click.Group):
    """The commands by name."""

    command_class = Command


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="thumbwright")
def commands() -> None:
    """Plan the reconstruction of a lost thumb. The program decides nothing."""


@commands.command()
@click.argument("case_file", metavar="CASE", type=PLACE)
@click.option(
    "--films", required=True, type=PLACE, metavar="FOLDER", help="Folder of films with their list."
)
@click.option("--out", required=True, type=PLACE, metavar="FOLDER", help="Folder for the papers.")
@click.option(
    "--day",
    type=DAY,
    help="Day of the plan; today if not given.",
)
def plan(case_file: Path, films: Path, out: Path, day: date | None) -> None:
    """Plan one case and write its papers (PDF and JSON)."""
    from thumbwright.cli.planning import plan_one

    plan_one(case_file, films, out, day)


@commands.command()
@click.argument("case_file", metavar="CASE", type=PLACE)
@click.option(
    "--films", required=True, type=PLACE, metavar="FOLDER", help="Folder of films with their list."
)
@click.option("--out", required=True, type=PLACE, metavar="FOLDER", help="Folder for the report.")
@click.option("--prices", type=PLACE, metavar="FILE", help="The unit's own prices (TOML or JSON).")
@click.option("--day", type=DAY, help="Day of the plan; today if not given.")
def ahead(case_file: Path, films: Path, out: Path, prices: Path | None, day: date | None) -> None:
    """Tell what lies ahead with each technique (PDF and JSON).

    Growth, reach, this patient's risk, burden, cost, and how they weigh by what matters.
    """
    from thumbwright.cli.looking_ahead import look_ahead_for_one

    look_ahead_for_one(case_file, films, out, prices, day)


@commands.command()
@click.argument("case_file", metavar="CASE", type=PLACE)
@click.option("--films", type=PLACE, metavar="FOLDER", help="Folder of films with their list.")
def check(case_file: Path, films: Path | None) -> None:
    """Read a case, and its films if given, and name every fault."""
    from thumbwright.cli.checking import check_one

    check_one(case_file, films)


@commands.command()
@click.argument("files", nargs=-1, required=True, type=PLACE)
@click.option("--out", required=True, type=PLACE, metavar="FOLDER", help="Folder for the copies.")
@click.option(
    "--secret-file",
    type=PLACE,
    metavar="FILE",
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
@click.option(
    "--films", required=True, type=PLACE, metavar="FOLDER", help="Folder of films with their list."
)
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
@click.option(
    "--bones",
    type=click.IntRange(1, 4),
    help="How many bones of the ray are there, from the body on; all if not given.",
)
@click.option("--stump", is_flag=True, help="Say that the last bone of them was cut.")
def propose(
    film: str,
    films: Path,
    ray: str,
    line: tuple[float, float, float, float],
    bones: int | None,
    *,
    stump: bool,
) -> None:
    """Propose joints and bone ends along a rough line.

    They count only when a person has looked at each and confirmed it.
    """
    from thumbwright.cli.proposing import Asked, propose_along_line

    asked = Asked(
        ray=ray, start=(line[0], line[1]), end=(line[2], line[3]), bones=bones, stump=stump
    )
    propose_along_line(film, films, asked)


@commands.command()
@click.option(
    "--out", required=True, type=PLACE, metavar="FOLDER", help="Folder for cases, films and papers."
)
@click.option("--day", type=DAY, help="Day of the plans; soon after the examinations if not given.")
def demo(out: Path, day: date | None) -> None:
    """Make five invented cases with their films, and plan them."""
    from thumbwright.cli.showing import show_demo

    show_demo(out, day)


@commands.command()
@click.option(
    "--store",
    default=Path("out/workbench"),
    type=PLACE,
    metavar="FOLDER",
    help="Folder of the records; made if need be.  [default: out/workbench]",
)
@click.option(
    "--port",
    default=8765,
    type=click.IntRange(1024, 65535),
    help="Port on 127.0.0.1.",
    show_default=True,
)
@click.option(
    "--demo",
    type=PLACE,
    metavar="FOLDER",
    help="Put the invented cases of this folder into an empty store.",
)
@click.option("--background", is_flag=True, help="Open it beside the terminal, and say where.")
@click.option("--stop", is_flag=True, help="Close the workbench that is open on this folder.")
def serve(store: Path, port: int, demo: Path | None, *, background: bool, stop: bool) -> None:
    """Open the workbench in the browser of this machine.

    It listens on this machine only, and keeps everything in one folder.
    """
    from thumbwright.cli.background import start_beside, stop_beside

    if stop:
        stop_beside(store)
    elif background:
        start_beside(store, port, demo)
    else:
        from thumbwright.cli.serving import open_workbench

        open_workbench(store, port, demo)


@commands.command()
@click.option(
    "--store",
    default=Path("out/workbench"),
    type=PLACE,
    metavar="FOLDER",
    help="Folder of the records.  [default: out/workbench]",
)
@click.option(
    "--copy", "name", metavar="NAME", help="The copy to put back; all are listed if not given."
)
def restore(store: Path, name: str | None) -> None:
    """Put a copy of the records back, or list the copies.

    What is there is copied before. The workbench must be closed.
    """
    from thumbwright.cli.restoring import restore_one

    restore_one(store, name)


def main() -> NoReturn:
    """Run a command; whatever goes wrong is said in words."""
    from thumbwright.cli.saying import said_in_words

    with said_in_words():
        commands(standalone_mode=True)
    sys.exit(0)
