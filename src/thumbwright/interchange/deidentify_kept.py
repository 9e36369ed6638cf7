"""What a film's copy keeps of its DICOM header: numbers of the picture, and words from lists.

No text passes but the words written here, so none can carry a name. Everything that stands on
neither list is left out or, where an object of this kind must have it, left empty.
"""

from thumbwright.interchange.dicom_terms import OTHER_PARTS, REGIONS, VAGUE_PARTS

NUMBERS = (
    "SamplesPerPixel",
    "NumberOfFrames",
    "Rows",
    "Columns",
    "PixelAspectRatio",
    "BitsAllocated",
    "BitsStored",
    "HighBit",
    "PixelRepresentation",
    "SmallestImagePixelValue",
    "LargestImagePixelValue",
    "PixelPaddingValue",
    "PixelPaddingRangeLimit",
    "PixelIntensityRelationshipSign",
    "RescaleSlope",
    "RescaleIntercept",
    "WindowCenter",
    "WindowWidth",
    "PixelSpacing",
    "ImagerPixelSpacing",
    "NominalScannedPixelSpacing",
    "DistanceSourceToDetector",
    "DistanceSourceToPatient",
    "EstimatedRadiographicMagnificationFactor",
    "LossyImageCompressionRatio",
)
"""Attributes kept if every value is a number."""

WORDS = {
    "ImageType": {"ORIGINAL", "DERIVED", "PRIMARY", "SECONDARY"},
    "Modality": {"CR", "DX", "RG", "OT"},
    "ConversionType": {"DV", "DI", "DF", "WSD", "SD", "SI", "DRW", "SYN"},
    "PresentationIntentType": {"FOR PRESENTATION", "FOR PROCESSING"},
    "PhotometricInterpretation": {"MONOCHROME1", "MONOCHROME2"},
    "PixelIntensityRelationship": {"LIN", "LOG", "DISP"},
    "RescaleType": {"US", "OD"},
    "VOILUTFunction": {"LINEAR", "LINEAR_EXACT", "SIGMOID"},
    "PresentationLUTShape": {"IDENTITY", "INVERSE"},
    "LossyImageCompression": {"00", "01"},
    "LossyImageCompressionMethod": {
        "ISO_10918_1",
        "ISO_14495_1",
        "ISO_15444_1",
        "ISO_15444_15",
    },
    "BurnedInAnnotation": {"YES", "NO"},
    "RecognizableVisualFeatures": {"YES", "NO"},
    "PixelSpacingCalibrationType": {"FIDUCIAL", "GEOMETRY"},
    "ImageLaterality": {"R", "L", "U", "B"},
    "Laterality": {"R", "L"},
    "BodyPartExamined": {*REGIONS, *VAGUE_PARTS, *OTHER_PARTS},
    "ViewPosition": {"AP", "PA", "LL", "RL", "LLD", "RLD", "LLO", "RLO"},
    "PatientOrientation": {
        a + b for a in ("A", "P", "R", "L", "H", "F") for b in ("", "A", "P", "R", "L", "H", "F")
    },
}
"""Attributes kept if every value is one of the words."""

BULK = ("PixelData", "ExtendedOffsetTable", "ExtendedOffsetTableLengths")
"""Attributes kept as they are."""

TABLES = ("ModalityLUTSequence", "VOILUTSequence")
"""Sequences of tables that are kept."""
TABLE_PARTS = (("LUTDescriptor",), {"ModalityLUTType": {"US", "OD"}}, ("LUTData",))
"""Numbers, words and bulk that are kept of a table."""

CODES = {
    "AnatomicRegionSequence": "AnatomicRegionModifierSequence",
    "PrimaryAnatomicStructureSequence": "PrimaryAnatomicStructureModifierSequence",
    "ViewCodeSequence": "ViewModifierCodeSequence",
}
"""Sequences of codes, kept where a code is a known one, and the sequences within their items."""

REPLACED = ("StudyInstanceUID", "SeriesInstanceUID", "SOPInstanceUID", "FrameOfReferenceUID")
"""Unique identifiers that are replaced, each always by the same other."""

EMPTIED = (
    "PatientName",
    "PatientID",
    "PatientBirthDate",
    "PatientSex",
    "StudyDate",
    "StudyTime",
    "StudyID",
    "AccessionNumber",
    "ReferringPhysicianName",
    "SeriesNumber",
    "InstanceNumber",
    "Manufacturer",
    "PatientOrientation",
    "BodyPartExamined",
    "ViewPosition",
)
"""Attributes that an object of this kind must have (type 2), empty unless kept above."""

TELLING = (
    "PatientName",
    "PatientID",
    "PatientBirthDate",
    "OtherPatientIDs",
    "AccessionNumber",
    "StudyID",
    "ReferringPhysicianName",
    "InstitutionName",
)
"""Attributes whose words are searched for among the pixels, where a stream may hold comments."""
SHORTEST_TELLING = 6
"""Shorter words are not searched for: they occur among pixels by chance."""
