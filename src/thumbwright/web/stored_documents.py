"""Between what is stored of a case and the documents that the program reads and writes."""

import json

from thumbwright.core.case.case import Case
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.interchange.case_file import VERSION_KEY as CASE_KEY
from thumbwright.interchange.case_file import write_case
from thumbwright.interchange.films_list import VERSION_KEY as FILMS_KEY
from thumbwright.interchange.films_list import read_film_notes, write_film_notes
from thumbwright.storage.records import Part, StoredCase, Table, Value


def case_text(case: StoredCase) -> str:
    """Return the facts of a case as a case document."""
    return json.dumps({CASE_KEY: 1, **case.parts[Part.FACTS]}, ensure_ascii=False)


def films_text(case: StoredCase) -> str:
    """Return what is said of the films of a case as a list of films."""
    listed = case.parts[Part.FILMS] or {"films": []}
    return json.dumps({FILMS_KEY: 1, **listed}, ensure_ascii=False)


def notes_of(case: StoredCase) -> FilmNotes:
    """Return what is said of the films of a case.

    Raises
    ------
    FilmsFileError
        If the list has faults.
    """
    return read_film_notes(films_text(case), "the list of films")


def facts_of(case: Case) -> Table:
    """Return a case as the facts that are stored of it."""
    facts: Table = json.loads(write_case(case))
    facts.pop(CASE_KEY)
    return facts


def films_of(notes: FilmNotes) -> Value:
    """Return a list of films as it is stored."""
    listed: Value = json.loads(write_film_notes(notes))["films"]
    return listed
