"""A film out of a file, whatever kind of file it is."""

from thumbwright.core.radiograph.image import Film
from thumbwright.interchange.dicom_file import is_dicom
from thumbwright.interchange.dicom_films import read_dicom_film
from thumbwright.interchange.films_limits import demand_fair_size, refusal
from thumbwright.interchange.raster_films import raster_kind, read_raster_film


def read_film(data: bytes, name: str) -> Film:
    """Read a plain film of a hand or foot.

    Parameters
    ----------
    data
        The file's bytes. DICOM, PNG, JPEG or TIFF, told apart by content, not by name.
    name
        File name without folder, for messages.

    Returns
    -------
    Film
        Grey values, the picture to look at, and what the header says of the film.

    Raises
    ------
    FilmError
        If the file is empty, too large, damaged, of another kind, or contradicts itself.
    """
    demand_fair_size(data, name)
    if is_dicom(data):
        return read_dicom_film(data, name)
    if raster_kind(data):
        return read_raster_film(data, name)
    raise refusal(
        name,
        given="a file that is neither of the kinds that are read, by its first bytes",
        allowed="are DICOM, PNG, JPEG and TIFF",
        advice="export the film in one of them",
    )
