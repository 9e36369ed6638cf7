"""The workbench as a web application: routes and nothing else."""

from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles

from thumbwright import __version__
from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.records import ConflictError, NoSuchCaseError
from thumbwright.web.access import guarded
from thumbwright.web.ahead import AheadDesk
from thumbwright.web.desk import Desk
from thumbwright.web.handlers import (
    ahead,
    bundles,
    care,
    case_list,
    drawing,
    exam,
    film_beside,
    film_view,
    film_work,
    films,
    growth_visits,
    history,
    merging,
    papers,
    photographs,
    prices,
    results,
)
from thumbwright.web.live import LiveFilms
from thumbwright.web.rendering import page
from thumbwright.web.waiting import let_through

STATIC = Path(__file__).parent / "static"


def create_app(desk: Desk) -> FastAPI:
    """Return the application over one desk."""
    app = FastAPI(title="Thumbwright workbench", version=__version__, docs_url=None, redoc_url=None)
    app.state.desk, app.state.live, app.state.ahead = desk, LiveFilms(desk), AheadDesk(desk)
    app.middleware("http")(let_through)
    app.middleware("http")(guarded)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in (
        *(case_list, exam, drawing, films, film_view, film_work, film_beside),
        *(photographs, results, ahead, papers, history, merging, bundles, care),
        *(growth_visits, prices),
    ):
        app.include_router(module.router)
    app.add_exception_handler(PlanError, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _no_such_page)
    return app


async def _refused(request: Request, fault: Exception) -> Response:
    status = 404 if isinstance(fault, NoSuchCaseError) else 400
    if isinstance(fault, ConflictError):
        return await run_in_threadpool(merging.met, request, fault.attempt)
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
