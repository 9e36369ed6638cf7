"""Answers of a form against the case document: what changes, and what cannot be taken."""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from thumbwright.core.foundations.errors import CaseFileError, Fault
from thumbwright.interchange.case_file import CASE, VERSION_KEY, read_case
from thumbwright.interchange.document_text import path_of, shown
from thumbwright.interchange.validation import check_document
from thumbwright.storage.documents import as_text, value_at, with_value
from thumbwright.storage.records import Edit, StoreError, Table, Value
from thumbwright.web.exam_fields import KEPT_ON_OTHER_PAGES, NOT_EXAMINED_WORD, FieldKind
from thumbwright.web.exam_sections import Entry, ExamPage, entry_named, is_nothing, page_of

Form = Mapping[str, Sequence[str]]
"""Every value that was posted under a name."""

_LONGEST = 8_000
_MOST_VALUES = 50
_NUMBER = re.compile(r"[+-]?([0-9]+[.,]?[0-9]*|[.,][0-9]+)(e[+-]?[0-9]{1,3})?", re.IGNORECASE)
_LINE_ENDS = re.compile(r"\r\n|\r|\n")
_MACHINE_WORD = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
ADVICE = {
    FieldKind.CHOICE: "choose one of the answers shown",
    FieldKind.CHOICES: "choose from the answers shown",
    FieldKind.DATE: "write year-month-day, such as 2026-11-25, or leave it empty",
    FieldKind.NUMBER: "write digits with a point or a comma, or leave it empty",
    FieldKind.TEXT: "shorten it, and remove signs that are no letters",
    FieldKind.TEXTS: "shorten the line, and remove signs that are no letters",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What a posted page comes to."""

    edits: tuple[Edit, ...]
    """Changes that can be stored; what has a fault is not among them."""
    faults: tuple[Fault, ...]
    """Answers that cannot be taken, every one at once; the path is the name of the field."""
    warnings: tuple[Fault, ...]
    """Contradictions of the document as it would be, where they touch this page."""
    values: Mapping[str, tuple[str, ...]]
    """What the form shows when it is shown again: everything as it was typed."""


def answers_to_edits(page: ExamPage | str, form: Form, document: Table) -> Answered:
    """Compare the answers of a page with the document.

    Parameters
    ----------
    page
        The page or its key.
    form
        What was posted. A field that was not posted stays as it is; one that was posted empty
        or as *not examined* is taken out of the document.
    document
        The case document as it is, perhaps with gaps.

    Returns
    -------
    Answered
        The changes, the faults, the contradictions, and what was typed.

    Examples
    --------
    >>> answered = answers_to_edits("hand", {"kept.two_point_mm": ["6,5"]}, {})
    >>> [(edit.path, edit.value) for edit in answered.edits]
    [(('kept', 'two_point_mm'), 6.5)]
    """
    page = page_of(page) if isinstance(page, str) else page
    posted = {entry: form[entry.name] for entry in page.entries if entry.name in form}
    values = form_values(page, document)
    values |= {entry.name: tuple(map(str, given)) for entry, given in posted.items()}
    faults: list[Fault] = []
    answers: dict[Entry, Value] = {}
    for entry, given in posted.items():
        if fault := _too_much(entry, given):
            faults.append(fault)
        else:
            answers[entry] = answer_of(entry, given)
    wrong = _faults(answers, document, posted)
    faults += wrong
    faulty = {field_name(fault) for fault in wrong}
    sound = {entry: value for entry, value in answers.items() if entry.name not in faulty}
    edits, blocked = _edits(sound, document)
    return Answered(
        edits=edits,
        faults=(*faults, *blocked),
        warnings=contradictions_on(page, _after(edits, document)),
        values=values,
    )


def form_values(page: ExamPage | str, document: Table) -> dict[str, tuple[str, ...]]:
    """Return what the form of a page shows for a document, by the names of its fields."""
    page = page_of(page) if isinstance(page, str) else page
    return {e.name: _as_typed(e, value_at(document, e.field.path)) for e in page.entries}


def contradictions_on(page: ExamPage | str, document: Table) -> tuple[Fault, ...]:
    """Return the contradictions of a document, perhaps with gaps, that touch a page.

    What is given names every place in the labels of the forms, other pages' included.
    """
    page = page_of(page) if isinstance(page, str) else page
    names = {entry.name for entry in page.entries}
    return tuple(
        replace(
            fault,
            given=f"{places_in_words(fault)}: {in_plain_words(fault.given)}",
            allowed=in_plain_words(fault.allowed),
            advice=in_plain_words(fault.advice),
        )
        for fault in contradictions_in(document)
        if names & set(fault.path.split(" and "))
    )


def contradictions_in(document: Table) -> tuple[Fault, ...]:
    """Return every contradiction of a document, perhaps with gaps, in the words of the file."""
    text = text_of(document)
    try:
        read_case(text, "case")
    except CaseFileError as error:
        of_type = {fault for _, fault in check_document(text, CASE).faults}
        return tuple(fault for fault in error.faults if fault not in of_type)
    return ()


def by_field(faults: Iterable[Fault]) -> dict[str, tuple[Fault, ...]]:
    """Group faults or warnings by the names of the fields beside which they stand."""
    grouped: dict[str, tuple[Fault, ...]] = {}
    for fault in faults:
        for part in fault.path.split(" and "):
            name = part.partition("[")[0]
            grouped[name] = (*grouped.get(name, ()), fault)
    return grouped


def field_name(fault: Fault) -> str:
    """Return the name of the field beside which a fault stands."""
    return fault.path.partition(" and ")[0].partition("[")[0]


def places_in_words(fault: Fault) -> str:
    """Return where a fault stands, in the labels of the forms."""
    names = [part.partition("[")[0] for part in fault.path.split(" and ")]
    entries = [(name, entry_named(name)) for name in names]
    elsewhere = KEPT_ON_OTHER_PAGES
    return " and ".join(
        entry.full_label if entry else elsewhere.get(name, name) for name, entry in entries
    )


def in_plain_words(text: str) -> str:
    """Return a text with the words of the document, such as not_examined, as plain words.

    Examples
    --------
    >>> in_plain_words("write left, right or not_examined")
    'write left, right or not examined'
    """
    return _MACHINE_WORD.sub(lambda found: found[0].replace("_", " "), text)


def answer_of(entry: Entry, given: Sequence[str]) -> Value:
    """Return what a document would hold; a text that cannot be read stays a text."""
    kind = entry.field.kind
    if kind is FieldKind.CHOICES:
        return [value for value in map(_plain, given) if not is_nothing(value)] or None
    # A later value of the same name replaces an earlier one, as a hidden one before a radio does.
    text = _LINE_ENDS.sub("\n", given[-1]).strip() if given else ""
    if kind is FieldKind.TEXTS:
        return [line for line in map(_plain, text.split("\n")) if line] or None
    if not text or (text == NOT_EXAMINED_WORD and entry.field.may_be_not_examined):
        return None
    if kind is FieldKind.NUMBER:
        return _number(text, is_whole=bool(entry.field.bounds and entry.field.bounds.is_whole))
    return _plain(text) if entry.widget == "line" else text


def _number(text: str, *, is_whole: bool) -> Value:
    plain = text.replace("\N{MINUS SIGN}", "-").replace(" ", "")
    if not _NUMBER.fullmatch(plain):
        return text
    number = float(plain.replace(",", "."))
    return int(number) if is_whole and number.is_integer() else number


def _plain(text: str) -> str:
    return " ".join(text.split())


def _too_much(entry: Entry, given: Sequence[str]) -> Fault | None:
    length = sum(map(len, given))
    if length <= _LONGEST and len(given) <= _MOST_VALUES:
        return None
    return Fault(
        path=entry.name,
        given=f"{len(given)} values of {length:,} characters",
        allowed=allowed_on_page(entry, entry.field.allowed),
        advice=ADVICE[entry.field.kind],
    )


def _faults(
    answers: Mapping[Entry, Value], document: Table, posted: Mapping[Entry, Sequence[str]]
) -> list[Fault]:
    """Let the check of the case document judge, so that forms and files never disagree."""
    table = document
    for entry, value in answers.items():
        table = _put(table, entry, value)
    found = []
    for place, fault in check_document(text_of(table), CASE).faults:
        if not place:
            found.append(fault)
        for entry, value in answers.items():
            if value is not None and place[: len(entry.field.path)] == entry.field.path:
                found.append(_of_the_form(entry, fault, value_at(table, place), posted[entry]))
    return found


def _of_the_form(entry: Entry, fault: Fault, value: Value, given: Sequence[str]) -> Fault:
    is_single = entry.field.kind not in {FieldKind.TEXTS, FieldKind.CHOICES}
    typed = given[-1].strip() if is_single else value
    return replace(
        fault,
        given=shown(typed),
        allowed=allowed_on_page(entry, fault.allowed),
        advice=ADVICE[entry.field.kind],
    )


def allowed_on_page(entry: Entry, allowed: str) -> str:
    """Return what is allowed in the words that stand on the page."""
    words = [words for _, words in entry.options]
    return f"{', '.join(words[:-1])} or {words[-1]}" if words else in_plain_words(allowed)


def _edits(
    answers: Mapping[Entry, Value], document: Table
) -> tuple[tuple[Edit, ...], tuple[Fault, ...]]:
    edits, faults = [], []
    for entry, value in answers.items():
        if _meaning(entry, value) == _meaning(entry, value_at(document, entry.field.path)):
            continue
        try:
            with_value(document, entry.field.path, value)
        except StoreError:
            faults.append(_no_way(entry))
        else:
            edits.append(Edit(path=entry.field.path, value=value))
    return tuple(edits), tuple(faults)


def _meaning(entry: Entry, value: Value) -> str:
    """Return a text that is equal for values which say the same."""
    if is_nothing(value):
        return ""
    if isinstance(value, list):
        parts = [_plain(part) if isinstance(part, str) else part for part in value]
        kept = [part for part in parts if not is_nothing(part)]
        has_order = entry.is_ordered or entry.field.kind is FieldKind.TEXTS
        return as_text(kept if has_order else sorted(kept, key=as_text)) if kept else ""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return repr(float(value) + 0.0)
    return as_text(_plain(value) if isinstance(value, str) else value)


def _as_typed(entry: Entry, value: Value) -> tuple[str, ...]:
    kind = entry.field.kind
    if kind is FieldKind.CHOICE and is_nothing(value):
        return (NOT_EXAMINED_WORD if entry.field.may_be_not_examined else "",)
    if is_nothing(value):
        return ("",)
    if kind is FieldKind.CHOICES:
        return tuple(map(_one_as_typed, value if isinstance(value, list) else [value]))
    if isinstance(value, list):
        return ("\n".join(_plain(_one_as_typed(part)) for part in value),)
    return (_one_as_typed(value),)


def _one_as_typed(value: Value) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return value if isinstance(value, str) else as_text(value)


def _after(edits: Iterable[Edit], document: Table) -> Table:
    for edit in edits:
        document = with_value(document, edit.path, edit.value)
    return document


def _put(table: Table, entry: Entry, value: Value) -> Table:
    try:
        return with_value(table, entry.field.path, value)
    except StoreError:
        return table


def _no_way(entry: Entry) -> Fault:
    above = path_of(entry.field.path[:-1])
    return Fault(
        path=entry.name,
        given=f"a document in which {above} is no table",
        allowed="a table there",
        advice="mend the case document first",
    )


def text_of(document: Table) -> str:
    """Return a document, perhaps with gaps, as the text of a case file."""
    return json.dumps({**document, VERSION_KEY: 1})
