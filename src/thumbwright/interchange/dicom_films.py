"""A plain film out of a DICOM file."""

from dataclasses import replace
from hashlib import sha256

from pydicom import uid

from thumbwright.core.radiograph.grey_scale import grey_tables, look_up
from thumbwright.core.radiograph.image import Film
from thumbwright.interchange.dicom_elements import Elements
from thumbwright.interchange.dicom_file import DicomFile, open_dicom
from thumbwright.interchange.dicom_grey import grey_path
from thumbwright.interchange.dicom_grid import pixel_grid
from thumbwright.interchange.dicom_header import film_header
from thumbwright.interchange.dicom_pixels import pixel_patterns
from thumbwright.interchange.films_limits import foreign_code, refusal

CLASSES = (
    uid.ComputedRadiographyImageStorage,
    uid.DigitalXRayImageStorageForPresentation,
    uid.DigitalXRayImageStorageForProcessing,
    uid.SecondaryCaptureImageStorage,
    uid.MultiFrameGrayscaleByteSecondaryCaptureImageStorage,
    uid.MultiFrameGrayscaleWordSecondaryCaptureImageStorage,
)
"""Kinds of object that can be a plain film of a hand or foot."""
MODALITIES = ("CR", "DX", "RG", "OT", "")
"""Modality (0008,0060); a captured picture of another source is no plain film."""
LONGEST_MODALITY = 3
"""Letters of a modality that is repeated in a message; a longer word may be anything."""


def read_dicom_film(data: bytes, name: str) -> Film:
    """Read one film.

    Raises
    ------
    FilmError
        If the file is damaged, too large, of another kind, or contradicts itself.
    """
    file = open_dicom(data, name)
    demand_plain_film(file)
    remarks = list(file.remarks)
    with foreign_code(name, "its header was read") as oddities:
        elements = Elements(file.dataset, remarks)
        grid = pixel_grid(elements, name)
        patterns = pixel_patterns(file, grid, remarks)
        tables = grey_tables(grey_path(elements, grid, patterns))
        if tables.squeezed:
            remarks.append(
                "The header turns stored numbers into fractions or a very wide range; grey values "
                "were squeezed into 65,536 steps."
            )
        header = film_header(elements, name)
    return Film(
        name=name,
        sha256=sha256(data).hexdigest(),
        values=look_up(tables.values, patterns),
        shown=look_up(tables.shown, patterns),
        header=replace(header, remarks=(*header.remarks, *oddities)),
    )


def demand_plain_film(file: DicomFile) -> None:
    """Refuse objects that cannot be a plain film of a hand or foot.

    Raises
    ------
    FilmError
        If class or modality say that it is something else.
    """
    elements = Elements(file.dataset, [])
    kind = elements.text("SOPClassUID")
    if kind not in CLASSES:
        registered = str(uid.UID(kind).name)
        raise refusal(
            file.name,
            given=f"an object of the kind {registered if registered != kind else 'unknown'}",
            allowed=f"are {', '.join(one.name for one in CLASSES)}",
            advice="export the plain film of the hand or foot",
        )
    modality = elements.text("Modality")
    if modality not in MODALITIES:
        is_code = modality.isalpha() and len(modality) <= LONGEST_MODALITY
        raise refusal(
            file.name,
            given=f"a picture of modality {modality if is_code else 'unknown'}",
            allowed=f"are {', '.join(MODALITIES[:-1])}",
            advice="export the plain film of the hand or foot",
        )
