"""The safety of what was recorded: copies, whether they hold, and putting one back."""

from typing import Annotated
from urllib.parse import quote_plus

from fastapi import APIRouter, Form, Request, Response

from thumbwright.core.foundations.errors import PlanError
from thumbwright.storage.restore import backup_named, describe
from thumbwright.web.access import demand_name
from thumbwright.web.live import LiveFilms
from thumbwright.web.rendering import desk_of, gone_to, page

router = APIRouter()


class NotSureError(PlanError):
    """A copy was to be put back without a look at what would be lost."""


@router.get("/safety")
def safety(request: Request) -> Response:
    """Show the copies, and what is wrong with the store."""
    desk = desk_of(request)
    troubles = desk.troubles(read_files=False)
    copies = [describe(backup) for backup in desk.backups()]
    return page(request, "safety.html", copies=copies, troubles=troubles)


@router.post("/safety/copy")
def copy(request: Request) -> Response:
    """Make a copy of everything now, and prove it."""
    desk = desk_of(request)
    made = desk.back_up()
    desk.prove(made)
    return gone_to(f"/safety?said=Copy+{made.folder.name}+was+made+and+read+back+whole.")


@router.post("/safety/{name}/prove")
def prove(request: Request, name: str) -> Response:
    """Read a copy back."""
    desk = desk_of(request)
    desk.prove(backup_named(desk.folder / "backups", name))
    return gone_to(f"/safety?said={quote_plus(f'Copy {name} was read back whole.')}")


@router.get("/safety/{name}/put-back")
def look_before(request: Request, name: str) -> Response:
    """Show what would be lost by putting a copy back."""
    desk = desk_of(request)
    found = describe(backup_named(desk.folder / "backups", name))
    return page(request, "put_back.html", copy=found, losses=desk.losses(name))


@router.post("/safety/{name}/put-back")
def put_back(
    request: Request,
    name: str,
    sure: Annotated[bool, Form()] = False,  # noqa: FBT002
) -> Response:
    """Put a copy back, after a copy of what is there now."""
    desk = desk_of(request)
    demand_name(request)
    if not sure:
        msg = (
            f"the copy {name[:60]!r} was to be put back without a word on what would be lost; "
            "allowed is to put it back after reading that; tick that you have read it"
        )
        raise NotSureError(msg)
    done = desk.put_back(name, own=1)
    request.app.state.live = LiveFilms(desk)
    before = (
        f"What was there is the copy {done.before.folder.name}."
        if done.before is not None
        else f"What was there could not be copied whole and lies in {done.aside}."
    )
    return gone_to(f"/safety?said={quote_plus(f'The copy {name} is in its place. {before}')}")
