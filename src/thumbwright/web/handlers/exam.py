"""Findings: one page for each part of the examination, with drafts and all faults at once."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import Part, StoredCase, Table
from thumbwright.web.access import demand_name, who_is_it
from thumbwright.web.exam_answers import (
    Answered,
    answers_to_edits,
    by_field,
    contradictions_on,
    form_values,
    places_in_words,
)
from thumbwright.web.exam_sections import exam_pages, page_of
from thumbwright.web.rendering import case_page, desk_of, gone_to

router = APIRouter()
KEYS = tuple(page.key for page in exam_pages())
MOST_FIELDS = 400
Posted = dict[str, list[str]]


class FormError(PlanError):
    """A form was sent in a way it cannot be read."""


async def posted(request: Request) -> Posted:
    """Return every text of a form by its name."""
    form = await request.form(max_files=0, max_fields=MOST_FIELDS)
    found: Posted = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            found.setdefault(name, []).append(value)
    return found


Answers = Annotated[Posted, Depends(posted)]


def show(request: Request, key: str, page_key: str) -> Response:
    """Show one page of findings, with what was typed and not recorded."""
    desk = desk_of(request)
    case = desk.cases.case(key)
    draft = desk.drafts.of_page(key, page_key, who_is_it(request))
    document = case.parts[Part.FACTS]
    values = form_values(page_key, document)
    if draft is not None:
        typed = {
            name: tuple([given] if isinstance(given, str) else given)
            for name, given in draft.answers.items()
        }
        values |= {name: given for name, given in typed.items() if name in values}
    based_on = case.version if draft is None else draft.based_on
    return _page(request, case, page_key, values, based_on=based_on, draft=draft)


def record(request: Request, key: str, page_key: str, answers: Posted) -> Response:
    """Record what changed; a fault keeps everything as typed and records nothing."""
    desk, who = desk_of(request), demand_name(request)
    case = desk.cases.case(key)
    based_on = version_shown(answers)
    answered = answers_to_edits(page_key, answers, case.parts[Part.FACTS])
    if answered.faults:
        return _page(
            request, case, page_key, dict(answered.values), based_on=based_on, answered=answered
        )
    why = (answers.get("why") or [""])[-1][:400].strip() or "examined"
    if answered.edits:
        desk.cases.record(key, Part.FACTS, answered.edits, who, why, based_on=based_on)
    desk.drafts.drop(key, page_key, who)
    count = len(answered.edits)
    words = "1+fact+was+recorded." if count == 1 else f"{count}+facts+were+recorded."
    return gone_to(f"/cases/{key}/{page_key}?said={words}")


def keep_draft(request: Request, key: str, page_key: str, answers: Posted) -> Response:
    """Keep what is being typed."""
    desk, who = desk_of(request), who_is_it(request)
    page = page_of(page_key)
    names = {entry.name for entry in page.entries}
    typed: dict[str, str | list[str]] = {
        name: [one[:8000] for one in given[:50]] for name, given in answers.items() if name in names
    }
    desk.drafts.keep(key, page_key, who, typed, based_on=version_shown(answers))
    return Response(status_code=204)


def give_up(request: Request, key: str, page_key: str) -> Response:
    """Forget what was typed and not recorded."""
    desk_of(request).drafts.drop(key, page_key, who_is_it(request))
    return gone_to(f"/cases/{key}/{page_key}")


def _page(
    request: Request,
    case: StoredCase,
    page_key: str,
    values: dict[str, tuple[str, ...]],
    *,
    based_on: int,
    answered: Answered | None = None,
    draft: object = None,
) -> Response:
    document: Table = case.parts[Part.FACTS]
    warnings = answered.warnings if answered else contradictions_on(page_key, document)
    faults = answered.faults if answered else ()
    return case_page(
        request,
        desk_of(request),
        case,
        "exam.html",
        status=400 if faults else 200,
        exam=page_of(page_key),
        values=values,
        faults=faults,
        faults_by=by_field(faults),
        warnings_by=by_field(warnings),
        words=places_in_words,
        based_on=based_on,
        draft=draft,
    )


def version_shown(answers: Posted) -> int:
    """Return the version of the case that a form shows.

    Raises
    ------
    FormError
        If the form names none.
    """
    given = (answers.get("based_on") or [""])[-1]
    if not given.isascii() or not given.isdigit() or len(given) > 9:
        msg = (
            f"the form named {given[:20]!r} as the version of the case it shows; allowed is a "
            "whole number; open the page anew and record again"
        )
        raise FormError(msg)
    return int(given)


def _add(page_key: str) -> None:
    path = f"/cases/{{key}}/{page_key}"

    def shown(request: Request, key: str) -> Response:
        return show(request, key, page_key)

    def recorded(request: Request, key: str, answers: Answers) -> Response:
        return record(request, key, page_key, answers)

    def kept(request: Request, key: str, answers: Answers) -> Response:
        return keep_draft(request, key, page_key, answers)

    def dropped(request: Request, key: str) -> Response:
        return give_up(request, key, page_key)

    router.add_api_route(path, shown, methods=["GET"], name=f"show_{page_key}")
    router.add_api_route(path, recorded, methods=["POST"], name=f"record_{page_key}")
    router.add_api_route(f"{path}/draft", kept, methods=["POST"], name=f"draft_{page_key}")
    router.add_api_route(f"{path}/give-up", dropped, methods=["POST"], name=f"drop_{page_key}")


for _key in KEYS:
    _add(_key)
