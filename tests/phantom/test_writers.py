"""DICOM files and pictures hold the film's numbers, and the header says what is true."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import PIL.Image
import pydicom
import pytest
from pydicom.uid import (
    UID,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGLSLossless,
    RLELossless,
)

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import Region, View
from thumbwright.phantom.dicom_writer import (
    InventedIdentity,
    Labelling,
    Modality,
    honest_labelling,
    unique_identifier,
    write_dicom,
)
from thumbwright.phantom.films import PhantomFilm
from thumbwright.phantom.physics import Photometric
from thumbwright.phantom.png_writer import write_png

SYNTAXES = [
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    RLELossless,
    JPEG2000Lossless,
    JPEGLSLossless,
]


@pytest.mark.parametrize("syntax", SYNTAXES, ids=lambda syntax: syntax.name)
def test_every_transfer_syntax_gives_back_the_same_numbers(
    hand: PhantomFilm, syntax: UID, tmp_path: Path
) -> None:
    write_dicom(hand, tmp_path / "film.dcm", transfer_syntax=syntax)
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert found.file_meta.TransferSyntaxUID == syntax
    assert np.array_equal(found.pixel_array, hand.values)


def test_the_header_says_what_is_true_of_a_hand(hand: PhantomFilm, tmp_path: Path) -> None:
    write_dicom(hand, tmp_path / "film.dcm")
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert (found.Modality, found.BodyPartExamined, found.ViewPosition) == ("DX", "HAND", "PA")
    assert found.ImageLaterality == "R"
    assert list(found.PatientOrientation) == ["L", "H"]
    assert found.ViewCodeSequence[0].CodeMeaning == "postero-anterior"
    by_hand_mm = [0.4, 0.4]
    assert list(found.ImagerPixelSpacing) == by_hand_mm
    assert "PixelSpacing" not in found
    assert (found.DistanceSourceToDetector, found.DistanceSourceToPatient) == (1000, 975)
    assert (found.BitsStored, found.HighBit, found.PhotometricInterpretation) == (
        16,
        15,
        "MONOCHROME2",
    )
    assert found.WindowWidth > 100


def test_the_header_says_what_is_true_of_a_foot_on_a_plate(
    foot: PhantomFilm, tmp_path: Path
) -> None:
    write_dicom(foot, tmp_path / "film.dcm", labelling=honest_labelling(foot, Modality.CR))
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert (found.Modality, found.BodyPartExamined, found.Laterality) == ("CR", "FOOT", "L")
    assert "ViewPosition" not in found
    assert found.ViewCodeSequence[0].CodeMeaning == "dorsoplantar"
    assert list(found.PatientOrientation) == ["R", "P"]


def test_the_rows_pitch_comes_first(hand: PhantomFilm, tmp_path: Path) -> None:
    geometry = replace(hand.geometry, row_pitch_mm=0.3, column_pitch_mm=0.25)
    write_dicom(replace(hand, geometry=geometry), tmp_path / "film.dcm")
    by_hand_mm = [0.3, 0.25]
    assert list(pydicom.dcmread(tmp_path / "film.dcm").ImagerPixelSpacing) == by_hand_mm


def test_large_numbers_are_dark_where_the_header_says_so(hand: PhantomFilm, tmp_path: Path) -> None:
    dark = replace(hand.exposure, photometric=Photometric.MONOCHROME1)
    turned = (hand.exposure.largest - hand.values).astype(np.uint16)
    film = replace(hand, exposure=dark, values=turned)
    write_dicom(film, tmp_path / "film.dcm", transfer_syntax=JPEG2000Lossless)
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert found.PhotometricInterpretation == "MONOCHROME1"
    assert (found.PresentationLUTShape, found.PixelIntensityRelationshipSign) == ("INVERSE", 1)
    assert np.array_equal(found.pixel_array, film.values)


def test_the_header_can_be_made_to_lie(hand: PhantomFilm, tmp_path: Path) -> None:
    wrong = Labelling(side=Side.LEFT, region=Region.FOOT, view=View.LATERAL)
    write_dicom(hand, tmp_path / "film.dcm", labelling=wrong)
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert (found.ImageLaterality, found.BodyPartExamined, found.ViewPosition) == (
        "L",
        "FOOT",
        "LL",
    )


def test_an_invented_identity_is_there_to_be_taken_out(hand: PhantomFilm, tmp_path: Path) -> None:
    write_dicom(hand, tmp_path / "film.dcm", identity=InventedIdentity(patient_name="No^Body"))
    found = pydicom.dcmread(tmp_path / "film.dcm")
    assert found.PatientName == "No^Body"
    assert found.PatientBirthDate
    assert found.InstitutionName
    assert found.OperatorsName
    assert found[0x0011, 0x1001].value == "private copy of No^Body"


def test_the_same_text_gives_the_same_file_and_another_text_other_identifiers(
    hand: PhantomFilm, tmp_path: Path
) -> None:
    for name, unique in (("a", "one"), ("b", "one"), ("c", "two")):
        write_dicom(hand, tmp_path / name, unique=unique, transfer_syntax=RLELossless)
    one, again, other = ((tmp_path / name).read_bytes() for name in "abc")
    assert one == again
    assert one != other


def test_identifiers_are_within_what_the_standard_allows() -> None:
    found = unique_identifier("phantom", "instance")
    assert found.is_valid
    assert found.startswith("2.25.")
    assert found != unique_identifier("phantom", "series")


def test_a_picture_holds_the_grey_values_of_16_bits(hand: PhantomFilm, tmp_path: Path) -> None:
    write_png(hand, tmp_path / "film.png")
    with PIL.Image.open(tmp_path / "film.png") as picture:
        assert np.array_equal(np.asarray(picture), hand.light)


def test_a_picture_of_fewer_bits_is_shifted_up(hand: PhantomFilm, tmp_path: Path) -> None:
    values = (hand.values >> 4).astype(np.uint16)
    few = replace(hand, exposure=replace(hand.exposure, bits=12), values=values)
    write_png(few, tmp_path / "film.png")
    with PIL.Image.open(tmp_path / "film.png") as picture:
        assert np.array_equal(np.asarray(picture), values << 4)
