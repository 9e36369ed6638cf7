"""What the commands say on the screen, and how they say what went wrong."""

import os
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from tempfile import NamedTemporaryFile

import click

from thumbwright.core.foundations.errors import PlanError

REFUSED = 2
BROKEN = 3


@contextmanager
def said_in_words() -> Iterator[None]:
    """Turn every error into words: a fault of the input, or a fault of the program."""
    for stream in (sys.stdout, sys.stderr):
        # A screen or pipe that has no minus sign must not stop a plan.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        yield
    except PlanError as refused:
        click.echo(str(refused), err=True)
        sys.exit(REFUSED)
    except (KeyboardInterrupt, BrokenPipeError):
        sys.stderr.close()
        sys.exit(1)
    except Exception as broken:  # noqa: BLE001  no traceback may reach a user
        click.echo(_own_fault(broken), err=True)
        sys.exit(BROKEN)


def _own_fault(broken: Exception) -> str:
    """Keep the traceback in a file of its own and tell where it is."""
    with NamedTemporaryFile("w", prefix="thumbwright-", suffix=".txt", delete=False) as kept:
        traceback.print_exception(broken, file=kept)
    return (
        f"The program itself is at fault ({type(broken).__name__}); nothing was written. What "
        f"happened is kept in {kept.name}; send it to whoever looks after the program. It may "
        "name the case."
    )


def counted(number: int, what: str) -> str:
    """Return a number with what it counts: ``1 film``, ``4 films``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def tell(words: str) -> None:
    """Say what is about to be done: on one line of a terminal, or line by line elsewhere."""
    if sys.stderr.isatty() and os.environ.get("TERM") != "dumb":
        click.echo(f"\r\033[K  … {words}", nl=False, err=True)
    else:
        click.echo(f"  … {words}", err=True)


def done_telling() -> None:
    """Clear the line of progress."""
    if sys.stderr.isatty() and os.environ.get("TERM") != "dumb":
        click.echo("\r\033[K", nl=False, err=True)
