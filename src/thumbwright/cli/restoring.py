"""The command that puts a copy of the records back."""

import datetime as dt
from pathlib import Path

import click

from thumbwright.cli.saying import counted
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.backup import backups, finish_put_back
from thumbwright.storage.database import Database
from thumbwright.storage.holding import held
from thumbwright.storage.records import StoreError
from thumbwright.storage.restore import (
    Description,
    Restored,
    backup_named,
    describe,
    losses,
    restore,
)
from thumbwright.web.desk import named


def restore_one(folder: Path, name: str | None) -> None:
    """List the copies, or put one back while no workbench holds the store."""
    if not folder.is_dir():
        msg = (
            f"{folder} was given as the folder of the records and is none; allowed is the folder "
            "that the workbench was opened on; check the name"
        )
        raise PlanError(msg)
    if name is None:
        _list(folder)
        return
    backup = backup_named(folder / "backups", name)
    with held(folder):
        finish_put_back(folder / "store")
        database = _database(folder)
        try:
            lost = () if database is None else losses(backup, database)
            done = restore(backup, database, folder, named, _now)
        finally:
            if database is not None:
                database.close()
    _say(name, lost, done)


def _list(folder: Path) -> None:
    found = [describe(backup) for backup in backups(folder / "backups")]
    if not found:
        click.echo(f"No copy lies in {folder / 'backups'}.")
        return
    click.echo(f"Copies in {folder / 'backups'}, the newest first:")
    for one in found:
        click.echo(f"  {one.name}  {_line(one)}")
    click.echo("To put one back, name it with --copy.")


def _line(one: Description) -> str:
    cases = one.case_count
    count = "damaged" if isinstance(cases, Unknown) else counted(cases, "case")
    proved = (
        f"read back whole {one.proved_at:%Y-%m-%d %H:%M} UTC" if one.proved_at else "not read back"
    )
    return f"{one.size_bytes / 1e6:,.1f} MB, {count}, {proved}"


def _database(folder: Path) -> Database | None:
    """Open the database that is there; what cannot be opened is put aside and not copied."""
    place = folder / "store" / "cases.db"
    if not place.exists():
        return None
    try:
        return Database(place)
    except StoreError as fault:
        click.echo(f"What is there cannot be opened: {fault}", err=True)
        return None


def _say(name: str, lost: tuple[str, ...], done: Restored) -> None:
    click.echo(f"The copy {name} is in its place.")
    for line in lost:
        click.echo(f"  no longer there: {line}")
    if done.before is not None:
        click.echo(f"What was there before is the copy {done.before.folder.name}.")
    elif done.aside is not None:
        click.echo(f"What was there before lies in {done.aside}.")


def _now() -> dt.datetime:
    return dt.datetime.now(tz=dt.UTC)  # noqa: TID251  the clock's home
