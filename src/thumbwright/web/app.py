"""The workbench as a web application: routes and nothing else."""

from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles

from thumbwright import __version__
from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import ConflictError, NoSuchCaseError
from thumbwright.web.access import guarded
from thumbwright.web.desk import Desk
from thumbwright.web.handlers import (
    bundles,
    care,
    case_list,
    drawing,
    exam,
    film_view,
    films,
    history,
    papers,
    photographs,
    results,
)
from thumbwright.web.live import LiveFilms
from thumbwright.web.rendering import page

STATIC = Path(__file__).parent / "static"


def create_app(desk: Desk) -> FastAPI:
    """Return the application over one desk."""
    app = FastAPI(title="Thumbwright workbench", version=__version__, docs_url=None, redoc_url=None)
    app.state.desk, app.state.live = desk, LiveFilms(desk)
    app.middleware("http")(guarded)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in (
        *(case_list, exam, drawing, films, film_view),
        *(photographs, results, papers, history, bundles, care),
    ):
        app.include_router(module.router)
    app.add_exception_handler(PlanError, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _no_such_page)
    return app


async def _refused(request: Request, fault: Exception) -> Response:
    status = 404 if isinstance(fault, NoSuchCaseError) else 400
    if isinstance(fault, ConflictError):
        return page(request, "conflict.html", status=409, clashes=fault.clashes)
    return page(request, "refused.html", status=status, message=str(fault))


async def _not_understood(request: Request, fault: Exception) -> Response:
    assert isinstance(fault, RequestValidationError)  # noqa: S101  registered for it alone
    parts = [".".join(str(step) for step in one["loc"][1:]) for one in fault.errors()]
    message = (
        f"{', '.join(parts) or 'the form'} was given in a way this page cannot read; allowed is "
        "what its form offers; go back and send the form again"
    )
    return page(request, "refused.html", status=422, message=message)


async def _no_such_page(request: Request, fault: Exception) -> Response:
    assert isinstance(fault, HTTPException)  # noqa: S101  registered for it alone
    message = (
        f"{request.method} {request.url.path} was asked for ({fault.detail}); allowed are the "
        "pages that the list of cases leads to; go there"
    )
    return page(request, "refused.html", status=fault.status_code, message=message)
