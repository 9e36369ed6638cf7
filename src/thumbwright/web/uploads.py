"""Many files at once: each is taken whole or refused in words, and none stops the others."""

from collections.abc import Callable, Sequence

from fastapi import UploadFile

from thumbwright.core.foundations.errors import FilmError
from thumbwright.storage.records import StoreError


def take_each(
    uploads: Sequence[UploadFile], nameless: str, take: Callable[[str, UploadFile], None]
) -> tuple[list[str], list[str]]:
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
        except (FilmError, StoreError) as fault:
            refused.append(str(fault))
        except UnicodeError:
            refused.append(f"{name!r} has a name that cannot be kept; rename the file")
    return taken, refused
