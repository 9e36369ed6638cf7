"""Documents against types: the whole document at once, each fault in the words of its reader."""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from thumbwright.core.foundations.errors import DocumentError, Fault
from thumbwright.interchange.allowed import (
    Kind,
    Spot,
    alternatives_of,
    in_words,
    keys_of,
    spot_of,
    takes_a_date,
)
from thumbwright.interchange.document_text import (
    WHOLE,
    Place,
    Table,
    Value,
    path_of,
    read_text,
    shown,
)

MOST_FAULTS = 200


class Document(BaseModel):
    """Base of the document models: strict, closed, finite."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


Model = TypeVar("Model", bound=Document)
_ABSENT = object()
_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentKind(Generic[Model]):
    """One kind of document: its first line, its types, its error."""

    version_key: str
    """Key that names the kind, such as ``thumbwright_case``."""
    version: int
    model: type[Model]
    error: type[DocumentError]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked(Generic[Model]):
    """The outcome of a check: a document, or the faults that stand in its way."""

    document: Model | None
    table: Table
    """What was read, for a second look at the parts that are sound."""
    faults: tuple[tuple[Place, Fault], ...]


def parse_document(data: bytes | str, kind: DocumentKind[Model], *, name: str) -> Model:
    """Read a TOML or JSON document and demand that it fits its types.

    Parameters
    ----------
    data
        The document, as bytes (UTF-8) or text.
    kind
        What it should be.
    name
        What to call it in messages, such as its file name.

    Returns
    -------
    Document
        An instance of the kind's model.

    Raises
    ------
    DocumentError
        Of the kind's own class, with every fault of text and content in the document's order.
    """
    checked = check_document(data, kind)
    if checked.document is None:
        raise kind.error(name, listed(fault for _, fault in checked.faults))
    return checked.document


def check_document(data: bytes | str, kind: DocumentKind[Model]) -> Checked[Model]:
    """Read and check a document, and return the faults instead of raising them."""
    reading = read_text(data)
    if reading.table is None:
        return Checked(document=None, table={}, faults=reading.faults)
    table = reading.table
    version = _version_fault(table, kind)
    if version and version.given != "nothing":
        return Checked(document=None, table=table, faults=(((kind.version_key,), version),))
    document, faults = fitted(table, kind.model)
    found = dict(faults)
    for place, fault in reading.faults[: 5 * MOST_FAULTS]:
        spot = spot_of(kind.model, place)
        by_type = found.setdefault(spot.place, _fault(spot, None))
        if not spot.is_unknown:
            found[spot.place] = replace(by_type, given=fault.given, advice=fault.advice)
    if version:
        found[kind.version_key,] = version
    ordered = sorted(found.items(), key=lambda item: _order(table, item[0]))
    return Checked(document=None if found else document, table=table, faults=tuple(ordered))


def fitted(
    table: Table, model: type[Model]
) -> tuple[Model | None, tuple[tuple[Place, Fault], ...]]:
    """Fit a table into a model; return it, or one fault per place that does not fit."""
    found: dict[Place, Fault] = {
        spot.place: _fault(spot, _at(table, spot.place))
        for spot in (spot_of(model, place) for place in _number_like(table, ()))
        if takes_a_date(spot.kind)
    }
    try:
        document = model.model_validate_json(json.dumps(table))
    except ValidationError as errors:
        every = errors.errors(include_url=False, include_context=False)
        for error in every[: 5 * MOST_FAULTS]:
            spot = spot_of(model, error["loc"])
            given = _at(table, spot.place)
            # The validator calls a model's key missing when something inside it is at fault.
            if error["type"] != "missing" or given is _ABSENT or spot.place != error["loc"]:
                found.setdefault(spot.place, _fault(spot, given))
    return (None if found else document), tuple(found.items())


def listed(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Return the faults, cut off with a word where there are too many to read."""
    every = tuple(faults)
    if len(every) <= MOST_FAULTS:
        return every
    rest = Fault(
        path=WHOLE,
        given=f"more than {MOST_FAULTS} faults",
        allowed="none",
        advice="correct the ones above first",
    )
    return (*every[:MOST_FAULTS], rest)


def _number_like(value: Value, place: Place) -> Iterator[Place]:
    """Find texts of digits: the validator would take "0" for a date, in seconds since 1970."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _number_like(inner, (*place, key))
    elif isinstance(value, list):
        for at, inner in enumerate(value):
            yield from _number_like(inner, (*place, at))
    elif isinstance(value, str) and not _ISO_DATE.fullmatch(value) and any(map(str.isdigit, value)):
        yield place


def _version_fault(table: Table, kind: DocumentKind[Any]) -> Fault | None:
    given = table.get(kind.version_key, _ABSENT)
    if given == kind.version and not isinstance(given, bool | float):
        return None
    others = [key for key in table if key.startswith("thumbwright_") and key != kind.version_key]
    words = f"{kind.version_key} = {shown(given)}" if given is not _ABSENT else "nothing"
    if given is _ABSENT and others:
        words = f"a document of another kind, {shown(others[0])}"
    return Fault(
        path=kind.version_key,
        given=words,
        allowed=f"{kind.version_key} = {kind.version}",
        advice="the key stands in the first line and names the kind and version of the document",
    )


def _fault(spot: Spot, given: object) -> Fault:
    path = path_of(spot.place)
    if spot.is_unknown:
        return Fault(
            path=path,
            given="an unknown key",
            allowed=f"the keys {', '.join(keys_of(spot.kind))}",
            advice=_nearest(str(spot.place[-1]), keys_of(spot.kind)) or "remove it",
        )
    allowed = in_words(spot.kind, spot.name)
    if given is _ABSENT:
        return Fault(path=path, given="nothing", allowed=allowed, advice="add this key")
    return Fault(path=path, given=shown(given), allowed=allowed, advice=_advice(spot.kind, given))


def _advice(kind: Kind, given: object) -> str:
    words = alternatives_of(kind)
    if isinstance(given, bool) and "yes" in words:
        return f'write "{"yes" if given else "no"}" in quotes'
    if isinstance(given, str):
        if near := _nearest(given, words):
            return near
        if given.strip().replace(".", "", 1).isdigit() and "number" in in_words(kind, ""):
            return "write the number without quotes"
    if "not_examined" in words:
        return 'correct it, or write "not_examined"'
    return "correct it"


def _nearest(given: str, words: tuple[str, ...]) -> str:
    plain = given.strip().casefold().replace(" ", "_").replace("-", "_")[:100]
    near = get_close_matches(plain, words, n=1, cutoff=0.6)
    return f"did you mean {near[0]}?" if near else ""


def _at(table: Table, place: Place) -> object:
    value: object = table
    for step in place:
        value = _inside(value, step)
    return value


def _inside(value: object, step: str | int) -> object:
    if isinstance(value, dict):
        return value.get(step, _ABSENT)
    if isinstance(value, list) and isinstance(step, int) and step < len(value):
        return value[step]
    return _ABSENT


def _order(table: Table, place: Place) -> tuple[int, ...]:
    """Return where a place stands in the document; missing keys come last in their table."""
    order: list[int] = []
    value: object = table
    for step in place:
        steps = list(value) if isinstance(value, dict) else []
        order.append(steps.index(step) if step in steps else len(steps))
        if isinstance(step, int):
            order[-1] = step
        value = _inside(value, step)
    return tuple(order)
