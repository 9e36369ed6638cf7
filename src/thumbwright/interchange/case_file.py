"""The case document: facts of one case in, facts of one case out."""

import json
from collections.abc import Iterable
from dataclasses import fields

from thumbwright.core.case.case import Case
from thumbwright.core.case.contradictions import contradictions
from thumbwright.core.foundations.errors import CaseFileError, Fault
from thumbwright.interchange.document_text import Place, Table, Value, path_of
from thumbwright.interchange.schemas import document_model
from thumbwright.interchange.validation import (
    Checked,
    Document,
    DocumentKind,
    check_document,
    fitted,
    listed,
)

VERSION_KEY = "thumbwright_case"
CASE = DocumentKind(
    version_key=VERSION_KEY,
    version=1,
    model=document_model("CaseDocument", VERSION_KEY, Case),
    error=CaseFileError,
)

# What takes the place of a faulty entry while the sound rest is searched for contradictions.
# The last two keep every rule silent that makes an exception for them.
_STAND_INS: dict[tuple[str, ...], Value] = {
    (VERSION_KEY,): 1,
    ("case_id",): "?",
    ("examined_on",): "2000-01-01",
    ("patient", "pseudonym"): "?",
    ("patient", "birth_date"): "2000-01-01",
    ("patient", "sex"): "female",
    ("injury", "side"): "left",
    ("injury", "mechanism"): "tumour",
    ("injury", "several_levels"): "yes",
    ("injury", "earlier_operations"): ["?"],
}
_EXCEPTIONS = {("injury", "several_levels"), ("injury", "earlier_operations")}
_VISITS = "growth_checks"
STAND_INS_OF_A_VISIT: dict[str, Value] = {"measured_on": "2000-01-01", "side": "left"}


def read_case(data: bytes | str, name: str) -> Case:
    """Read a case from a TOML or JSON document.

    Parameters
    ----------
    data
        The document, as bytes (UTF-8) or text.
    name
        What to call it in messages, such as its file name.

    Returns
    -------
    Case
        The facts; what the document does not mention is *not examined*.

    Raises
    ------
    CaseFileError
        With every fault and every contradiction, if there is any.
    """
    checked = check_document(data, CASE)
    if checked.document is None:
        faults = [fault for _, fault in checked.faults]
        raise CaseFileError(name, listed((*faults, *_contradictions_of_the_sound_part(checked))))
    case = _case_of(checked.document)
    if clashes := contradictions(case):
        raise CaseFileError(name, listed(clashes))
    return case


def write_case(case: Case) -> str:
    """Write a case as a JSON document that :func:`read_case` takes back unchanged."""
    facts = {entry.name: getattr(case, entry.name) for entry in fields(Case)}
    return CASE.model(**{VERSION_KEY: 1}, **facts).model_dump_json(indent=2) + "\n"


def _case_of(document: Document) -> Case:
    return Case(**{entry.name: getattr(document, entry.name) for entry in fields(Case)})


def _contradictions_of_the_sound_part(checked: Checked[Document]) -> tuple[Fault, ...]:
    """Look for contradictions among what has no fault, so that one round of mending is enough."""
    places = [_whole_list(place) for place, _ in checked.faults]
    if not checked.table or () in places or _is_of_another_kind(places, checked.table):
        return ()
    table = _without(checked.table, places)
    for stand_in, value in _STAND_INS.items():
        is_exception = stand_in in _EXCEPTIONS and any(place[0] == "injury" for place in places)
        if is_exception or any(_touch(place, stand_in) for place in places):
            _put(table, stand_in, value)
    for place in places:
        visit, last = _at(table, place[:-1]), str(place[-1])
        is_of_a_visit = place[0] == _VISITS and last in STAND_INS_OF_A_VISIT
        if is_of_a_visit and isinstance(visit, dict):
            visit[last] = STAND_INS_OF_A_VISIT[last]
    document, _ = fitted(table, CASE.model)
    if document is None:
        return ()
    faulty = [path_of(place) for place in places]
    return tuple(
        clash
        for clash in contradictions(_case_of(document))
        if not _mentions_any(clash.path.split(" and "), faulty)
    )


def _whole_list(place: Place) -> Place:
    """Return the whole list in place of a visit that is no table.

    Without that one the later visits would be counted, and named, wrongly.
    """
    return place[:1] if place[:1] == (_VISITS,) and len(place) == 2 else place


def _is_of_another_kind(places: list[Place], table: Table) -> bool:
    return (VERSION_KEY,) in places and VERSION_KEY in table


def _without(table: Table, places: Iterable[Place]) -> Table:
    """Return a copy without the faulty entries; later entries of a list go before earlier."""
    copy: Table = json.loads(json.dumps(table))
    for *way, last in sorted(places, key=lambda place: [str(step).zfill(9) for step in place])[
        ::-1
    ]:
        inside = _at(copy, way)
        if isinstance(inside, dict):
            inside.pop(str(last), None)
        elif isinstance(inside, list) and isinstance(last, int):
            del inside[last : last + 1]
    return copy


def _at(table: Table, way: Iterable[str | int]) -> Value:
    inside: Value = table
    for step in way:
        inside = _entry(inside, step)
    return inside


def _entry(inside: Value, step: str | int) -> Value:
    if isinstance(inside, dict):
        return inside.get(str(step))
    if isinstance(inside, list) and isinstance(step, int) and step < len(inside):
        return inside[step]
    return None


def _put(table: Table, place: tuple[str, ...], value: Value) -> None:
    inside = table
    for step in place[:-1]:
        deeper = inside.setdefault(step, {})
        if not isinstance(deeper, dict):
            return
        inside = deeper
    inside[place[-1]] = value


def _touch(one: Place, other: Place) -> bool:
    shorter = min(len(one), len(other))
    return one[:shorter] == other[:shorter]


def _mentions_any(parts: Iterable[str], faulty: Iterable[str]) -> bool:
    return any(
        part == bad or part.startswith(f"{bad}.") or bad.startswith((f"{part}.", f"{part}["))
        for bad in faulty
        for part in parts
    )
