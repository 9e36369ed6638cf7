"""What a DICOM header says of size, with what cannot be true left out and said."""

from thumbwright.core.radiograph.image import HeaderSpacing, SpacingKind
from thumbwright.interchange.dicom_elements import Elements, words

LEAST_PITCH_MM, LARGEST_PITCH_MM = 0.01, 1.0
"""Pitches of detectors, plates and film scanners; common practice, no source. [mm]"""
LEAST_DISTANCE_MM, LARGEST_DISTANCE_MM = 300.0, 4000.0
"""Distances at which hands and feet are filmed; common practice, no source. [mm]"""
FACTOR_AGREES_SHARE = 0.01
"""How far a factor may lie from its own distances and count as rounded [-]."""


def header_spacing(elements: Elements) -> HeaderSpacing:
    """Read the attributes of size; those that cannot be true become remarks.

    Notes
    -----
    The first number of a pair is the distance between rows, the second between columns, and
    both are above zero: 10.7.1.3 of [dicom-ps3-3]_.
    """
    source = _distance(elements, "DistanceSourceToDetector")
    patient = _distance(elements, "DistanceSourceToPatient")
    if source and patient and patient > source:
        elements.remarks.append(
            f"The header puts the patient ({patient:g} mm) behind the detector ({source:g} mm); "
            "neither distance was used."
        )
        source = patient = None
    factor = _factor(elements, source, patient)
    spacing = HeaderSpacing(
        pixel_spacing_mm=_pair(elements, "PixelSpacing"),
        imager_pixel_spacing_mm=_pair(elements, "ImagerPixelSpacing"),
        nominal_scanned_spacing_mm=_pair(elements, "NominalScannedPixelSpacing"),
        kind=_kind(elements),
        description=str(elements.value("PixelSpacingCalibrationDescription") or "").strip()[:64],
        source_to_detector_mm=source,
        source_to_patient_mm=patient,
        magnification_factor=factor,
    )
    _look_at_aspect(elements, spacing)
    return spacing


def _pair(elements: Elements, keyword: str) -> tuple[float, float] | None:
    numbers = elements.numbers(keyword)
    if not numbers:
        return None
    plausible = all(LEAST_PITCH_MM <= number <= LARGEST_PITCH_MM for number in numbers)
    if len(numbers) == 2 and plausible:
        return numbers[0], numbers[1]
    given = " and ".join(f"{number:g}" for number in numbers[:3])
    elements.remarks.append(
        f"{words(keyword)} is given as {given} mm; allowed are two numbers from "
        f"{LEAST_PITCH_MM:g} to {LARGEST_PITCH_MM:g} mm, so it counts as absent."
    )
    return None


def _distance(elements: Elements, keyword: str) -> float | None:
    number = elements.number(keyword)
    if number is None or LEAST_DISTANCE_MM <= number <= LARGEST_DISTANCE_MM:
        return number
    elements.remarks.append(
        f"{words(keyword)} is given as {number:g} mm; for a hand or foot {LEAST_DISTANCE_MM:g} to "
        f"{LARGEST_DISTANCE_MM:g} mm are believed, so it counts as absent."
    )
    return None


def _factor(elements: Elements, source: float | None, patient: float | None) -> float | None:
    keyword = "EstimatedRadiographicMagnificationFactor"
    factor = elements.number(keyword)
    if factor is not None and factor < 1:
        elements.remarks.append(
            f"{words(keyword)} is given as {factor:g}; a film never shows bone smaller than it "
            "is, so it counts as absent."
        )
        return None
    if factor and source and patient:
        by_distance = source / patient
        if abs(by_distance - factor) > FACTOR_AGREES_SHARE * factor:
            elements.remarks.append(
                f"{words(keyword)} is {factor:.3f}, but the distances {source:g} and {patient:g} "
                f"mm make it {by_distance:.3f}."
            )
    return factor


def _kind(elements: Elements) -> SpacingKind:
    word = elements.text("PixelSpacingCalibrationType")
    if word in {SpacingKind.FIDUCIAL.value, SpacingKind.GEOMETRY.value}:
        return SpacingKind(word)
    if word:
        elements.remarks.append(
            f"{words('PixelSpacingCalibrationType')} is neither FIDUCIAL nor GEOMETRY; it counts "
            "as absent."
        )
    return SpacingKind.ABSENT


def _look_at_aspect(elements: Elements, spacing: HeaderSpacing) -> None:
    """Say so where pixels are not square and nothing tells their size."""
    known = (
        spacing.pixel_spacing_mm
        or spacing.imager_pixel_spacing_mm
        or spacing.nominal_scanned_spacing_mm
    )
    aspect = elements.numbers("PixelAspectRatio")
    if not known and len(aspect) == 2 and aspect[0] != aspect[1]:
        elements.remarks.append(
            f"{words('PixelAspectRatio')} says that pixels are not square ({aspect[0]:g} to "
            f"{aspect[1]:g}), but the header gives no size; lengths and angles cannot be trusted."
        )
