"""Write a phantom film as a DICOM file with an honest header and an invented person in it.

The person, house and people named in the header are invented, so that taking names out has
something to take out. Unique identifiers follow from a text, so the same text gives the same
file. Meaning of the attributes: PS3.3 of the DICOM standard, modules General Study, DX Series,
DX Image, DX Detector, DX Positioning and CR Series.
"""

from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_OID, uuid5

import numpy as np
from numpy.typing import NDArray
from openjpeg.utils import encode_pixel_data
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import (
    UID,
    ComputedRadiographyImageStorage,
    DigitalXRayImageStorageForPresentation,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
)

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import Region, View
from thumbwright.phantom.films import PhantomFilm
from thumbwright.phantom.physics import Photometric, Response


class Modality(Enum):
    """Kind of detector."""

    DX = "DX"
    """Flat panel."""
    CR = "CR"
    """Storage plate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedIdentity:
    """Names and numbers of people and houses that do not exist."""

    patient_name: str = "Invented^Person"
    patient_id: str = "PHANTOM-0001"
    birth_date: str = "19850229"
    sex: str = "O"
    institution: str = "House that does not exist"
    referring_physician: str = "Nobody^Refers"
    operator: str = "Nobody^Operates"
    station: str = "ROOM0"
    accession_number: str = "ACC0001"
    study_date: str = "20240102"
    study_time: str = "103000"
    comment: str = "Invented Person, 1 Nowhere Lane, telephone 000"


@dataclass(frozen=True, slots=True, kw_only=True)
class Labelling:
    """What the header says of the film; it may be made to lie, for tests of doubt."""

    side: Side
    region: Region
    view: View
    modality: Modality = Modality.DX


def honest_labelling(film: PhantomFilm, modality: Modality = Modality.DX) -> Labelling:
    """Return what is true of a film."""
    return Labelling(
        side=film.truth.side, region=film.truth.region, view=film.view, modality=modality
    )


def write_dicom(
    film: PhantomFilm,
    path: Path,
    *,
    labelling: Labelling | None = None,
    transfer_syntax: str = ExplicitVRLittleEndian,
    identity: InventedIdentity | None = None,
    unique: str = "phantom",
) -> None:
    """Write one film.

    Parameters
    ----------
    film
        The film.
    path
        File to write.
    labelling
        What the header shall say of side, region and view; the truth if not given.
    transfer_syntax
        Explicit or implicit little endian, RLE, JPEG 2000 lossless, or any lossless
        compression for which pydicom has an encoder at hand, such as JPEG-LS.
    identity
        Invented names in the header.
    unique
        Text from which the unique identifiers follow.
    """
    dataset = header_of(film, labelling=labelling, identity=identity, unique=unique)
    set_pixels(dataset, film, UID(transfer_syntax))
    dataset.save_as(path, enforce_file_format=True)


def header_of(
    film: PhantomFilm,
    *,
    labelling: Labelling | None = None,
    identity: InventedIdentity | None = None,
    unique: str = "phantom",
) -> Dataset:
    """Return everything but the pixels; attributes may be changed before they are set."""
    said = labelling or honest_labelling(film)
    dataset = Dataset()
    _person(dataset, identity or InventedIdentity())
    _identifiers(dataset, said.modality, unique)
    _anatomy(dataset, said)
    _geometry(dataset, film)
    _grey(dataset, film)
    return dataset


def set_pixels(dataset: Dataset, film: PhantomFilm, transfer_syntax: UID) -> None:
    """Put the stored numbers into a header, compressed if the transfer syntax says so."""
    plain = transfer_syntax in {ExplicitVRLittleEndian, ImplicitVRLittleEndian}
    coded = transfer_syntax == JPEG2000Lossless
    dataset.file_meta = FileMetaDataset()
    dataset.file_meta.MediaStorageSOPClassUID = dataset.SOPClassUID
    dataset.file_meta.MediaStorageSOPInstanceUID = dataset.SOPInstanceUID
    dataset.file_meta.TransferSyntaxUID = (
        transfer_syntax if plain or coded else ExplicitVRLittleEndian
    )
    stored = np.ascontiguousarray(film.values, dtype="<u2")
    dataset.PixelData = encapsulate([_wavelets(stored, film)]) if coded else stored.tobytes()
    dataset["PixelData"].VR = "OB" if coded else "OW"
    dataset["PixelData"].is_undefined_length = coded
    if not plain and not coded:
        dataset.compress(transfer_syntax, generate_instance_uid=False)


def _wavelets(stored: NDArray[np.uint16], film: PhantomFilm) -> bytes:
    """Return the JPEG 2000 codestream; pydicom's own way needs one more package."""
    rows, columns = stored.shape
    stream: bytes = encode_pixel_data(
        stored.tobytes(),
        rows=rows,
        columns=columns,
        samples_per_pixel=1,
        bits_allocated=16,
        bits_stored=film.exposure.bits,
        pixel_representation=0,
        photometric_interpretation=film.exposure.photometric.value,
    )
    return stream


def _person(dataset: Dataset, who: InventedIdentity) -> None:
    dataset.PatientName, dataset.PatientID = who.patient_name, who.patient_id
    dataset.PatientBirthDate, dataset.PatientSex = who.birth_date, who.sex
    dataset.InstitutionName, dataset.StationName = who.institution, who.station
    dataset.ReferringPhysicianName = who.referring_physician
    dataset.OperatorsName = who.operator
    dataset.AccessionNumber = who.accession_number
    dataset.PatientComments = who.comment
    dataset.StudyDate = dataset.SeriesDate = dataset.AcquisitionDate = who.study_date
    dataset.ContentDate = who.study_date
    dataset.StudyTime = dataset.ContentTime = who.study_time
    dataset.Manufacturer = "Invented phantom"
    dataset.DeviceSerialNumber = "0000"
    private = dataset.private_block(0x0011, "INVENTED PHANTOM", create=True)
    private.add_new(0x01, "LO", f"private copy of {who.patient_name}")


def _identifiers(dataset: Dataset, modality: Modality, unique: str) -> None:
    classes = {
        Modality.DX: DigitalXRayImageStorageForPresentation,
        Modality.CR: ComputedRadiographyImageStorage,
    }
    dataset.SOPClassUID = classes[modality]
    dataset.SOPInstanceUID = unique_identifier(unique, "instance")
    dataset.StudyInstanceUID = unique_identifier(unique, "study")
    dataset.SeriesInstanceUID = unique_identifier(unique, "series")
    dataset.Modality = modality.value
    dataset.SpecificCharacterSet = "ISO_IR 192"
    dataset.StudyID, dataset.SeriesNumber, dataset.InstanceNumber = "1", 1, 1
    dataset.ImageType = ["ORIGINAL", "PRIMARY"]
    if modality is Modality.DX:
        dataset.PresentationIntentType = "FOR PRESENTATION"


def unique_identifier(unique: str, role: str) -> UID:
    """Return an identifier that follows from a text, in the form that needs no register."""
    return UID(f"2.25.{uuid5(NAMESPACE_OID, f'invented phantom/{role}/{unique}').int}")


def _anatomy(dataset: Dataset, said: Labelling) -> None:
    letter = "R" if said.side is Side.RIGHT else "L"
    hand = said.region is Region.HAND
    dataset.BodyPartExamined = "HAND" if hand else "FOOT"
    dataset.SeriesDescription = f"{said.region.value} {said.view.value} {said.side.value}"
    dataset.StudyDescription = "Invented phantom"
    dataset.AnatomicRegionSequence = [_code(*_REGION_CODES[said.region])]
    # Rows run to the patient's left (hand, from the back) or right (foot, from above).
    dataset.PatientOrientation = ["L", "H"] if hand else ["R", "P"]
    if said.modality is Modality.DX:
        dataset.ImageLaterality = letter
    else:
        dataset.Laterality = letter
    if said.view in _VIEW_WORDS:
        dataset.ViewPosition = _VIEW_WORDS[said.view]
    if said.view in _VIEW_CODES:
        dataset.ViewCodeSequence = [_code(*_VIEW_CODES[said.view])]


def _geometry(dataset: Dataset, film: PhantomFilm) -> None:
    geometry = film.geometry
    dataset.ImagerPixelSpacing = [geometry.row_pitch_mm, geometry.column_pitch_mm]
    dataset.DistanceSourceToDetector = round(geometry.source_to_detector_mm, 1)
    middle = film.scene.height_mm
    dataset.DistanceSourceToPatient = round(geometry.source_to_detector_mm - middle, 1)
    dataset.KVP = 52
    dataset.DetectorType = "SCINTILLATOR"


def _grey(dataset: Dataset, film: PhantomFilm) -> None:
    exposure = film.exposure
    dark_is_large = exposure.photometric is Photometric.MONOCHROME1
    dataset.Rows, dataset.Columns = film.values.shape
    dataset.SamplesPerPixel, dataset.PixelRepresentation = 1, 0
    dataset.BitsAllocated, dataset.BitsStored = 16, exposure.bits
    dataset.HighBit = exposure.bits - 1
    dataset.PhotometricInterpretation = exposure.photometric.value
    dataset.PresentationLUTShape = "INVERSE" if dark_is_large else "IDENTITY"
    linear = exposure.response is Response.LINEAR
    dataset.PixelIntensityRelationship = "LIN" if linear else "LOG"
    dataset.PixelIntensityRelationshipSign = 1 if dark_is_large else -1
    dataset.RescaleIntercept, dataset.RescaleSlope, dataset.RescaleType = 0, 1, "US"
    centre, width = film.window()
    dataset.WindowCenter, dataset.WindowWidth = round(centre, 1), round(width, 1)
    dataset.BurnedInAnnotation = "NO"
    dataset.LossyImageCompression = "00"


def _code(value: str, meaning: str) -> Any:  # noqa: ANN401  pydicom ships no types
    item = Dataset()
    item.CodeValue, item.CodingSchemeDesignator, item.CodeMeaning = value, "SCT", meaning
    return item


_REGION_CODES = {Region.HAND: ("85562004", "Hand"), Region.FOOT: ("56459004", "Foot")}
_VIEW_CODES = {
    View.POSTEROANTERIOR: ("272479007", "postero-anterior"),
    View.ANTEROPOSTERIOR: ("399348003", "antero-posterior"),
    View.DORSOPLANTAR: ("399335002", "dorsoplantar"),
}
_VIEW_WORDS = {
    View.POSTEROANTERIOR: "PA",
    View.ANTEROPOSTERIOR: "AP",
    View.OBLIQUE: "RLO",
    View.LATERAL: "LL",
}
