"""A whole case as one file: handed out, and taken in."""

from typing import Annotated
from urllib.parse import quote_plus

from fastapi import APIRouter, File, Request, Response, UploadFile

from thumbwright.storage.bundle import LARGEST_BYTES, BundleError, read_bundle, write_bundle
from thumbwright.web.access import demand_name
from thumbwright.web.rendering import desk_of, gone_to

router = APIRouter()


@router.get("/cases/{key}/bundle.zip")
def bundle(request: Request, key: str) -> Response:
    """Return a case with its history, files and papers as one file."""
    desk = desk_of(request)
    data = write_bundle(desk.cases, desk.kept, key)
    headers = {"Content-Disposition": f'attachment; filename="case-{key}.zip"'}
    return Response(data, media_type="application/zip", headers=headers)


@router.post("/cases/from-bundle")
def case_from_bundle(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Take a case in from its bundle; it is whole, or nothing of it is kept."""
    desk, name = desk_of(request), demand_name(request)
    if (file.size or 0) > LARGEST_BYTES:
        msg = (
            f"a file of {file.size:,} bytes was sent; allowed are case bundles up to "
            f"{LARGEST_BYTES:,} bytes; choose a bundle that this program wrote"
        )
        raise BundleError(msg)
    stored = read_bundle(file.file.read(), desk.cases, desk.kept, name)
    said = f"The case of the bundle is here, with all of its {stored.version} changes."
    return gone_to(f"/cases/{stored.key}?said={quote_plus(said)}")
