"""Copies of films without the person; the original is never changed."""

from thumbwright.core.foundations.errors import FilmError
from thumbwright.interchange.deidentify_dicom import deidentified_dicom
from thumbwright.interchange.deidentify_raster import stripped_picture
from thumbwright.interchange.dicom_file import is_dicom
from thumbwright.interchange.films_limits import demand_fair_size

SHORTEST_SECRET_BYTES = 16


def deidentify(
    data: bytes, *, secret: bytes, name: str = "film", burned_in_checked: bool = False
) -> bytes:
    """Make a copy of a film without what its file says of the person.

    Parameters
    ----------
    data
        The file's bytes: DICOM, PNG, JPEG or TIFF.
    secret
        At least 16 bytes, known to the unit only and the same for all its films. Unique
        identifiers are replaced by its help, so that films of one study stay together and
        nobody without it can tell which study that was.
    name
        What to call the film in messages.
    burned_in_checked
        True only after a person has looked at the picture and found nothing in it that tells
        who the patient is. It does not change the picture.

    Returns
    -------
    bytes
        A new file of the same kind. Pixels are the same, and so is a DICOM file's transfer
        syntax.

    Raises
    ------
    FilmError
        If the file cannot be read, if it says that writing is part of the picture and nobody
        has looked, or if the secret is too short.

    Notes
    -----
    After the Basic Application Level Confidentiality Profile, annex E of [dicom-ps3-15]_, turned
    round for safety: whatever is not on the list of what the picture needs is left out. No
    profile guarantees that nobody can be recognised by the picture itself.
    """
    if len(secret) < SHORTEST_SECRET_BYTES:
        msg = (
            f"a secret of {len(secret)} bytes was given; allowed are at least "
            f"{SHORTEST_SECRET_BYTES}; draw one at random and keep it for all films of the unit"
        )
        raise FilmError(msg)
    demand_fair_size(data, name)
    if is_dicom(data):
        return deidentified_dicom(data, secret=secret, name=name, checked=burned_in_checked)
    return stripped_picture(data, name)
