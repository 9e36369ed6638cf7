"""A DICOM film without the person: PS3.15, annex E, by a list of what may stay."""

import hmac
import re
from collections.abc import Collection, Iterable, Mapping
from io import BytesIO
from typing import Any
from uuid import UUID

from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.uid import UID

from thumbwright.core.radiograph.image import BurnedIn
from thumbwright.interchange.deidentify_kept import (
    BULK,
    CODES,
    EMPTIED,
    NUMBERS,
    REPLACED,
    SHORTEST_TELLING,
    TABLE_PARTS,
    TABLES,
    TELLING,
    WORDS,
)
from thumbwright.interchange.dicom_elements import Elements, words
from thumbwright.interchange.dicom_file import DicomFile, open_dicom
from thumbwright.interchange.dicom_films import demand_plain_film
from thumbwright.interchange.dicom_grid import pixel_grid
from thumbwright.interchange.dicom_header import film_header
from thumbwright.interchange.dicom_pixels import READABLE
from thumbwright.interchange.dicom_terms import known_code
from thumbwright.interchange.films_limits import foreign_code, refusal

IMPLEMENTATION = "2.25.279446171337437160371404207018062303519"
"""Names this program as the writer of a file, PS3.7, D.3.3.2; drawn at random once."""
METHOD = "Only what the picture needs was kept"
OTHER_PART = "OTHER"
"""Stands for a body part outside the list, so that the copy still is no film of a hand."""
OVERLAY_GROUPS, OVERLAY_BIT_POSITION = range(0x6000, 0x6100, 2), 0x0102
PROFILE = ("113100", "DCM", "Basic Application Confidentiality Profile")
"""CID 7050 of PS3.16."""


def deidentified_dicom(data: bytes, *, secret: bytes, name: str, checked: bool) -> bytes:
    """Return a new file; see :func:`thumbwright.interchange.deidentify.deidentify`."""
    file = open_dicom(data, name)
    demand_plain_film(file)
    with foreign_code(name, "its copy was made"):
        elements = Elements(file.dataset, [])
        pixel_grid(elements, name)
        header = film_header(elements, name)
        _hold_back(file, elements, header.burned_in, checked=checked)
        copy = _kept(elements)
        _replace_identifiers(elements, copy, secret, data)
        _declare(copy, checked=checked)
        if header.other_body_part and not copy.BodyPartExamined:
            copy.BodyPartExamined = OTHER_PART
        if header.side and not (copy.get("ImageLaterality") or copy.get("Laterality")):
            copy.ImageLaterality = header.side.name[0]
        return _written(copy, file)


def replaced_uid(unique: str, secret: bytes) -> str:
    """Return the identifier that stands for another, always the same for one secret.

    Notes
    -----
    A keyed hash (HMAC-SHA-256) cut to the form of a UUID of version 8, written as PS3.5, B.2
    writes UUIDs.

    Examples
    --------
    >>> replaced_uid("1.2.3", b"sixteen bytes ok")[:5]
    '2.25.'
    """
    digest = bytearray(hmac.digest(secret, unique.encode(), "sha256")[:16])
    digest[6] = digest[6] & 0x0F | 0x80
    digest[8] = digest[8] & 0x3F | 0x80
    return f"2.25.{UUID(bytes=bytes(digest)).int}"


def _hold_back(file: DicomFile, elements: Elements, burned_in: BurnedIn, *, checked: bool) -> None:
    """Refuse pictures that may tell who the person is, where leaving out words cannot help."""
    if burned_in is BurnedIn.YES and not checked:
        raise refusal(
            file.name,
            given=f"{words('BurnedInAnnotation')} = YES: writing is part of the picture",
            allowed="is a picture on which a person found nothing that tells who the patient is",
            advice="look at it; blacken what tells the name, or confirm that nothing does",
        )
    bit_positions = [
        file.dataset[tag].value
        for tag in list(file.dataset.keys())
        if tag >> 16 in OVERLAY_GROUPS and tag & 0xFFFF == OVERLAY_BIT_POSITION
    ]
    if any(bit_positions):
        raise refusal(
            file.name,
            given="a drawing kept in unused bits of the pixels (Overlay Bit Position above 0)",
            allowed="are pixels that hold nothing but the picture",
            advice="export the film without overlays",
        )
    if file.transfer_syntax not in READABLE:
        raise refusal(
            file.name,
            given="a film written in a way that cannot be read",
            allowed="are the transfer syntaxes that can be shown to a person",
            advice="export it uncompressed",
        )
    _search_pixels(file, elements)


def _search_pixels(file: DicomFile, elements: Elements) -> None:
    """Refuse pixels that hold the person's words: compressed streams have room for comments."""
    pixels = bytes(file.dataset.PixelData)
    for keyword in TELLING:
        every = " ".join(str(elements.value(keyword) or "").split())
        for word in {every, *re.split(r"[\^=\\\s]+", every)}:
            if len(word) >= SHORTEST_TELLING and word.encode() in pixels:
                raise refusal(
                    file.name,
                    given=f"pixels among whose bytes {words(keyword)} is written",
                    allowed="are pixels that hold nothing but the picture",
                    advice="export the film uncompressed",
                )


def _kept(elements: Elements) -> Dataset:
    """Copy what stands on the lists, and add empty what must not be missing."""
    copy = _copied(elements, NUMBERS, WORDS, BULK)
    copy.SOPClassUID = elements.value("SOPClassUID")
    for sequence in TABLES:
        if items := elements.items(sequence):
            setattr(copy, sequence, [_copied(item, *TABLE_PARTS) for item in items])
    for sequence, inner in CODES.items():
        if codes := _kept_codes(elements.items(sequence), inner):
            setattr(copy, sequence, codes)
    for keyword in EMPTIED:
        if keyword not in copy:
            setattr(copy, keyword, None)
    return copy


def _copied(
    elements: Elements,
    numbers: Iterable[str],
    words_of: Mapping[str, Collection[str]],
    bulk: Iterable[str],
) -> Dataset:
    copy = Dataset()
    for keyword in numbers:
        if elements.numbers(keyword):
            copy.add(elements.dataset[keyword])
    for keyword, allowed in words_of.items():
        found = elements.texts(keyword)
        # Values beyond the defined ones are free in Image Type, so they go.
        kept = [word for word in found if word in allowed]
        if kept and (kept == list(found) or keyword == "ImageType"):
            setattr(copy, keyword, kept if len(kept) > 1 else kept[0])
    for keyword in bulk:
        if keyword in elements.dataset:
            copy.add(elements.dataset[keyword])
    return copy


def _kept_codes(items: Iterable[Elements], inner: str) -> list[Dataset]:
    """Keep known codes with their registered meaning; the file's own wording is dropped."""
    kept = []
    for item in items:
        if code := known_code(item):
            one = _coded(*code)
            if modifiers := _kept_codes(item.items(inner), inner):
                setattr(one, inner, modifiers)
            kept.append(one)
    return kept


def _coded(value: str, scheme: str, meaning: str) -> Dataset:
    code = Dataset()
    code.CodeValue, code.CodingSchemeDesignator, code.CodeMeaning = value, scheme, meaning[:64]
    return code


def _replace_identifiers(elements: Elements, copy: Dataset, secret: bytes, data: bytes) -> None:
    for keyword in REPLACED:
        given = elements.text(keyword)
        if given:
            setattr(copy, keyword, replaced_uid(given, secret))
        elif keyword != "FrameOfReferenceUID":
            own = hmac.digest(secret, keyword.encode() + data, "sha256").hex()
            setattr(copy, keyword, replaced_uid(own, secret))


def _declare(copy: Dataset, *, checked: bool) -> None:
    """Say in the copy what was done: PS3.15, E.1.1."""
    copy.PatientIdentityRemoved = "YES"
    copy.DeidentificationMethod = METHOD
    copy.DeidentificationMethodCodeSequence = [_coded(*PROFILE)]
    copy.LongitudinalTemporalInformationModified = "REMOVED"
    if checked:
        copy.BurnedInAnnotation = "NO"


def _written(copy: Dataset, file: DicomFile) -> bytes:
    meta = FileMetaDataset()
    meta.TransferSyntaxUID = UID(file.transfer_syntax)
    meta.MediaStorageSOPClassUID = copy.SOPClassUID
    meta.MediaStorageSOPInstanceUID = copy.SOPInstanceUID
    meta.ImplementationClassUID = UID(IMPLEMENTATION)
    meta.ImplementationVersionName = "THUMBWRIGHT"
    copy.file_meta = meta
    target: Any = BytesIO()
    copy.save_as(target, enforce_file_format=True)
    return bytes(target.getvalue())
