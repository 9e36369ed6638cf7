"""The safety of what was recorded: copies, and whether they hold."""

from fastapi import APIRouter, Request, Response

from thumbwright.storage.backup import prove
from thumbwright.storage.records import StoreError
from thumbwright.web.desk import named
from thumbwright.web.rendering import desk_of, gone_to, page

router = APIRouter()


@router.get("/safety")
def safety(request: Request) -> Response:
    """Show the copies, and what is wrong with the store."""
    desk = desk_of(request)
    troubles = desk.troubles(read_files=False)
    return page(request, "safety.html", copies=desk.backups(), troubles=troubles)


@router.post("/safety/copy")
def copy(request: Request) -> Response:
    """Make a copy of everything now, and prove it."""
    desk = desk_of(request)
    made = desk.back_up()
    wrong = prove(made, named, desk.now)
    if wrong:
        msg = f"the copy {made.folder.name} does not hold: {'; '.join(wrong)}; make another one"
        raise StoreError(msg)
    return gone_to(f"/safety?said=Copy+{made.folder.name}+was+made+and+read+back+whole.")
