"""Pages from templates; what a page shows is escaped unless it is our own drawing."""

from functools import cache
from pathlib import Path
from typing import Any

from fastapi import Request, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse, RedirectResponse

from thumbwright import __version__
from thumbwright.core.foundations.answer import Unknown
from thumbwright.storage.records import StoredCase
from thumbwright.web.access import who_is_it
from thumbwright.web.desk import Desk
from thumbwright.web.steps import steps_of

FOLDER = Path(__file__).parent


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(FOLDER / "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.tests["unknown"] = lambda value: isinstance(value, Unknown)
    environment.globals["version"] = __version__
    return environment


def page(request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:  # noqa: ANN401  whatever the template names
    """Return a page."""
    text = (
        _environment()
        .get_template(template)
        .render(
            request=request,
            who=who_is_it(request),
            said=request.query_params.get("said", ""),
            **shown,
        )
    )
    return HTMLResponse(text, status)


def case_page(
    request: Request,
    desk: Desk,
    case: StoredCase,
    template: str,
    *,
    status: int = 200,
    **shown: Any,  # noqa: ANN401  whatever the template names
) -> HTMLResponse:
    """Return a page of a case, with the path beside it."""
    result = desk.result_so_far(case, desk.patience_s)
    steps = steps_of(desk, case, result)
    return page(request, template, status=status, case=case, steps=steps, result=result, **shown)


def result_page(
    request: Request,
    desk: Desk,
    case: StoredCase,
    template: str,
    **shown: Any,  # noqa: ANN401  whatever the template names
) -> HTMLResponse:
    """Return a page of a case that shows the plan, or how far the plan is."""
    result = desk.result_so_far(case, desk.patience_s)
    if result.job is None:
        return case_page(request, desk, case, template, **shown)
    steps = steps_of(desk, case, result)
    return page(request, "working.html", status=202, case=case, steps=steps, result=result)


def gone_to(path: str) -> Response:
    """Send the browser on after something was recorded."""
    return RedirectResponse(path, 303)


def desk_of(request: Request) -> Desk:
    """Return the desk of this server."""
    desk: Desk = request.app.state.desk
    return desk
