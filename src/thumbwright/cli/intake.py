"""The command that copies films without the person."""

import secrets
from collections import Counter
from pathlib import Path

import click

from thumbwright.bootstrap import KEPT_BESIDE, found_secret, keep_copies, stripped_copy
from thumbwright.cli.saying import counted, done_telling, tell
from thumbwright.core.foundations.errors import PlanError


def take_in_all(
    files: tuple[Path, ...], out: Path, secret_file: Path | None, *, burned_in_checked: bool
) -> None:
    """Copy each film; all are made before any is kept, so that none is half-stored."""
    _demand_own_names(files)
    known = found_secret(out, secret_file)
    secret = secrets.token_bytes(32) if known is None else known
    copies = {}
    for number, file in enumerate(files, start=1):
        tell(f"film {number} of {len(files)}: {file.name}")
        copies[file.name] = stripped_copy(file, secret, burned_in_checked=burned_in_checked)
    keep_copies(copies, out, secret if known is None else None)
    done_telling()
    were = "was" if len(copies) == 1 else "were"
    click.echo(
        f"{counted(len(copies), 'film')} {were} copied to {out} without what the files say of the "
        "person. No profile guarantees that nobody can be recognised: look at each picture."
    )
    if known is None:
        click.echo(
            f"The unit's secret was drawn and lies in {out / KEPT_BESIDE}. Keep it for later films "
            "of the unit, and hand it on with none of them."
        )


def _demand_own_names(files: tuple[Path, ...]) -> None:
    """Refuse two films of one name, of which only one could be kept."""
    count = Counter(file.name.casefold() for file in files)
    alike = [str(file) for file in files if count[file.name.casefold()] > 1]
    if alike:
        msg = (
            f"{' and '.join(alike)} were given; allowed is each file name once, since the copies "
            "go into one folder; rename one, or take them in one by one into other folders"
        )
        raise PlanError(msg)
