"""The command that copies films without the person."""

import secrets
from pathlib import Path

import click

from thumbwright.bootstrap import keep_copy, kept_secret
from thumbwright.cli.saying import done_telling, tell


def take_in_all(
    files: tuple[Path, ...], out: Path, secret_file: Path | None, *, burned_in_checked: bool
) -> None:
    """Copy each film; all are made before any is kept, so that none is half-stored."""
    secret = kept_secret(out, secret_file, secrets.token_bytes(32))
    copies = {}
    for number, file in enumerate(files, start=1):
        tell(f"film {number} of {len(files)}: {file.name}")
        copies[file.name] = keep_copy(file, secret, burned_in_checked=burned_in_checked)
    for name, keep in copies.items():
        keep(out / name)
    done_telling()
    click.echo(
        f"{len(copies)} films were copied to {out} without what their files say of the person. No "
        "profile guarantees that nobody can be recognised: look at each picture."
    )
