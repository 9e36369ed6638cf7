"""Visits at which growth was looked at: the form for one, and what stands recorded."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache

from thumbwright.core.case.growing import is_growing
from thumbwright.core.case.growth_checks import GrowthCheck, PlatesSeen
from thumbwright.core.case.patient import Patient, Sex, age_years
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import Fault
from thumbwright.interchange.case_file import CASE, STAND_INS_OF_A_VISIT
from thumbwright.interchange.document_text import shown
from thumbwright.interchange.validation import check_document
from thumbwright.storage.documents import value_at
from thumbwright.storage.records import Table, Value
from thumbwright.web.exam_answers import (
    ADVICE,
    Form,
    allowed_on_page,
    answer_of,
    contradictions_in,
    in_plain_words,
    text_of,
)
from thumbwright.web.exam_fields import KEPT_ON_OTHER_PAGES, fields_of
from thumbwright.web.exam_sections import Entry, ExamPage, Section, entry_named, entry_of
from thumbwright.web.exam_words import Line

VISITS = "growth_checks"
_LONGEST = 200
_DEFAULTS = {entry.name: entry.default for entry in fields(GrowthCheck)}
_SECTIONS: tuple[tuple[str, tuple[Line, ...]], ...] = (
    (
        "Visit",
        (
            ("measured_on", "Day of the visit", "Or of its film."),
            (
                "side",
                "Side of the new thumb",
                "Asked at each visit, so that the lengths of both thumbs are not exchanged.",
            ),
        ),
    ),
    (
        "New thumb",
        (
            ("thumb_mm", "Length of the new thumb", "CMC joint to bony tip."),
            (
                "thumb_doubt_mm",
                "Standard uncertainty of the length of the new thumb",
                f"Empty counts as {_DEFAULTS['thumb_doubt_mm']:g}.",
            ),
            ("plates", "Growth plates on a film", "Of the new thumb: open, or one or more closed."),
        ),
    ),
    (
        "Other thumb",
        (
            ("other_thumb_mm", "Length of the other thumb", "CMC joint to bony tip."),
            (
                "other_thumb_doubt_mm",
                "Standard uncertainty of the length of the other thumb",
                f"Empty counts as {_DEFAULTS['other_thumb_doubt_mm']:g}.",
            ),
        ),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a posted visit comes to."""

    visits: list[Value]
    """The list with the new visit at its day."""
    day: str
    """As it was typed."""
    faults: tuple[Fault, ...]
    """Every fault at once; the path is the name of the field beside which it stands."""
    values: dict[str, tuple[str, ...]]
    """What the form shows when it is shown again: everything as it was typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """One recorded visit in words."""

    day: str
    side: str
    thumb: str
    other_thumb: str
    plates: str

    @property
    def words(self) -> str:
        """Return the visit in one line."""
        return (
            f"{self.day}, {self.side}: new thumb {self.thumb}, other thumb {self.other_thumb}, "
            f"growth plates {self.plates}"
        )


@cache
def visit_page() -> ExamPage:
    """Return the form for one visit."""
    known = {field.name: field for field in fields_of(GrowthCheck)}
    sections = tuple(
        Section(
            key=f"growth-{number}",
            legend=legend,
            hint="",
            entries=tuple(entry_of(known[line[0]], legend, line) for line in lines),
        )
        for number, (legend, lines) in enumerate(_SECTIONS, start=1)
    )
    return ExamPage(key="growth", title=KEPT_ON_OTHER_PAGES[VISITS], sections=sections)


def label_of(fault: Fault) -> str:
    """Return the label of the field beside which a fault stands."""
    labels = {entry.name: entry.full_label for entry in visit_page().entries}
    return labels.get(fault.path, fault.path)


def visits_in(facts: Table) -> list[Value]:
    """Return the visits of a case document, perhaps with gaps."""
    listed = facts.get(VISITS)
    return [*listed] if isinstance(listed, list) else []


def in_order(listed: list[Value]) -> list[Value]:
    """Return visits by their days; a list of anything else stays as it is."""
    of_visits = all(isinstance(one, dict) and "measured_on" in one for one in listed)
    return sorted(listed, key=_day) if of_visits else listed


def empty_values() -> dict[str, tuple[str, ...]]:
    """Return what an untouched form shows: doubts as they count if left alone, nothing else."""
    values: dict[str, tuple[str, ...]] = {entry.name: ("",) for entry in visit_page().entries}
    doubts = {name: one for name, one in _DEFAULTS.items() if isinstance(one, float)}
    values |= {name: (f"{doubt_mm:g}",) for name, doubt_mm in doubts.items()}
    return values | {"plates": (PlatesSeen.NOT_EXAMINED.value,)}


def visit_given(form: Form, seen: Sequence[Value], facts: Table) -> Given:
    """Put a posted visit into the list, and let the check of the case document judge.

    Parameters
    ----------
    form
        What was posted.
    seen
        The visits that this person saw.
    facts
        The case document as it is, perhaps with gaps.
    """
    typed = {entry: _typed(form, entry.name) for entry in visit_page().entries}
    answers = {entry.name: answer_of(entry, [text]) for entry, text in typed.items()}
    visit: Table = {name: value for name, value in answers.items() if value is not None}
    visits = in_order([*seen, visit])
    at = next(number for number, one in enumerate(visits) if one is visit)
    faults = _faults_of_type({**facts, VISITS: visits}, at, typed)
    faulty = {fault.path for fault in faults}
    # So that a visit without day or side is still told everything else that it lacks.
    stand_ins = {name: one for name, one in STAND_INS_OF_A_VISIT.items() if name in faulty}
    beside: Table = {**facts, VISITS: [*visits[:at], {**visit, **stand_ins}, *visits[at + 1 :]]}
    clashes = (fault for fault in _clashes_of(beside, at) if fault.path not in faulty)
    return Given(
        visits=visits,
        day=_day(visit),
        faults=tuple(sorted((*faults, *clashes), key=lambda fault: [*answers].index(fault.path))),
        values={entry.name: tuple(map(str, form.get(entry.name, ()))) or ("",) for entry in typed},
    )


def clashes_in_words(facts: Table) -> tuple[Fault, ...]:
    """Return what does not fit together about recorded visits, the places in words."""
    return tuple(
        _worded(fault, facts) for fault in contradictions_in(facts) if VISITS in fault.path
    )


def row_of(visit: Value) -> VisitRow:
    """Return a recorded visit in words, whatever stands in its place."""
    table = visit if isinstance(visit, dict) else {}
    return VisitRow(
        day=str(table.get("measured_on", "no day")),
        side=str(table.get("side", "no side")),
        thumb=_length(table, "thumb"),
        other_thumb=_length(table, "other_thumb"),
        plates=in_plain_words(str(table.get("plates", "not_examined"))),
    )


def grew_when_examined(facts: Table, today: dt.date) -> bool | Unknown:
    """Tell whether the hand still grew on the day of the examination.

    Parameters
    ----------
    facts
        The case document, perhaps with gaps.
    today
        Stands in for the day of the examination where there is none yet.
    """
    born = _date(value_at(facts, ("patient", "birth_date")))
    sex = value_at(facts, ("patient", "sex"))
    if born is None or sex not in {one.value for one in Sex}:
        return Unknown(
            reason="nobody can tell whether the hand grows", needed=("date of birth", "sex")
        )
    patient = Patient(pseudonym="?", birth_date=born, sex=Sex(sex))
    bone_age = value_at(facts, ("patient", "bone_age_years"))
    if isinstance(bone_age, int | float) and not isinstance(bone_age, bool):
        patient = replace(patient, bone_age_years=float(bone_age))
    day = _date(facts.get("examined_on")) or today
    return is_growing(patient, age_years(patient, day))


def _typed(form: Form, name: str) -> str:
    text = " ".join(str(one) for one in form.get(name, ())[-1:])
    return " ".join(text.split())[:_LONGEST]


def _day(visit: Value) -> str:
    return str(visit.get("measured_on", "")) if isinstance(visit, dict) else ""


def _date(value: Value) -> dt.date | None:
    try:
        return dt.date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def _faults_of_type(document: Table, at: int, typed: dict[Entry, str]) -> list[Fault]:
    """Return where the new visit does not fit its type, in the words of the form."""
    entries = {entry.name: entry for entry in typed}
    found = []
    for place, fault in check_document(text_of(document), CASE).faults:
        if place[:2] == (VISITS, at) and (entry := entries.get(str(place[-1]))):
            advice = ADVICE[entry.field.kind]
            found.append(
                Fault(
                    path=entry.name,
                    given=shown(typed[entry]) if typed[entry] else "nothing",
                    allowed=allowed_on_page(entry, fault.allowed),
                    advice=advice.removesuffix(", or leave it empty")
                    if entry.field.is_required
                    else advice,
                )
            )
    return found


def _clashes_of(document: Table, at: int) -> list[Fault]:
    """Return what of the new visit cannot stand beside the case; it would stop the plan."""
    here = f"{VISITS}[{at}]"
    found = []
    for fault in contradictions_in(document):
        own = [part for part in fault.path.split(" and ") if part.startswith(here)]
        if own:
            # A visit that says nothing is told beside the first thing it could have said.
            name = own[-1].removeprefix(here).removeprefix(".") or "thumb_mm"
            found.append(replace(_worded(fault, document), path=name))
    return found


def _worded(fault: Fault, facts: Table) -> Fault:
    places = " and ".join(_place(part, facts) for part in fault.path.split(" and "))
    return replace(
        fault,
        given=f"{places}: {in_plain_words(fault.given)}",
        allowed=in_plain_words(fault.allowed),
        advice=in_plain_words(fault.advice),
    )


def _place(part: str, facts: Table) -> str:
    entry = entry_named(part)
    if entry is not None:
        return entry.full_label
    number, _, name = part.removeprefix(f"{VISITS}[").partition("]")
    labels = {one.name: one.label for one in visit_page().entries}
    visits = visits_in(facts)
    is_there = number.isdigit() and int(number) < len(visits)
    day = _day(visits[int(number)]) if is_there else part
    label = labels.get(name.removeprefix("."), "")
    return f"visit of {day}, {label}" if label else f"visit of {day}"


def _length(visit: Table, name: str) -> str:
    length, doubt = visit.get(f"{name}_mm"), visit.get(f"{name}_doubt_mm")
    if not isinstance(length, int | float):
        return "not examined"
    given = doubt if isinstance(doubt, int | float) else _DEFAULTS[f"{name}_doubt_mm"]
    return f"{length:g} ± {given:g} mm"
