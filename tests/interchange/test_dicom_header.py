"""Body part, side, view, size and writing: what the header says, and what it cannot mean."""

from collections.abc import Callable
from math import hypot

import pytest
from pydicom.dataset import Dataset
from pydicom.sr.codedict import codes
from pydicom.sr.coding import Code

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import (
    BurnedIn,
    FilmHeader,
    HeaderSpacing,
    Region,
    SpacingKind,
    View,
)
from thumbwright.interchange import dicom_terms
from thumbwright.interchange.films import read_film

MakeDicom = Callable[..., bytes]


def coded(code: Code, **sequences: list[Dataset]) -> Dataset:
    item = Dataset()
    item.CodeValue, item.CodingSchemeDesignator = code.value, code.scheme_designator
    item.CodeMeaning = code.meaning
    for keyword, items in sequences.items():
        setattr(item, keyword, items)
    return item


def frame_side(letter: str) -> Dataset:
    anatomy, group = Dataset(), Dataset()
    anatomy.FrameLaterality = letter
    group.FrameAnatomySequence = [anatomy]
    return group


@pytest.fixture(name="header")
def fixture_header(make_dicom: MakeDicom) -> Callable[..., FilmHeader]:
    def header(**attributes: object) -> FilmHeader:
        return read_film(make_dicom(**attributes), "f").header

    return header


HeaderOf = Callable[..., FilmHeader]


@pytest.mark.parametrize(
    ("word", "region"),
    [
        ("HAND", Region.HAND),
        ("THUMB", Region.HAND),
        ("FINGER", Region.HAND),
        ("FOOT", Region.FOOT),
        ("TOE", Region.FOOT),
        ("foot ", Region.FOOT),
    ],
)
def test_body_parts_are_read(header: HeaderOf, word: str, region: Region) -> None:
    found = header(BodyPartExamined=word)
    assert (found.region, found.other_body_part) == (region, "")


@pytest.mark.parametrize("word", ["EXTREMITY", "WRIST", "ANKLE"])
def test_a_vague_or_neighbouring_part_is_no_answer(header: HeaderOf, word: str) -> None:
    found = header(BodyPartExamined=word)
    assert (found.region, found.other_body_part) == (None, "")
    assert any(f"says {word}, which tells neither" in remark for remark in found.remarks)


@pytest.mark.parametrize(
    ("word", "shown"), [("CHEST", "CHEST"), ("UNA KETTLEWELL", "another part")]
)
def test_another_part_is_kept_if_it_can_be_nothing_but_a_word(
    header: HeaderOf, word: str, shown: str
) -> None:
    assert header(BodyPartExamined=word).other_body_part == shown


@pytest.mark.parametrize(
    ("code", "region"),
    [
        (codes.SCT.Hand, Region.HAND),
        (codes.SCT.Thumb, Region.HAND),
        (codes.SCT.Foot, Region.FOOT),
        (Code("T-D8700", "SRT", "Hand"), Region.HAND),
        (codes.SCT.Knee, None),
    ],
)
def test_coded_body_parts_are_read_in_old_and_new_form(
    header: HeaderOf, code: Code, region: Region | None
) -> None:
    assert header(AnatomicRegionSequence=[coded(code)]).region is region


def test_a_hand_that_is_also_a_foot_is_refused(header: HeaderOf) -> None:
    with pytest.raises(FilmError, match="names both a hand and a foot"):
        header(BodyPartExamined="HAND", AnatomicRegionSequence=[coded(codes.SCT.Foot)])


@pytest.mark.parametrize(
    ("attributes", "side"),
    [
        ({"ImageLaterality": "R"}, Side.RIGHT),
        ({"Laterality": "L"}, Side.LEFT),
        ({"SharedFunctionalGroupsSequence": [frame_side("L")]}, Side.LEFT),
        ({"PerFrameFunctionalGroupsSequence": [frame_side("R")]}, Side.RIGHT),
        ({"ImageLaterality": "U"}, None),
        ({"Laterality": "R", "ImageLaterality": "R"}, Side.RIGHT),
        ({}, None),
    ],
)
def test_sides_are_read_wherever_they_stand(
    header: HeaderOf, attributes: dict[str, object], side: Side | None
) -> None:
    assert header(**attributes).side is side


@pytest.mark.parametrize(
    ("code", "side"), [(codes.SCT.Right, Side.RIGHT), (Code("G-A101", "SRT", "Left"), Side.LEFT)]
)
def test_a_side_that_modifies_the_body_part_is_read(
    header: HeaderOf, code: Code, side: Side
) -> None:
    region = coded(codes.SCT.Hand, AnatomicRegionModifierSequence=[coded(code)])
    assert header(AnatomicRegionSequence=[region]).side is side


def test_both_sides_on_one_film_are_no_answer(header: HeaderOf) -> None:
    found = header(ImageLaterality="B")
    assert found.side is None
    assert any("both sides are on the film" in remark for remark in found.remarks)


@pytest.mark.parametrize(
    "attributes",
    [
        {"ImageLaterality": "R", "Laterality": "L"},
        {"Laterality": "L", "SharedFunctionalGroupsSequence": [frame_side("R")]},
    ],
)
def test_a_header_that_names_both_sides_is_refused(
    header: HeaderOf, attributes: dict[str, object]
) -> None:
    with pytest.raises(FilmError, match=r"names both right and left.*do not guess"):
        header(**attributes)


@pytest.mark.parametrize(
    ("word", "view"),
    [
        ("AP", View.ANTEROPOSTERIOR),
        ("PA", View.POSTEROANTERIOR),
        ("LL", View.LATERAL),
        ("RLO", View.OBLIQUE),
        ("LLD", None),
        ("ELSE", None),
    ],
)
def test_view_positions_are_read(header: HeaderOf, word: str, view: View | None) -> None:
    assert header(ViewPosition=word).view is view


@pytest.mark.parametrize("name", list(dicom_terms._VIEW_NAMES))
def test_coded_views_are_known_to_the_code_dictionary_and_read(header: HeaderOf, name: str) -> None:
    found = header(ViewCodeSequence=[coded(getattr(codes.SCT, name))])
    assert found.view is dicom_terms._VIEW_NAMES[name]


def test_two_views_are_no_answer(header: HeaderOf) -> None:
    found = header(ViewPosition="AP", ViewCodeSequence=[coded(codes.SCT.LateralProjection)])
    assert found.view is None
    assert "The header names two different views; neither was used." in found.remarks


@pytest.mark.parametrize(
    ("word", "burned_in"),
    [("YES", BurnedIn.YES), ("NO", BurnedIn.NO), ("", BurnedIn.NOT_STATED)],
)
def test_writing_in_the_picture_is_asked_for(
    header: HeaderOf, word: str, burned_in: BurnedIn
) -> None:
    found = header(BurnedInAnnotation=word)
    asks = any("a person must look at the film" in remark for remark in found.remarks)
    assert (found.burned_in, asks) == (burned_in, burned_in is BurnedIn.NOT_STATED)


def test_rows_come_first_in_a_spacing(header: HeaderOf) -> None:
    # PS3.3, 10.7.1.3: 0.30\0.25 means 0.30 mm between rows and 0.25 mm between columns.
    published_pair = (0.30, 0.25)
    between_rows, between_columns = header(PixelSpacing=[0.30, 0.25]).spacing.pixel_spacing_mm or (
        0.0,
        0.0,
    )
    assert (between_rows, between_columns) == published_pair
    # 100 rows down, 100 columns across, and both at once.
    by_hand_lengths = [30.0, 25.0, 39.05]
    found = [100 * between_rows, 100 * between_columns]
    assert [*found, round(hypot(*found), 2)] == pytest.approx(by_hand_lengths)


def test_everything_that_is_said_of_size_is_read(header: HeaderOf) -> None:
    found = header(
        PixelSpacing=[0.143, 0.143],
        ImagerPixelSpacing=[0.15, 0.15],
        NominalScannedPixelSpacing=[0.1, 0.1],
        PixelSpacingCalibrationType="GEOMETRY",
        PixelSpacingCalibrationDescription="Bone 30 mm above the detector",
        DistanceSourceToDetector=1000,
        DistanceSourceToPatient=950,
        EstimatedRadiographicMagnificationFactor=1.053,
        BurnedInAnnotation="NO",
    )
    assert found.spacing == HeaderSpacing(
        pixel_spacing_mm=(0.143, 0.143),
        imager_pixel_spacing_mm=(0.15, 0.15),
        nominal_scanned_spacing_mm=(0.1, 0.1),
        kind=SpacingKind.GEOMETRY,
        description="Bone 30 mm above the detector",
        source_to_detector_mm=1000,
        source_to_patient_mm=950,
        magnification_factor=1.053,
    )
    assert found.remarks == ()


@pytest.mark.parametrize(
    "numbers", [[0, 0], [0.15, 0], [-0.15, 0.15], [0.0001, 0.0001], [15, 15], [0.15, 0.15, 0.15]]
)
@pytest.mark.parametrize(
    ("keyword", "field"),
    [
        ("PixelSpacing", "pixel_spacing_mm"),
        ("ImagerPixelSpacing", "imager_pixel_spacing_mm"),
        ("NominalScannedPixelSpacing", "nominal_scanned_spacing_mm"),
    ],
)
def test_a_spacing_that_cannot_be_counts_as_absent(
    header: HeaderOf, keyword: str, field: str, numbers: list[float]
) -> None:
    found = header(**{keyword: numbers})
    assert getattr(found.spacing, field) is None
    assert any("so it counts as absent" in remark for remark in found.remarks)


def test_a_single_spacing_counts_as_absent(header: HeaderOf) -> None:
    found = header(PixelSpacing=0.15)
    assert found.spacing.pixel_spacing_mm is None
    assert any("is given as 0.15 mm; allowed are two numbers" in one for one in found.remarks)


def test_a_spacing_that_is_no_number_is_left_out(make_dicom: MakeDicom) -> None:
    data = make_dicom(PixelSpacing=[0.125, 0.125]).replace(b"0.125\\0.125 ", b"0.125\\nothi ")
    found = read_film(data, "f").header
    assert found.spacing.pixel_spacing_mm is None
    assert any("Pixel Spacing (0028,0030)" in remark for remark in found.remarks)


@pytest.mark.parametrize(
    ("attributes", "words"),
    [
        ({"DistanceSourceToDetector": 100}, "given as 100 mm; for a hand or foot 300 to 4000 mm"),
        ({"DistanceSourceToDetector": 0}, "given as 0 mm"),
        (
            {"DistanceSourceToDetector": 950, "DistanceSourceToPatient": 1000},
            "puts the patient (1000 mm) behind the detector (950 mm)",
        ),
        ({"EstimatedRadiographicMagnificationFactor": 0.9}, "never shows bone smaller"),
        ({"PixelSpacingCalibrationType": "GUESS"}, "neither FIDUCIAL nor GEOMETRY"),
        ({"PixelAspectRatio": [1, 2]}, "pixels are not square (1 to 2)"),
        ({"LossyImageCompression": "01"}, "compressed with loss"),
    ],
)
def test_other_facts_of_size_that_cannot_be_are_left_out_and_that_is_said(
    header: HeaderOf, attributes: dict[str, object], words: str
) -> None:
    found = header(**attributes)
    assert any(words in remark for remark in found.remarks)
    assert found.spacing == HeaderSpacing()


def test_a_factor_that_contradicts_its_distances_is_remarked_on(header: HeaderOf) -> None:
    # SID / SOD, C.8.7.6: 1000 / 950 = 1.0526.
    by_hand_factor = "1.053"
    found = header(
        DistanceSourceToDetector=1000,
        DistanceSourceToPatient=950,
        EstimatedRadiographicMagnificationFactor=1.2,
    )
    assert any(f"mm make it {by_hand_factor}" in remark for remark in found.remarks)


@pytest.mark.parametrize(
    ("attributes", "words"),
    [
        ({"SOPClassUID": "1.2.840.10008.5.1.4.1.1.1.2"}, "kind Digital Mammography X-Ray Image"),
        ({"SOPClassUID": "1.2.840.10008.5.1.4.1.1.1.3"}, "kind Digital Intra-Oral X-Ray Image"),
        ({"SOPClassUID": "1.2.840.10008.5.1.4.1.1.2"}, "kind CT Image Storage"),
        ({"SOPClassUID": "1.2.3.4.5"}, "an object of the kind unknown"),
        ({"Modality": "IO"}, "a picture of modality IO; allowed are CR, DX, RG, OT"),
    ],
)
def test_what_is_no_plain_film_of_hand_or_foot_is_refused(
    make_dicom: MakeDicom, attributes: dict[str, object], words: str
) -> None:
    with pytest.raises(FilmError, match=words):
        read_film(make_dicom(**attributes), "f")


@pytest.mark.parametrize(
    "kind",
    [
        "1.2.840.10008.5.1.4.1.1.1.1",
        "1.2.840.10008.5.1.4.1.1.1.1.1",
        "1.2.840.10008.5.1.4.1.1.7",
        "1.2.840.10008.5.1.4.1.1.7.3",
    ],
)
def test_digital_films_and_captured_ones_are_read(make_dicom: MakeDicom, kind: str) -> None:
    assert read_film(make_dicom(SOPClassUID=kind), "f").values.shape == (6, 8)


def test_nothing_of_the_person_shows_in_a_film(make_dicom: MakeDicom) -> None:
    data = make_dicom(
        PatientName="Kettlewell^Una",
        PatientID="KT-442-781",
        StudyDescription="KT-442-781 Kettlewell",
        InstitutionName="Kettlewell House",
    )
    assert "Kettlewell" not in repr(read_film(data, "f").header)
