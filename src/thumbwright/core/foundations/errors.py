"""The tree of errors.

::

    PlanError                  anything a user may be told about
    ├── CaseFileError          the case document cannot be taken as it is (all faults at once)
    ├── FilmsFileError         the list of films and landmarks cannot be taken (all faults at once)
    ├── PriceListError         the unit's price list cannot be taken (all faults at once)
    ├── FilmError              a film cannot be read, or must not be used
    │   └── FilmMismatchError  the film says one side, view or body part, the case another
    ├── CalibrationError       millimetres cannot be had in the way that was asked for
    ├── LandmarkError          a named point is missing where it is needed, or misnamed
    ├── UnitError              two numbers of different units were combined
    ├── ScheduleError          hours, zones, lists or requests for a booking cannot be meant so
    └── KnowledgeError         a data file of the program (sources, techniques) is at fault

A fault of the caller raises; a limit of knowledge returns
:class:`~thumbwright.core.foundations.answer.Unknown`. Each message says what was given,
what is allowed, and what to do.
"""

from dataclasses import dataclass


class PlanError(Exception):
    """Base of every error that a user may be shown in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in a document, at one place."""

    path: str
    """Where, as the user would find it: ``patient.birth_date``."""
    given: str
    """What stands there now."""
    allowed: str
    """What may stand there."""
    advice: str = ""
    """What to do about it."""

    def __str__(self) -> str:
        """Put the three parts into one line."""
        advice = f"; {self.advice}" if self.advice else ""
        return f"{self.path}: given {self.given}; allowed: {self.allowed}{advice}"


class DocumentError(PlanError):
    """A document has faults; every one of them is carried, in the document's order."""

    def __init__(self, document: str, faults: tuple[Fault, ...]) -> None:
        self.document = document
        self.faults = faults
        count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        lines = "\n".join(f"  - {fault}" for fault in faults)
        super().__init__(f"{document} has {count}; nothing was taken from it:\n{lines}")


class CaseFileError(DocumentError):
    """The case document cannot be taken as it is."""


class FilmsFileError(DocumentError):
    """The list of films and landmarks cannot be taken as it is."""


class PriceListError(DocumentError):
    """The unit's price list cannot be taken as it is."""


class FilmError(PlanError):
    """A film cannot be read, or must not be used."""


class FilmMismatchError(FilmError):
    """The film's own header says one side, view or body part, the case another."""


class CalibrationError(PlanError):
    """Millimetres cannot be had in the way that was asked for."""


class LandmarkError(PlanError):
    """A named point is missing where it is needed, or is not a known name."""


class UnitError(PlanError):
    """Two numbers of different units were combined."""


class ScheduleError(PlanError):
    """Hours, time zones, lists or requests for a booking cannot be meant as they were given."""


class KnowledgeError(PlanError):
    """A data file of the program itself (sources, techniques) is at fault."""
