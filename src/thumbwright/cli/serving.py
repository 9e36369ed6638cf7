"""The command that opens the workbench on this machine."""

import datetime as dt
import os
import secrets
from pathlib import Path
from threading import Event, Thread

import click
import uvicorn

from thumbwright.cli.saying import done_telling, tell
from thumbwright.core.foundations.errors import PlanError
from thumbwright.demo.making import make_case
from thumbwright.demo.people import PEOPLE, Person
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_list import read_film_notes
from thumbwright.storage.records import Part, StoreError
from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk
from thumbwright.web.stored_documents import facts_of, films_of

DEMO_WHO = "the demo"
SECRET_BYTES = 32
COPY_EVERY_S = 3600.0
"""How often a copy is made while something changes."""


def open_workbench(folder: Path, port: int, cases: Path | None) -> None:
    """Serve the workbench on the loopback address until it is stopped."""
    desk = Desk(folder, lambda: dt.datetime.now(tz=dt.UTC))  # noqa: TID251  the clock's home
    try:
        for trouble in desk.troubles(read_files=False):
            click.echo(f"Look at this first: {trouble}", err=True)
        if cases is not None:
            put_demo_in(desk, cases)
        app = create_app(desk)
        app.state.secret = unit_secret(folder)
        click.echo(f"The workbench is at http://127.0.0.1:{port}/ ; Ctrl-C closes it.")
        stop = Event()
        copier = Thread(target=copy_on_schedule, args=(desk, stop), daemon=True)
        copier.start()
        try:
            uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", server_header=False)
        finally:
            stop.set()
            copier.join()
    finally:
        desk.close()


def copy_on_schedule(desk: Desk, stop: Event, every_s: float = COPY_EVERY_S) -> None:
    """Copy everything whenever something changed since the last copy and the time has come."""
    while not stop.wait(every_s):
        copies, rows = desk.backups(), (*desk.cases.cases(), *desk.cases.cases(archived=True))
        if rows and (not copies or max(row.changed_at for row in rows) > copies[0].made_at):
            try:
                desk.back_up()
            except StoreError as fault:
                click.echo(f"Look at this: {fault}", err=True)


def unit_secret(folder: Path) -> bytes:
    """Return the secret by which identifiers in films are replaced; drawn once for a store."""
    place = folder / "store" / "secret"
    if not place.exists() or len(place.read_bytes()) < SECRET_BYTES:
        # Whole or absent: a killed program must not leave an empty secret behind.
        half = place.with_suffix(".half")
        half.touch(mode=0o600)
        with half.open("wb") as file:
            file.write(secrets.token_bytes(SECRET_BYTES))
            file.flush()
            os.fsync(file.fileno())
        half.replace(place)
    return place.read_bytes()


def put_demo_in(desk: Desk, cases: Path) -> None:
    """Put the five invented cases into a store that holds no other; mend a half done one."""
    there = {row.key for row in (*desk.cases.cases(), *desk.cases.cases(archived=True))}
    if there - {person.key for person in PEOPLE}:
        return
    for person in PEOPLE:
        if person.key in there and _is_whole_or_touched(desk, person.key):
            continue
        tell(f"putting in {person.key}")
        _put_in(desk, person, cases / person.key)
    done_telling()


def _is_whole_or_touched(desk: Desk, key: str) -> bool:
    case = desk.cases.case(key)
    listed = case.parts[Part.FILMS].get("films")
    whole = isinstance(listed, list) and len(desk.files.of_case(key, "film")) >= len(listed)
    return whole or {change.made_by for change in desk.cases.history(key)} != {DEMO_WHO}


def _put_in(desk: Desk, person: Person, place: Path) -> None:
    films = place / "films"
    if not (films / "films.json").is_file():
        films = make_case(person, place, lambda _: None)
    facts = facts_of(read_case((place / "case.toml").read_bytes(), "case.toml"))
    notes = read_film_notes((films / "films.json").read_bytes(), "films.json")
    parts = {Part.FACTS: facts, Part.FILMS: {"films": films_of(notes)}}
    try:
        if not any(row.key == person.key for row in desk.cases.cases()):
            desk.cases.begin(DEMO_WHO, "invented case", parts, key=person.key)
        for note in notes.films:
            data = (films / note.file).read_bytes()
            desk.files.add(person.key, "film", note.file, "application/dicom", data, DEMO_WHO)
    except OSError as fault:
        msg = f"the film {fault.filename} could not be read ({fault.strerror}); make the demo anew"
        raise PlanError(msg) from fault
