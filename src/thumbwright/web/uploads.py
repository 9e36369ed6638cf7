"""Many files at once: each is taken whole or refused in words, and none stops the others."""

from collections.abc import Callable, Sequence

from fastapi import Request, UploadFile
from starlette.responses import JSONResponse

from thumbwright.core.foundations.errors import PlanError
from thumbwright.web.access import NobodyNamedError, demand_name

TakenAndRefused = tuple[list[str], list[str]]


def is_one_of_many(request: Request) -> bool:
    """Tell whether the page sends its files one by one and wants each outcome for a script."""
    return request.headers.get("accept", "").startswith("application/json")


def outcome(taken: Sequence[str], refused: Sequence[str]) -> JSONResponse:
    """Return what became of files, for the script that sends them one by one."""
    return JSONResponse({"taken": [*taken], "refused": [*refused]})


def nobody_there(request: Request) -> JSONResponse | None:
    """Return the refusal for the script where nobody said who is at the desk."""
    if not is_one_of_many(request):
        return None
    try:
        demand_name(request)
    except NobodyNamedError as fault:
        return outcome([], [str(fault)])
    return None


def take_each(
    uploads: Sequence[UploadFile], nameless: str, take: Callable[[str, UploadFile], None]
) -> TakenAndRefused:
    """Take files in one by one.

    Parameters
    ----------
    uploads
        The files.
    nameless
        What a file without a name is called.
    take
        Takes one file in under its name, without folders.

    Returns
    -------
    tuple[list[str], list[str]]
        Names of those taken, and in words why others were not.
    """
    taken: list[str] = []
    refused: list[str] = []
    for upload in uploads:
        name = (upload.filename or nameless).rsplit("/", 1)[-1].rsplit("\\", 1)[-1]
        try:
            take(name, upload)
            taken.append(name)
        except PlanError as fault:
            refused.append(str(fault))
        except UnicodeError:
            refused.append(f"{name!r} has a name that cannot be kept; rename the file")
    return taken, refused
