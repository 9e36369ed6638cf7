"""Photographs of hand and feet, kept with the case without what the camera wrote into them."""

from typing import Annotated

from fastapi import APIRouter, File, Form, Request, Response, UploadFile

from thumbwright.interchange.deidentify import deidentify
from thumbwright.storage.records import StoreError
from thumbwright.web.access import demand_name
from thumbwright.web.rendering import case_page, desk_of, gone_to
from thumbwright.web.uploads import is_one_of_many, nobody_there, outcome, take_each

router = APIRouter()
LARGEST_BYTES = 40_000_000
MOST = 40
KINDS = {b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}


@router.get("/cases/{key}/photographs")
def photographs(request: Request, key: str) -> Response:
    """Show the photographs of a case."""
    desk = desk_of(request)
    kept = desk.files.of_case(key, "photograph")
    return case_page(request, desk, desk.cases.case(key), "photographs.html", kept=kept)


@router.post("/cases/{key}/photographs")
def add(
    request: Request,
    key: str,
    files: Annotated[list[UploadFile], File(max_length=MOST)],
    looked: Annotated[bool, Form()] = False,  # noqa: FBT002
) -> Response:
    """Attach photographs; each is whole or absent, and all refusals are told."""
    if (nobody := nobody_there(request)) is not None:
        return nobody
    desk, name = desk_of(request), demand_name(request)
    case = desk.cases.case(key)

    def take(file: str, upload: UploadFile) -> None:
        data = upload.file.read(LARGEST_BYTES + 1)
        media = media_type(data, file)
        secret = request.app.state.secret
        bare = deidentify(data, secret=secret, name=file, burned_in_checked=looked)
        desk.files.add(key, "photograph", file, media, bare, name)

    taken, refused = take_each(files, "photograph", take)
    if is_one_of_many(request):
        return outcome(taken, refused)
    if refused:
        kept = desk.files.of_case(key, "photograph")
        shown = {"kept": kept, "refused": refused}
        return case_page(request, desk, case, "photographs.html", status=400, **shown)
    return gone_to(f"/cases/{key}/photographs?said=Attached.")


@router.post("/cases/{key}/photographs/{file}/take-away")
def take_away(request: Request, key: str, file: str) -> Response:
    """Take a photograph off the case."""
    demand_name(request)
    desk_of(request).files.take_away(key, file)
    return gone_to(f"/cases/{key}/photographs")


@router.get("/cases/{key}/photographs/{file}/picture")
def picture(request: Request, key: str, file: str) -> Response:
    """Return a photograph."""
    stored, data = desk_of(request).files.read(key, file)
    if stored.kind != "photograph":
        msg = f"{file[:100]!r} is no photograph; allowed are those of the list; choose one there"
        raise StoreError(msg)
    return Response(data, media_type=stored.media_type)


def media_type(data: bytes, name: str) -> str:
    """Return what a photograph is, by its first bytes.

    Raises
    ------
    StoreError
        If it is neither PNG nor JPEG, or too large.
    """
    kind = next((kind for start, kind in KINDS.items() if data.startswith(start)), None)
    if kind is None or len(data) > LARGEST_BYTES:
        msg = (
            f"{name[:100]} was given as a photograph; allowed are PNG and JPEG of at most "
            f"{LARGEST_BYTES:,} bytes; save it as one of these"
        )
        raise StoreError(msg)
    return kind
