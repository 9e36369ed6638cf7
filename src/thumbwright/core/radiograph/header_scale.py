"""Millimetres per pixel by the DICOM header alone: which attribute means what, and how sure."""

from dataclasses import dataclass
from math import hypot

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.image import HeaderSpacing, SpacingKind
from thumbwright.core.radiograph.landmarks import FilmNote

DEPTH_SHARE = 0.01
"""Doubt of a scale valid at another depth than the bones' [-].

A marker 10 mm off the height of the bone errs by about 1 %: abstract of [klever-2022]_.
"""
GUESSED_DEPTH_SHARE = 0.015
"""Doubt of a scale for a depth that somebody assumed [-]; working assumption of this program."""
DETECTOR_EXCESS = 1.031
"""Enlargement of bones 30 mm over the detector at 1,000 mm [-]: 1000 / (1000 - 30)."""
DETECTOR_EXCESS_SHARE = 0.012
"""Doubt of that enlargement for heights from 10 to 50 mm, taken as even [-]: 0.04 / sqrt(12)."""
PLAUSIBLE_FACTOR = (1.0, 1.2)
"""Enlargement that a header may state for a hand or foot [-]; common practice, no source."""
ROUNDING_SHARE = 0.001
"""Two sizes of a pixel that differ by less are one size, rounded twice [-]; assumed."""
STATED_SOURCE_DOUBT_MM = 10.0
"""Standard uncertainty of a stated distance from source to detector [mm]; assumed."""
STATED_HEIGHT_DOUBT_MM = 5.0
"""Standard uncertainty of a stated height of the bones over the detector [mm]; assumed."""
NEEDED = ("a ball or ruler of known size beside the digit",)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderScale:
    """Pixel size in the plane of the bones, as far as the header can tell."""

    column_mm: float
    row_mm: float
    relative_uncertainty: float
    """Standard uncertainty as a share of the size. [-]"""
    basis: str
    remarks: tuple[str, ...] = ()


def header_scale(spacing: HeaderSpacing, note: FilmNote) -> HeaderScale | Unknown:
    """Choose among the attributes of size, most trustworthy first.

    Returns
    -------
    HeaderScale | Unknown
        Unknown where the header gives no size, one of which nobody can tell what it means, or
        two that no enlargement reconciles.

    Notes
    -----
    PS3.3, 10.7 of [dicom-ps3-3]_: Imager Pixel Spacing is the pitch at the detector and never
    corrected; Pixel Spacing is meant to hold in the patient and, where it equals the former,
    was not corrected; without calibration type and imager spacing nobody can tell.
    """
    calibrated = spacing.pixel_spacing_mm
    detector = spacing.imager_pixel_spacing_mm or spacing.nominal_scanned_spacing_mm
    enlargements = _enlargements(detector, calibrated)
    low, high = PLAUSIBLE_FACTOR
    if enlargements and not low - ROUNDING_SHARE < min(enlargements) <= max(enlargements) <= high:
        return Unknown(
            reason=(
                f"the header's two sizes of a pixel would mean an enlargement of "
                f"{enlargements[1]:.3f}, and a hand or foot film has {low:g} to {high:g}"
            ),
            needed=NEEDED,
        )
    if calibrated and spacing.kind is SpacingKind.FIDUCIAL:
        return _as_is(
            calibrated,
            DEPTH_SHARE,
            "Pixel Spacing, calibrated on an object in the image (FIDUCIAL)",
            f"The header says: {spacing.description or 'no word on where the object lay'}.",
        )
    if calibrated and (
        spacing.kind is SpacingKind.GEOMETRY or max(enlargements, default=1.0) > 1 + ROUNDING_SHARE
    ):
        return _as_is(
            calibrated,
            GUESSED_DEPTH_SHARE,
            "Pixel Spacing, corrected for an assumed depth (estimated)",
            f"The header says: {spacing.description or 'no word on the depth assumed'}.",
        )
    if detector:
        return _from_detector(detector, spacing, note)
    return Unknown(
        reason=(
            "Pixel Spacing stands alone in the header, so nobody can tell whether it was "
            "corrected for enlargement"
            if calibrated
            else "the header gives no size of a pixel"
        ),
        needed=NEEDED,
    )


def _enlargements(
    detector: tuple[float, float] | None, calibrated: tuple[float, float] | None
) -> tuple[float, ...]:
    """Return the pitch at the detector over Pixel Spacing, for rows and columns, if both stand."""
    if detector is None or calibrated is None:
        return ()
    return tuple(pitch / size for pitch, size in zip(detector, calibrated, strict=True))


def _as_is(pair: tuple[float, float], share: float, basis: str, remark: str) -> HeaderScale:
    return HeaderScale(
        column_mm=pair[1],
        row_mm=pair[0],
        relative_uncertainty=share,
        basis=basis,
        remarks=(remark,),
    )


def _from_detector(
    pair: tuple[float, float], spacing: HeaderSpacing, note: FilmNote
) -> HeaderScale:
    factor, share, basis, remarks = _enlargement(spacing, note)
    return HeaderScale(
        column_mm=pair[1] / factor,
        row_mm=pair[0] / factor,
        relative_uncertainty=share,
        basis=f"pitch at the detector divided by {basis}",
        remarks=remarks,
    )


def _enlargement(
    spacing: HeaderSpacing, note: FilmNote
) -> tuple[float, float, str, tuple[str, ...]]:
    """Return enlargement at the bones [-], its relative doubt, what it rests on, and remarks."""
    remarks: list[str] = []
    stated = _stated_factor(spacing, remarks)
    source = spacing.source_to_detector_mm or note.source_to_detector_mm
    height = note.bone_above_detector_mm
    if source and height and source > height:
        share = hypot(STATED_HEIGHT_DOUBT_MM, STATED_SOURCE_DOUBT_MM * height / source)
        left = source - height
        return source / left, share / left, "the enlargement from measured heights", tuple(remarks)
    if stated:
        return stated, DEPTH_SHARE, "the enlargement stated in the header (estimated)", (*remarks,)
    remarks.append(
        "Only the pitch at the detector is known; bones read 1 to 5 % too large there, so the "
        "usual enlargement was taken off and its doubt added. A ball beside the digit is better."
    )
    return (
        DETECTOR_EXCESS,
        DETECTOR_EXCESS_SHARE,
        "the usual enlargement of hand and foot films (working assumption)",
        tuple(remarks),
    )


def _stated_factor(spacing: HeaderSpacing, remarks: list[str]) -> float | None:
    """Return the enlargement the header states, by factor or distances, if it can be true."""
    source, patient = spacing.source_to_detector_mm, spacing.source_to_patient_mm
    by_distance = source / patient if source and patient else None
    factor = spacing.magnification_factor or by_distance
    if factor is None:
        return None
    low, high = PLAUSIBLE_FACTOR
    if not low <= factor <= high:
        remarks.append(
            f"The header states an enlargement of {factor:.3f}, which no hand or foot film has; "
            "it was not used."
        )
        return None
    if by_distance and spacing.magnification_factor and abs(by_distance - factor) > DEPTH_SHARE:
        remarks.append(
            f"The header's factor {factor:.3f} and its distances ({by_distance:.3f}) disagree."
        )
    if factor == 1.0:
        remarks.append("The header states an enlargement of exactly 1, often a mere default.")
        return None
    return factor
