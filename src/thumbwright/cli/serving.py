"""The command that opens the workbench on this machine."""

import datetime as dt
import os
import secrets
import signal
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread, current_thread, main_thread

import click
import uvicorn

from thumbwright.cli.saying import done_telling, tell
from thumbwright.core.foundations.errors import PlanError
from thumbwright.demo.making import make_case
from thumbwright.demo.people import PEOPLE, Person
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_list import read_film_notes
from thumbwright.storage.holding import forget, held, tell_where
from thumbwright.storage.records import Part, StoreError
from thumbwright.web.app import create_app
from thumbwright.web.desk import Desk
from thumbwright.web.stored_documents import facts_of, films_of

DEMO_WHO = "the demo"
SECRET_BYTES = 32
COPY_EVERY_S = 3600.0
"""How often a copy is made while something changes."""
LONGEST_END_S = 10
"""How long requests may take that are under way when the workbench is closed."""
MOST_PORTS, LAST_PORT, BACKLOG = 50, 65535, 128


def open_workbench(folder: Path, port: int, cases: Path | None) -> None:
    """Serve the workbench on the loopback address until it is stopped.

    Raises
    ------
    HeldError
        If another program holds the store.
    """
    _end_on_request()
    with held(folder), _listening(port) as listener:
        desk = Desk(folder, _now)
        try:
            for trouble in desk.troubles(read_files=False):
                click.echo(f"Look at this first: {trouble}", err=True)
            if cases is not None:
                put_demo_in(desk, cases)
            _serve(desk, port, listener)
        finally:
            forget(folder)
            desk.close()


def _serve(desk: Desk, port: int, listener: socket.socket) -> None:
    app = create_app(desk)
    app.state.secret = unit_secret(desk.folder)
    taken = listener.getsockname()[1]
    address = f"http://127.0.0.1:{taken}/"
    if taken != port:
        click.echo(f"Port {port} is taken by something else; the next free one is {taken}.")
    click.echo(f"The workbench is at {address} ; Ctrl-C closes it.")
    stop = Event()
    copier = Thread(target=copy_on_schedule, args=(desk, stop), daemon=True)
    copier.start()
    config = uvicorn.Config(
        app, log_level="warning", server_header=False, timeout_graceful_shutdown=LONGEST_END_S
    )
    tell_where(desk.folder, address)
    try:
        uvicorn.Server(config).run(sockets=[listener])
    finally:
        stop.set()
        copier.join()


@contextmanager
def _listening(port: int) -> Iterator[socket.socket]:
    """Give a socket on the port, or on the next free one after it."""
    with socket.socket() as listener:
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        last = min(port + MOST_PORTS, LAST_PORT + 1)
        for number in range(port, last):
            try:
                listener.bind(("127.0.0.1", number))
                listener.listen(BACKLOG)
            except OSError:
                continue
            break
        else:
            msg = (
                f"the ports {port} to {last - 1} were tried and are taken; allowed is a free one; "
                "choose another with --port"
            )
            raise PlanError(msg)
        yield listener


def _end_on_request() -> None:
    """End in order when asked to from outside, so that nothing is left lying about."""
    if current_thread() is main_thread():
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))


def _now() -> dt.datetime:
    return dt.datetime.now(tz=dt.UTC)  # noqa: TID251  the clock's home


def copy_on_schedule(desk: Desk, stop: Event, every_s: float = COPY_EVERY_S) -> None:
    """Copy everything whenever something changed since the last copy and the time has come."""
    while not stop.wait(every_s):
        with desk.gate.inside():
            _copy_if_changed(desk)


def _copy_if_changed(desk: Desk) -> None:
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
