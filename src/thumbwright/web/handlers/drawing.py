"""The drawing of hands and feet with marks, each also in words."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from markupsafe import Markup

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import Edit, Part, StoredCase, Table, Value
from thumbwright.web.access import demand_name
from thumbwright.web.exam_drawing import (
    LONGEST_NOTE,
    Mark,
    MarkKind,
    drawing_svg,
    marks_in_words,
    region_choices,
)
from thumbwright.web.merging import as_seen
from thumbwright.web.rendering import case_page, desk_of, gone_to

router = APIRouter()
MOST_MARKS = 100
Text = Annotated[str, Form(max_length=400)]
Based = Annotated[int, Form(ge=0, le=10**9)]


class MarksError(PlanError):
    """A mark cannot be set or taken away."""


@router.get("/cases/{key}/drawing")
def drawing(request: Request, key: str) -> Response:
    """Show the drawing and its marks."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    marks = _marks(case.parts[Part.DRAWING])
    lines = [(number, marks_in_words([mark])[0]) for number, mark in enumerate(marks)]
    return case_page(
        request,
        desk,
        case,
        "drawing.html",
        # Our own drawing: region names are checked against a fixed list, words are escaped.
        svg=Markup(drawing_svg(marks)),  # noqa: S704
        lines=lines,
        regions=region_choices(),
        kinds=MarkKind,
        longest=LONGEST_NOTE,
    )


@router.post("/cases/{key}/drawing")
def mark(
    request: Request, key: str, based_on: Based, region: Text = "", kind: Text = "", note: Text = ""
) -> Response:
    """Set one mark."""
    desk, who = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    made = Mark.from_table({"kind": kind, "region": region, "note": note.strip()})
    seen = as_seen(desk, case, Part.DRAWING, based_on)
    marks = [one.to_table() for one in (*_marks(seen), made)]
    if len(marks) > MOST_MARKS:
        msg = f"{len(marks)} marks were to be set; allowed are {MOST_MARKS}; take some away first"
        raise MarksError(msg)
    _write(request, case, marks, who, marks_in_words([made])[0], based_on)
    return gone_to(f"/cases/{key}/drawing?said=Marked.")


@router.post("/cases/{key}/drawing/{number}/take-away")
def take_away(request: Request, key: str, number: int, based_on: Based) -> Response:
    """Take one mark away."""
    desk, who = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    marks = [*_marks(as_seen(desk, case, Part.DRAWING, based_on))]
    if not 0 <= number < len(marks):
        msg = (
            f"mark {number} was to be taken away; allowed are the marks of the list; open the page "
            "anew and choose one there"
        )
        raise MarksError(msg)
    gone = marks.pop(number)
    words = f"taken away: {marks_in_words([gone])[0]}"
    _write(request, case, [one.to_table() for one in marks], who, words, based_on)
    return gone_to(f"/cases/{key}/drawing?said=Taken+away.")


def _write(
    request: Request, case: StoredCase, marks: list[Table], who: str, why: str, based_on: int
) -> None:
    value: list[Value] = [*marks]
    edit = Edit(path=("marks",), value=value or None)
    desk_of(request).cases.record(case.key, Part.DRAWING, [edit], who, why, based_on=based_on)


def _marks(drawing: Table) -> tuple[Mark, ...]:
    listed = drawing.get("marks")
    return tuple(
        Mark.from_table(one)
        for one in (listed if isinstance(listed, list) else [])
        if isinstance(one, dict)
    )
