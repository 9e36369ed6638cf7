"""Ball, ruler, heights and tilt of one film: read from fields, checked, put into words."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import Fault, FilmsFileError
from thumbwright.core.foundations.measured import Measured, Term
from thumbwright.core.radiograph.calibration import Scale
from thumbwright.core.radiograph.landmarks import FilmNote, FilmNotes, Point
from thumbwright.documents.paper_parts import printed
from thumbwright.interchange.films_list import VERSION_KEY, read_film_notes
from thumbwright.storage.records import Table, Value
from thumbwright.web.film_sent import RULER_ENDS
from thumbwright.web.stored_documents import films_of


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleField:
    """One number that is said of a film, as a field of its page."""

    key: str
    label: str
    group: str
    path: tuple[str, ...]
    """Where it stands in the list of films."""


SCALE_FIELDS = tuple(
    ScaleField(key=key, label=label, group=group, path=path)
    for key, label, group, path in (
        ("ball_mm", "Diameter of the ball [mm]", "Metal ball", ("ball", "diameter_mm")),
        (
            *("ball_tolerance_mm", "True to within ± [mm]", "Metal ball"),
            ("ball", "diameter_tolerance_mm"),
        ),
        (
            *("ball_above_mm", "Its middle over the axis of the bones [mm]", "Metal ball"),
            ("ball", "above_bone_mm"),
        ),
        (
            *("ball_above_tolerance_mm", "That height known to ± [mm]", "Metal ball"),
            ("ball", "above_bone_tolerance_mm"),
        ),
        ("ruler_mm", "Length between its two ends [mm]", "Ruler", ("ruler", "length_mm")),
        (
            *("ruler_above_mm", "Ruler over the axis of the bones [mm]", "Ruler"),
            ("ruler", "above_bone_mm"),
        ),
        (
            *("ruler_above_tolerance_mm", "That height known to ± [mm]", "Ruler"),
            ("ruler", "above_bone_tolerance_mm"),
        ),
        (
            *("source_mm", "Source to detector [mm]", "Where things lay"),
            ("source_to_detector_mm",),
        ),
        (
            *("bone_height_mm", "Axis of the bones over the detector [mm]", "Where things lay"),
            ("bone_above_detector_mm",),
        ),
        (
            *("tilt_deg", "Largest tilt of a bone against the film [degrees]", "Where things lay"),
            ("tilt_limit_deg",),
        ),
    )
)
LONGEST_FIELD = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleFault:
    """What is wrong with one field."""

    field: str
    text: str

    @property
    def table(self) -> Table:
        """Return it as it is sent to the page."""
        return {"field": self.field, "text": self.text}


RULER_BESIDE = ScaleFault(
    field="ruler_mm",
    text="An end of the ruler is not placed on the film, or lies beside it; choose it under "
    "Points and tap the film, or take the ruler away",
)


def fields_of(note: FilmNote) -> dict[str, str]:
    """Return what is said of a film as the text of its fields; empty where nothing is."""
    table = _table(note)
    found: dict[str, str] = {}
    for one in SCALE_FIELDS:
        value: Value = table
        for step in one.path:
            value = value.get(step) if isinstance(value, dict) else None
        found[one.key] = f"{value:g}" if isinstance(value, int | float) else ""
    return found


def scale_said(
    note: FilmNote, fields: Mapping[str, Any], ruler: Mapping[str, Point]
) -> tuple[FilmNote, tuple[ScaleFault, ...]]:
    """Return the note with what the fields say, or the note as it was and every fault.

    Parameters
    ----------
    note
        What was said of the film before.
    fields
        Text of each field; one that is empty takes away what was said.
    ruler
        Both ends of the ruler on the film, as far as they were placed. [px]
    """
    table = _table(note)
    for name in ("ball", "ruler"):
        table[name] = {}
    for one in SCALE_FIELDS:
        _put(table, one.path, _number(fields.get(one.key)))
    _put_ends(table, ruler)
    for name in ("ball", "ruler"):
        if not table[name]:
            table.pop(name)
    table = {key: value for key, value in table.items() if value is not None}
    try:
        (read,) = read_film_notes(json.dumps({VERSION_KEY: 1, "films": [table]})).films
    except FilmsFileError as refused:
        return note, tuple(dict.fromkeys(_at_field(fault) for fault in refused.faults))
    return replace(read, placements=note.placements), ()


def scale_table(scale: Scale | Unknown, remarks: tuple[str, ...]) -> Table:
    """Return a scale with its doubt in words, or why there is none and what would settle it."""
    if isinstance(scale, Unknown):
        return {
            "text": f"unknown: {scale.reason}",
            "needed": list(scale.needed),
            "remarks": list(remarks),
            "mm_per_px": None,
        }
    words = printed(_in_millimetres(scale), decimals=4)
    shown = words.reason if isinstance(words, Unknown) else words.words
    return {
        "text": f"{shown} a pixel, by the {scale.method.value}",
        "needed": [],
        "remarks": list(remarks),
        "mm_per_px": scale.column_mm,
    }


def _in_millimetres(scale: Scale) -> Measured:
    terms = tuple(
        Term(input=term.input, sensitivity=term.sensitivity * scale.column_mm)
        for term in scale.relative
    )
    return Measured(value=scale.column_mm, unit="mm", origin=f"film {scale.film}", terms=terms)


def _table(note: FilmNote) -> Table:
    listed = films_of(FilmNotes(films=(replace(note, placements=()),)))
    table = listed[0] if isinstance(listed, list) else None
    assert isinstance(table, dict)  # noqa: S101  what was written from a note
    return dict(table)


def _put(table: Table, path: tuple[str, ...], value: Value) -> None:
    inner = table if len(path) == 1 else table[path[0]]
    assert isinstance(inner, dict)  # noqa: S101  made a table just before
    if value is None:
        inner.pop(path[-1], None)
    else:
        inner[path[-1]] = value


def _put_ends(table: Table, ruler: Mapping[str, Point]) -> None:
    said = table["ruler"]
    assert isinstance(said, dict)  # noqa: S101  made a table just before
    for name in RULER_ENDS:
        if name in ruler:
            said[name.removeprefix("ruler_")] = [*ruler[name]]


def _number(text: object) -> Value:
    """Return a number, or the text as it was typed, which the check of the list refuses."""
    typed = "" if text is None else str(text).strip()
    if not typed:
        return None
    if len(typed) > LONGEST_FIELD:
        return typed[:LONGEST_FIELD]
    try:
        number = float(typed.replace(",", "."))
    except ValueError:
        return typed
    return number if abs(number) < float("inf") else typed


def _at_field(fault: Fault) -> ScaleFault:
    place = fault.path.partition("]")[2].lstrip(".")
    fields = {".".join(one.path): one.key for one in SCALE_FIELDS}
    ends = {name.replace("_", "."): name for name in RULER_ENDS}
    at = fields.get(place) or ends.get(place) or ("ruler_mm" if place == "ruler" else "")
    if at in RULER_ENDS:
        return RULER_BESIDE
    advice = f"; {fault.advice}" if fault.advice else ""
    text = f"given {fault.given}; allowed: {fault.allowed}{advice}"
    return ScaleFault(field=at or "tilt_deg", text=text)
