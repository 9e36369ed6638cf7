"""The one place where the pieces are joined: knowledge, clock, files, reader, printer."""

import datetime as dt
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

from thumbwright import __version__
from thumbwright.core.case.case import Case
from thumbwright.core.comparison.criteria_data import read_criteria
from thumbwright.core.evidence.risk_factor import read_risk_factors
from thumbwright.core.evidence.study_table import read_studies
from thumbwright.core.foundations.errors import Fault, FilmsFileError, PlanError
from thumbwright.core.foundations.sources import read_bibliography
from thumbwright.core.growth.stature import read_stature
from thumbwright.core.outlook.consequences import read_consequences
from thumbwright.core.radiograph.image import Film
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.core.scheduling.day_plan import DayPlan, read_day_plans
from thumbwright.core.scheduling.treatment import Treatment
from thumbwright.core.scheduling.treatment_reading import read_treatments
from thumbwright.core.techniques.catalogue import read_catalogue
from thumbwright.documents.compose import compose
from thumbwright.documents.plan_content import InputHash, PlanPaper, Version
from thumbwright.documents.plan_report import write_json, write_pdf
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_folder import read_films
from thumbwright.interchange.films_list import read_film_notes
from thumbwright.pathway.plan_case import Knowledge, Plan, plan_case

KEPT_BESIDE = ".secret"
"""File of the unit's secret beside the copies of its films."""
LIST_OF_FILMS = ("films.toml", "films.json")
"""Names under which a folder of films may hold its list."""
Progress = Callable[[str], None]


class OutputError(PlanError):
    """A paper could not be written where it was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """A case and its films, read and checked."""

    case: Case
    notes: FilmNotes
    films: Mapping[str, Film]
    inputs: tuple[InputHash, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A plan and the papers written from it."""

    plan: Plan
    paper: PlanPaper
    pdf: Path
    json: Path


def today() -> dt.date:
    """Return the day by the clock of this machine; the only place where it is read."""
    return dt.datetime.now(tz=dt.UTC).astimezone().date()  # noqa: TID251  the clock's one home


@cache
def knowledge() -> Knowledge:
    """Return the techniques and the bibliography that are packaged with the program."""
    core = files("thumbwright") / "core"
    bibliography = read_bibliography(
        (core / "foundations" / "bibliography.toml").read_text("utf-8")
    )
    catalogue = (core / "techniques" / "catalogue.toml").read_text("utf-8")
    stature = (core / "growth" / "cdc_stature_for_age.csv").read_text("utf-8")
    techniques = read_catalogue(catalogue, bibliography)
    studies = (core / "evidence" / "studies.csv").read_text("utf-8")
    risk_factors = (core / "evidence" / "risk_factors.csv").read_text("utf-8")
    return Knowledge(
        techniques=techniques,
        bibliography=bibliography,
        studies=read_studies(studies, {one.key for one in techniques}, bibliography),
        risk_factors=read_risk_factors(risk_factors, bibliography),
        stature=read_stature(stature),
        consequences=read_consequences(
            (core / "outlook" / "consequences.toml").read_text("utf-8"), bibliography
        ),
        criteria=read_criteria((core / "comparison" / "criteria.toml").read_text("utf-8")),
    )


@cache
def treatments() -> Mapping[str, Treatment]:
    """Return the course of treatment of each technique that is packaged with the program."""
    known = knowledge()
    text = files("thumbwright") / "core" / "scheduling" / "treatments.toml"
    return read_treatments(text.read_text("utf-8"), known.techniques, known.bibliography)


@cache
def day_plans() -> Mapping[str, DayPlan]:
    """Return the plans of a day in theatre that are packaged with the program."""
    text = files("thumbwright") / "core" / "scheduling" / "day_plans.toml"
    return read_day_plans(text.read_text("utf-8"), knowledge().bibliography)


def versions() -> tuple[Version, ...]:
    """Return every version that decides the outcome."""
    core = files("thumbwright") / "core"
    tables = {
        "techniques": core / "techniques" / "catalogue.toml",
        "bibliography": core / "foundations" / "bibliography.toml",
        "stature": core / "growth" / "cdc_stature_for_age.csv",
        "consequences": core / "outlook" / "consequences.toml",
        "criteria": core / "comparison" / "criteria.toml",
        "studies": core / "evidence" / "studies.csv",
        "risk factors": core / "evidence" / "risk_factors.csv",
    }
    return (
        Version(name="thumbwright", version=__version__),
        *(
            Version(name=f"table of {name}", version=sha256(place.read_bytes()).hexdigest()[:16])
            for name, place in tables.items()
        ),
    )


def read_list(folder: Path) -> FilmNotes:
    """Read the list of films in a folder, without the films."""
    place = list_of_films(folder)
    return read_film_notes(bytes_of(place, "the list of films"), place.name)


def take_in(case_file: Path, folder: Path, tell: Progress) -> Intake:
    """Read a case, the list of its films and the films.

    Raises
    ------
    CaseFileError, FilmsFileError
        With all faults at once.
    """
    data = bytes_of(case_file, "a case file")
    case = read_case(data, case_file.name)
    list_file = list_of_films(folder)
    list_data = bytes_of(list_file, "the list of films")
    notes = read_film_notes(list_data, list_file.name)

    def told(done: int, total: int, name: str) -> None:
        if name:
            tell(f"reading film {done + 1} of {total}: {name}")

    films = read_films(folder, notes, told)
    inputs = (
        InputHash(name=case_file.name, sha256=sha256(data).hexdigest()),
        InputHash(name=list_file.name, sha256=sha256(list_data).hexdigest()),
        *(InputHash(name=name, sha256=film.sha256) for name, film in films.items()),
    )
    return Intake(case=case, notes=notes, films=films, inputs=inputs)


def list_of_films(folder: Path) -> Path:
    """Return the list of films in a folder.

    Raises
    ------
    FilmsFileError
        If there is none, or two.
    """
    found = [folder / name for name in LIST_OF_FILMS if (folder / name).is_file()]
    if len(found) == 1:
        return found[0]
    fault = Fault(
        path=str(folder),
        given="no list of films" if not found else " and ".join(place.name for place in found),
        allowed=f"one of {' or '.join(LIST_OF_FILMS)}",
        advice="name the folder that holds the films with their list",
    )
    raise FilmsFileError("the folder of films", (fault,))


def issue(case_file: Path, folder: Path, out: Path, day: dt.date, tell: Progress) -> Issued:
    """Plan one case and write its papers.

    Parameters
    ----------
    case_file, folder
        The case, and the folder of its films with their list.
    out
        Folder for the papers; made if it is not there.
    day
        Day of the plan.
    tell
        Told what is about to be done.

    Raises
    ------
    PlanError
        One of its children, if anything stops the plan; then no paper is written.
    """
    demand_place(out)
    intake = take_in(case_file, folder, tell)
    known = knowledge()
    plan = plan_case(intake.case, intake.films, intake.notes, known, day, tell)
    tell("writing the papers")
    paper, drawings = compose(plan, known, intake.inputs, versions())
    stem = safe_name(intake.case.case_id)
    pdf, text = out / f"{stem}-plan.pdf", out / f"{stem}-plan.json"
    papers = {pdf: write_pdf(paper, drawings), text: write_json(paper).encode()}
    for place, data in papers.items():
        write_whole(place, data)
    return Issued(plan=plan, paper=paper, pdf=pdf, json=text)


def safe_name(name: str) -> str:
    """Return a case's word as a file name; what had to be changed is told apart by a mark."""
    safe = "".join(sign if sign.isalnum() or sign in "-_" else "_" for sign in name)
    return safe if safe == name else f"{safe}-{sha256(name.encode()).hexdigest()[:6]}"


def bytes_of(place: Path, what: str) -> bytes:
    """Read a file, or say in words why it cannot be read.

    Raises
    ------
    PlanError
        If it cannot be opened.
    """
    try:
        return place.read_bytes()
    except OSError as fault:
        msg = (
            f"{place} was given as {what} and cannot be opened ({fault.strerror}); allowed is a "
            "file that may be read; check the name"
        )
        raise PlanError(msg) from fault


def demand_place(out: Path) -> None:
    """Refuse a folder that can surely not be written to, before any work is done for it."""
    nearest = next(place for place in (out, *out.absolute().parents) if place.exists())
    if not nearest.is_dir():
        raise not_written(out, f"{nearest} is no folder")
    if not os.access(nearest, os.W_OK):
        raise not_written(out, f"{nearest} may not be written to")


def write_whole(place: Path, data: bytes, *, private: bool = False) -> None:
    """Write a whole file or none: first beside it, then in its place."""
    half = place.with_name(f".{place.name}.part")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(half, _ANEW, 0o600 if private else 0o666), "wb") as file:
            file.write(data)
        half.replace(place)
    except OSError as fault:
        raise not_written(place, fault.strerror or type(fault).__name__) from fault
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)


_ANEW = os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0)


def not_written(place: Path, why: str) -> OutputError:
    """Return the error that says that something could not be written, and why."""
    return OutputError(
        f"{place} was to be written and could not be ({why}); allowed is a folder that may be "
        "written to, with room; choose another with --out"
    )


def read_whole_case(case_file: Path) -> Case:
    """Read a case alone.

    Raises
    ------
    CaseFileError
        With every fault and contradiction.
    """
    return read_case(bytes_of(case_file, "a case file"), case_file.name)


def found_secret(out: Path, secret_file: Path | None) -> bytes | None:
    """Return the unit's secret, if there is one yet.

    Parameters
    ----------
    out
        Folder of the copies; holds the secret where no file is named.
    secret_file
        File of the secret, if the unit keeps it elsewhere.
    """
    if secret_file is not None:
        return bytes_of(secret_file, "the unit's secret")
    place = out / KEPT_BESIDE
    return bytes_of(place, "the unit's secret") if place.exists() else None


def stripped_copy(file: Path, secret: bytes, *, burned_in_checked: bool) -> bytes:
    """Make a copy of a film without the person.

    Raises
    ------
    FilmError
        If the film cannot be read, or says that writing is part of its picture.
    """
    from thumbwright.interchange.deidentify import deidentify  # noqa: PLC0415  not for a plan

    return deidentify(
        bytes_of(file, "a film"), secret=secret, name=file.name, burned_in_checked=burned_in_checked
    )


def keep_copies(copies: Mapping[str, bytes], out: Path, fresh_secret: bytes | None) -> None:
    """Write copies of films into a folder, all or none, and over no other film.

    Parameters
    ----------
    copies
        File name to bytes. A file that is there already with the same bytes is left alone.
    out
        Folder; made if it is not there.
    fresh_secret
        A secret that was drawn for these copies, to be kept beside them.

    Raises
    ------
    OutputError
        If another file of one of the names is there, or the folder cannot be written to.
    """
    demand_place(out)
    there = {name for name in copies if (out / name).exists()}
    other = sorted(name for name in there if bytes_of(out / name, "a film") != copies[name])
    if other:
        msg = (
            f"{', '.join(other)} would be written over another file of that name in {out}; "
            "allowed are names that are free there, or the very same film; choose another folder "
            "with --out, or rename the film"
        )
        raise OutputError(msg)
    if fresh_secret is not None:
        write_whole(out / KEPT_BESIDE, fresh_secret, private=True)
    for name in copies.keys() - there:
        write_whole(out / name, copies[name])
