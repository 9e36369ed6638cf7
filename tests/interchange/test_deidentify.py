"""Copies without the person: no word of the input survives, and the picture does."""

import re
from collections.abc import Callable
from contextlib import suppress
from io import BytesIO
from typing import Any

import numpy as np
import pydicom
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin
from pydicom import uid
from pydicom._dicom_dict import DicomDictionary
from pydicom.dataset import Dataset
from pydicom.encaps import encapsulate
from pydicom.sr.codedict import codes

from thumbwright.core.foundations.errors import FilmError
from thumbwright.interchange.deidentify import deidentify
from thumbwright.interchange.deidentify_dicom import replaced_uid
from thumbwright.interchange.deidentify_kept import EMPTIED, NUMBERS, REPLACED, WORDS
from thumbwright.interchange.films import read_film

MakeDicom = Callable[..., bytes]
SECRET = b"sixteen bytes ok"
NAME, NUMBER, BORN, ORDER = "KETTLEWELL^UNA", "KT442781", "19700229", "ACC9920017"
TELLING = (b"KETTLEWELL", b"Kettlewell", b"KT442781", b"19700229", b"ACC9920017")
TEXT_KINDS = {
    "AE": "KT442781",
    "AS": "056Y",
    "CS": "KT442781",
    "DA": BORN,
    "DT": "19700229101500",
    "LO": "Kettlewell KT442781",
    "LT": "Kettlewell, born 19700229",
    "PN": "KETTLEWELL^UNA",
    "SH": ORDER,
    "ST": "Kettlewell KT442781",
    "TM": "101500",
    "UC": "Kettlewell KT442781",
    "UI": "1.2.19700229.442781",
    "UN": b"Kettlewell KT442781",
    "OB": b"Kettlewell KT442781 ",
    "UR": "urn:Kettlewell:KT442781",
    "UT": "Kettlewell KT442781",
}
PLAIN_INFO = {
    "compression",
    "dpi",
    "jfif",
    "jfif_density",
    "jfif_unit",
    "jfif_version",
    "progression",
    "progressive",
    "resolution",
}
STRUCTURE = {"SOPClassUID", "PixelData", "PhotometricInterpretation", "Modality"}


def copy_of(data: bytes, **options: Any) -> Dataset:  # noqa: ANN401
    return pydicom.dcmread(BytesIO(deidentify(data, secret=SECRET, **options)))


def telling_words_in(data: bytes) -> list[bytes]:
    spread = [word for word in TELLING if word in data or word.decode().encode("utf-16-le") in data]
    return [*spread, *re.findall(rb"19700229", data)]


def every_text_attribute() -> dict[str, object]:
    """Return an identifying value for each text attribute of the dictionary that has none yet."""
    found: dict[str, object] = {}
    for tag, (vr, _, _, retired, keyword) in DicomDictionary.items():
        group = tag >> 16
        plain = not retired and keyword and 0x0008 <= group < 0x7FE0
        if plain and vr in TEXT_KINDS and keyword not in STRUCTURE and (tag & 0xFFFF) != 0:
            found[keyword] = TEXT_KINDS[vr]
    return found


def with_every_text(make_dicom: MakeDicom, **attributes: object) -> bytes:
    texts = every_text_attribute()
    assert len(texts) > 1500
    # These two would have the film refused instead of copied.
    for keyword in ("BurnedInAnnotation", "SOPInstanceUID"):
        texts.pop(keyword, None)
    return make_dicom(**(texts | attributes))


def test_of_all_text_attributes_of_the_standard_no_word_survives(make_dicom: MakeDicom) -> None:
    data = with_every_text(make_dicom)
    assert telling_words_in(data)
    assert telling_words_in(deidentify(data, secret=SECRET)) == []


def test_no_word_survives_in_nested_private_or_drawn_elements(make_dicom: MakeDicom) -> None:
    inner, item = Dataset(), Dataset()
    inner.PatientName, inner.TextValue = NAME, "Kettlewell"
    item.ContentSequence = [inner]
    item.CodeValue, item.CodingSchemeDesignator, item.CodeMeaning = "KT442781", "99KT", "Kettlewell"
    known = Dataset()
    known.CodeValue, known.CodingSchemeDesignator = codes.SCT.Hand.value, "SCT"
    known.CodeMeaning, known.PatientID = "Hand of U. Kettlewell", NUMBER
    film = pydicom.dcmread(
        BytesIO(
            make_dicom(
                PatientName=NAME,
                ReferencedImageSequence=[item],
                ViewCodeSequence=[item],
                AnatomicRegionSequence=[item, known],
                IconImageSequence=[item],
                RequestAttributesSequence=[item],
            )
        )
    )
    block = film.private_block(0x0009, "Kettlewell maker", create=True)
    block.add_new(1, "LO", NUMBER)
    film.add_new(0x60003000, "OW", b"Kettlewell")
    film.add_new(0x60000022, "LO", "Kettlewell")
    film.add_new(0xFFFCFFFC, "OB", b"Kettlewell")
    film.preamble = b"Kettlewell".ljust(128)
    target = BytesIO()
    film.save_as(target)
    copied = deidentify(target.getvalue(), secret=SECRET)
    assert telling_words_in(target.getvalue())
    assert telling_words_in(copied) == []
    copy = pydicom.dcmread(BytesIO(copied))
    assert [code.CodeMeaning for code in copy.AnatomicRegionSequence] == [codes.SCT.Hand.meaning]
    assert "ViewCodeSequence" not in copy
    assert not [element for element in copy if element.tag.is_private]


def test_nothing_is_kept_but_what_the_lists_allow(make_dicom: MakeDicom) -> None:
    copy = copy_of(with_every_text(make_dicom))
    declared = {
        "PatientIdentityRemoved",
        "DeidentificationMethod",
        "DeidentificationMethodCodeSequence",
        "LongitudinalTemporalInformationModified",
        "PixelData",
        "SOPClassUID",
    }
    allowed = {*NUMBERS, *WORDS, *EMPTIED, *REPLACED, *declared}
    assert {element.keyword for element in copy} <= allowed
    # A body part outside the list still is another part than a hand.
    kept = {keyword: copy[keyword].value for keyword in EMPTIED if copy[keyword].value}
    assert kept == {"BodyPartExamined": "OTHER"}


def test_the_copy_says_what_was_done(make_dicom: MakeDicom) -> None:
    copy = copy_of(make_dicom())
    # PS3.15, E.1.1 and E.3; code 113100 of CID 7050.
    assert copy.PatientIdentityRemoved == "YES"
    assert copy.DeidentificationMethod
    method = copy.DeidentificationMethodCodeSequence[0]
    assert (method.CodeValue, method.CodingSchemeDesignator) == ("113100", "DCM")
    assert method.CodeMeaning == codes.DCM.BasicApplicationConfidentialityProfile.meaning
    assert copy.LongitudinalTemporalInformationModified == "REMOVED"


def test_films_of_one_study_stay_together_and_nobody_can_tell_which(make_dicom: MakeDicom) -> None:
    first = copy_of(make_dicom(StudyInstanceUID="1.2.77", SOPInstanceUID="1.2.77.1"))
    second = copy_of(make_dicom(StudyInstanceUID="1.2.77", SOPInstanceUID="1.2.77.2"))
    other = copy_of(make_dicom(StudyInstanceUID="1.2.78", SOPInstanceUID="1.2.78.1"))
    assert first.StudyInstanceUID == second.StudyInstanceUID != other.StudyInstanceUID
    assert first.SOPInstanceUID != second.SOPInstanceUID
    assert first.file_meta.MediaStorageSOPInstanceUID == first.SOPInstanceUID
    elsewhere = pydicom.dcmread(
        BytesIO(deidentify(make_dicom(StudyInstanceUID="1.2.77"), secret=b"another secret of 16"))
    )
    assert elsewhere.StudyInstanceUID != first.StudyInstanceUID


def test_a_film_without_identifiers_gets_some_of_its_own(make_dicom: MakeDicom) -> None:
    first = copy_of(make_dicom(StudyInstanceUID=None, SeriesInstanceUID=None))
    again = copy_of(make_dicom(StudyInstanceUID=None, SeriesInstanceUID=None))
    assert first.StudyInstanceUID == again.StudyInstanceUID
    assert len({first.StudyInstanceUID, first.SeriesInstanceUID, first.SOPInstanceUID}) == 3


@given(st.from_regex(r"[0-2](\.[1-9][0-9]{0,8}){1,6}", fullmatch=True))
def test_a_replaced_identifier_is_a_valid_one(unique: str) -> None:
    replaced = replaced_uid(unique, SECRET)
    assert uid.UID(replaced).is_valid
    assert replaced.startswith("2.25.")
    # PS3.5, B.2: the number is a UUID; version 8 and variant 10 of RFC 9562.
    number = int(replaced.removeprefix("2.25."))
    assert (number >> 76) & 0xF == 8
    assert (number >> 62) & 0x3 == 2
    assert replaced == replaced_uid(unique, SECRET)


@pytest.mark.parametrize(
    "syntax",
    [
        uid.ImplicitVRLittleEndian,
        uid.ExplicitVRLittleEndian,
        uid.DeflatedExplicitVRLittleEndian,
        uid.ExplicitVRBigEndian,
    ],
)
def test_pixels_and_transfer_syntax_stay_as_they_are(make_dicom: MakeDicom, syntax: str) -> None:
    table = Dataset()
    table.LUTDescriptor, table.LUTData = [4, 0, 16], [0, 100, 200, 65535]
    table["LUTDescriptor"].VR = table["LUTData"].VR = "US"
    kind = ">u2" if syntax == uid.ExplicitVRBigEndian else "<u2"
    pixels = np.arange(48, dtype=np.uint16).reshape(6, 8).astype(kind)
    data = make_dicom(
        pixels, syntax=syntax, VOILUTSequence=[table], PixelPaddingValue=3, RescaleSlope=2
    )
    copied = deidentify(data, secret=SECRET)
    before, after = (pydicom.dcmread(BytesIO(one)) for one in (data, copied))
    assert after.PixelData == before.PixelData
    assert after.file_meta.TransferSyntaxUID == syntax
    film, copy = read_film(data, "f"), read_film(copied, "f")
    assert np.array_equal(film.values, copy.values)
    assert np.array_equal(film.shown, copy.shown)
    assert film.header == copy.header


def test_what_the_plan_needs_of_the_header_stays(make_dicom: MakeDicom) -> None:
    side, region = Dataset(), Dataset()
    side.CodeValue, side.CodingSchemeDesignator = codes.SCT.Left.value, "SCT"
    region.CodeValue, region.CodingSchemeDesignator = codes.SCT.Foot.value, "SCT"
    side.CodeMeaning = region.CodeMeaning = "x"
    region.AnatomicRegionModifierSequence = [side]
    data = make_dicom(
        AnatomicRegionSequence=[region],
        BodyPartExamined="FOOT",
        ViewPosition="AP",
        ImagerPixelSpacing=[0.15, 0.15],
        PixelSpacing=[0.143, 0.143],
        PixelSpacingCalibrationType="GEOMETRY",
        DistanceSourceToDetector=1000,
        PhotometricInterpretation="MONOCHROME1",
        ImageType=["DERIVED", "PRIMARY", "KETTLEWELL"],
        BurnedInAnnotation="NO",
    )
    copied = deidentify(data, secret=SECRET)
    assert read_film(copied, "f").header == read_film(data, "f").header
    assert list(pydicom.dcmread(BytesIO(copied)).ImageType) == ["DERIVED", "PRIMARY"]


@pytest.mark.parametrize("word", ["CHEST", "SHOULDER", "OSSA NOVA"])
def test_a_film_of_another_part_stays_one(make_dicom: MakeDicom, word: str) -> None:
    copied = deidentify(make_dicom(BodyPartExamined=word), secret=SECRET)
    assert read_film(copied, "f").header.other_body_part


def test_a_side_named_only_within_a_frame_stays(make_dicom: MakeDicom) -> None:
    anatomy, group = Dataset(), Dataset()
    anatomy.FrameLaterality = "R"
    group.FrameAnatomySequence = [anatomy]
    data = make_dicom(SharedFunctionalGroupsSequence=[group])
    assert read_film(deidentify(data, secret=SECRET), "f").header.side is not None


def test_a_film_that_names_both_sides_is_not_made_to_agree(make_dicom: MakeDicom) -> None:
    anatomy, group = Dataset(), Dataset()
    anatomy.FrameLaterality = "R"
    group.FrameAnatomySequence = [anatomy]
    data = make_dicom(SharedFunctionalGroupsSequence=[group], ImageLaterality="L")
    with pytest.raises(FilmError, match="names both right and left"):
        deidentify(data, secret=SECRET)


def test_writing_in_the_picture_holds_a_film_back_until_a_person_has_looked(
    make_dicom: MakeDicom,
) -> None:
    data = make_dicom(BurnedInAnnotation="YES")
    with pytest.raises(FilmError, match=r"writing is part of the picture.*look at it"):
        deidentify(data, secret=SECRET)
    assert copy_of(data, burned_in_checked=True).BurnedInAnnotation == "NO"


def test_nobody_says_for_the_file_that_there_is_no_writing(make_dicom: MakeDicom) -> None:
    silent = deidentify(make_dicom(), secret=SECRET)
    assert "BurnedInAnnotation" not in pydicom.dcmread(BytesIO(silent))
    remarks = read_film(silent, "f").header.remarks
    assert any("a person must look at the film" in remark for remark in remarks)


def test_a_drawing_in_unused_bits_holds_a_film_back(make_dicom: MakeDicom) -> None:
    film = pydicom.dcmread(BytesIO(make_dicom()))
    film.add_new(0x60020102, "US", 12)
    target = BytesIO()
    film.save_as(target)
    with pytest.raises(FilmError, match="a drawing kept in unused bits of the pixels"):
        deidentify(target.getvalue(), secret=SECRET)


def test_a_name_among_the_bytes_of_the_pixels_holds_a_film_back(make_dicom: MakeDicom) -> None:
    target = BytesIO()
    grey = np.zeros((8, 8), dtype=np.uint8)
    Image.fromarray(grey).save(target, format="JPEG", comment=b"for Kettlewell, ward 3")
    data = make_dicom(
        grey,
        syntax=uid.JPEGBaseline8Bit,
        PatientName="Kettlewell^Una",
        PixelData=encapsulate([target.getvalue()]),
    )
    with pytest.raises(FilmError, match=r"among whose bytes Patient's Name \(0010,0010\)"):
        deidentify(data, secret=SECRET)


def test_a_secret_too_short_is_refused(make_dicom: MakeDicom) -> None:
    with pytest.raises(FilmError, match="a secret of 5 bytes was given; allowed are at least 16"):
        deidentify(make_dicom(), secret=b"short")


def test_the_original_is_not_changed(make_dicom: MakeDicom) -> None:
    data = make_dicom(PatientName=NAME)
    before = bytes(data)
    deidentify(data, secret=SECRET)
    assert data == before


def picture(kind: str) -> bytes:
    """Return a picture that tells a name in every place that its format offers."""
    noise = np.random.default_rng(3).integers(0, 255, (40, 30)).astype(np.uint8)
    exif = Image.Exif()
    exif[0x010E], exif[0x013B], exif[0x0132] = "Kettlewell", "KT442781", "1970:02:29"
    options: dict[str, Any] = {"exif": exif, "dpi": (300, 300)}
    if kind == "PNG":
        options["pnginfo"] = PngImagePlugin.PngInfo()
        options["pnginfo"].add_text("Name", "Kettlewell", zip=True)
        options["pnginfo"].add_itxt("Patient", "KT442781")
        options["pnginfo"].add_text("Born", "19700229")
    if kind == "JPEG":
        options |= {"comment": b"Kettlewell", "progressive": True}
        options["icc_profile"] = b"Kettlewell".ljust(200)
    if kind == "TIFF":
        options["tiffinfo"] = {270: "Kettlewell", 315: "KT442781", 33550: "x"}
    target = BytesIO()
    Image.fromarray(noise).save(target, format=kind, **options)
    return target.getvalue() + b"Kettlewell"


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_pictures_lose_their_words_and_keep_their_pixels(kind: str) -> None:
    data = picture(kind)
    copied = deidentify(data, secret=SECRET)
    assert telling_words_in(data)
    assert telling_words_in(copied) == []
    assert np.array_equal(read_film(copied, "f").values, read_film(data, "f").values)
    with Image.open(BytesIO(copied)) as opened:
        assert not opened.getexif().get(0x010E)
        assert set(opened.info) <= PLAIN_INFO


def test_a_coloured_jpeg_keeps_its_colours_when_its_words_go() -> None:
    colours = np.random.default_rng(4).integers(0, 255, (32, 32, 3)).astype(np.uint8)
    target = BytesIO()
    Image.fromarray(colours).convert("CMYK").save(target, format="JPEG", comment=b"Kettlewell")
    copied = deidentify(target.getvalue(), secret=SECRET)
    before, after = (np.asarray(Image.open(BytesIO(one))) for one in (target.getvalue(), copied))
    assert np.array_equal(before, after)


def test_a_small_preview_inside_a_jpeg_goes() -> None:
    data = picture("JPEG")
    preview = b"\xff\xe0" + (16 + 3).to_bytes(2, "big") + b"JFIF\0\1\1\0\0\1\0\1\1\1" + b"\1\2\3"
    start = data.index(b"\xff\xe0")
    length = int.from_bytes(data[start + 2 : start + 4], "big")
    with_preview = data[:start] + preview + data[start + 2 + length :]
    copied = deidentify(with_preview, secret=SECRET)
    assert copied[2:20] == bytes.fromhex("ffe0 0010 4a46494600 0101 00 0001 0001 00 00")


def test_what_is_no_film_is_not_copied() -> None:
    with pytest.raises(FilmError, match="allowed are DICOM, PNG, JPEG and TIFF"):
        deidentify(b"GIF89a" * 30, secret=SECRET)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_damaged_film_is_copied_or_refused(make_dicom: MakeDicom, data: st.DataObject) -> None:
    film = bytearray(make_dicom(PatientName=NAME, PatientID=NUMBER))
    for _ in range(data.draw(st.integers(1, 4))):
        film[data.draw(st.integers(0, len(film) - 1))] = data.draw(st.integers(0, 255))
    with suppress(FilmError):
        deidentify(bytes(film), secret=SECRET)
