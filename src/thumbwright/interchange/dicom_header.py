"""What a DICOM header says of body part, side, view and writing in the picture."""

from collections.abc import Iterable

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import BeamScale, BurnedIn, FilmHeader, Region, View
from thumbwright.interchange.dicom_elements import Elements, words
from thumbwright.interchange.dicom_spacing import header_spacing
from thumbwright.interchange.dicom_terms import (
    OTHER_PARTS,
    REGIONS,
    SIDES,
    VAGUE_PARTS,
    VIEWS,
    coded_regions,
    coded_sides,
    coded_views,
)
from thumbwright.interchange.films_limits import refusal

NOT_STATED = (
    "The file does not state whether writing is part of the picture "
    "(Burned In Annotation (0028,0301)): a person must look at the film."
)


def film_header(elements: Elements, name: str) -> FilmHeader:
    """Gather what the file says of the film; oddities become remarks.

    Raises
    ------
    FilmError
        If the file names both sides, or both a hand and a foot.
    """
    region, other = _region(elements, name)
    side = _side(elements, name)
    view = _view(elements)
    burned_in = _burned_in(elements)
    spacing = header_spacing(elements)
    if elements.text("LossyImageCompression") == "01":
        elements.remarks.append(
            "The film was compressed with loss at some time; fine edges may have moved."
        )
    return FilmHeader(
        region=region,
        side=side,
        view=view,
        other_body_part=other,
        burned_in=burned_in,
        beam_scale=_beam_scale(elements),
        spacing=spacing,
        remarks=tuple(dict.fromkeys(elements.remarks)),
    )


def _beam_scale(elements: Elements) -> BeamScale:
    """Return to what stored values are proportional; a table of values may undo what is said."""
    if elements.items("ModalityLUTSequence"):
        return BeamScale.NOT_STATED
    return {"LIN": BeamScale.LINEAR, "LOG": BeamScale.LOGARITHMIC}.get(
        elements.text("PixelIntensityRelationship"), BeamScale.NOT_STATED
    )


def stated_sides(elements: Elements) -> frozenset[Side]:
    """Return every side that is named anywhere in the header."""
    letters = [elements.text("ImageLaterality"), elements.text("Laterality")]
    anatomy = [
        frame
        for groups in ("SharedFunctionalGroupsSequence", "PerFrameFunctionalGroupsSequence")
        for group in elements.items(groups)
        for frame in group.items("FrameAnatomySequence")
    ]
    letters += [frame.text("FrameLaterality") for frame in anatomy]
    by_letter = {SIDES[letter] for letter in letters if letter in SIDES}
    return frozenset(by_letter) | coded_sides(_modifiers((elements, *anatomy)))


def _modifiers(holders: Iterable[Elements]) -> list[Elements]:
    return [
        modifier
        for holder in holders
        for anatomy in ("AnatomicRegion", "PrimaryAnatomicStructure")
        for part in holder.items(f"{anatomy}Sequence")
        for modifier in part.items(f"{anatomy}ModifierSequence")
    ]


def _region(elements: Elements, name: str) -> tuple[Region | None, str]:
    """Return hand or foot, and the word for anything that is clearly another part."""
    word = elements.text("BodyPartExamined")
    coded = coded_regions(
        [
            *elements.items("AnatomicRegionSequence"),
            *elements.items("PrimaryAnatomicStructureSequence"),
        ]
    )
    found = coded | ({REGIONS[word]} if word in REGIONS else frozenset())
    if len(found) > 1:
        raise refusal(
            name,
            given="a header that names both a hand and a foot",
            allowed="is one body part",
            advice="have the header corrected where the film was taken",
        )
    if found or not word:
        return next(iter(found), None), ""
    if word in VAGUE_PARTS:
        elements.remarks.append(
            f"{words('BodyPartExamined')} says {word}, which tells neither hand nor foot."
        )
        return None, ""
    return None, word if word in OTHER_PARTS else "another part"


def _side(elements: Elements, name: str) -> Side | None:
    found = stated_sides(elements)
    if len(found) > 1:
        raise refusal(
            name,
            given="a header that names both right and left",
            allowed="is one side, the same in every place",
            advice="have the header corrected where the film was taken; do not guess",
        )
    if not found and elements.text("ImageLaterality") == "B":
        elements.remarks.append(f"{words('ImageLaterality')} says that both sides are on the film.")
    return next(iter(found), None)


def _view(elements: Elements) -> View | None:
    word = elements.text("ViewPosition")
    found = coded_views(elements.items("ViewCodeSequence")) | (
        {VIEWS[word]} if word in VIEWS else frozenset()
    )
    if len(found) > 1:
        elements.remarks.append("The header names two different views; neither was used.")
        return None
    return next(iter(found), None)


def _burned_in(elements: Elements) -> BurnedIn:
    word = elements.text("BurnedInAnnotation")
    if word in {"YES", "NO"}:
        return BurnedIn(word.lower())
    elements.remarks.append(NOT_STATED)
    return BurnedIn.NOT_STATED
