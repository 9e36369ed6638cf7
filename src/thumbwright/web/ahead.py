"""What lies ahead with each technique of a stored case, worked out once for its facts."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from threading import Lock

from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.foundations.errors import DocumentError, Fault, PlanError
from thumbwright.core.outlook.prices import PriceList
from thumbwright.documents.compose_foresight import compose_foresight
from thumbwright.documents.plan_content import InputHash
from thumbwright.documents.report_content import Report
from thumbwright.pathway.foresee_case import Foresight, foresee_case
from thumbwright.storage.records import StoredCase
from thumbwright.web.desk import STEPS_BESIDE_FILMS, Desk
from thumbwright.web.working import Job, Progress, Workroom, at_fault

KEPT = 32
"""Forecasts that are kept ready; one holds some megabytes of draws."""
KEPT_REPORTS = 8
"""Reports that are kept composed; one holds about a megabyte of drawings."""
STEPS_AHEAD = 5
"""Steps that the walk from a plan to what lies ahead says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """What lies ahead, or what stands in its way."""

    facts_sha256: str
    found: Foresight | None = None
    inputs: tuple[InputHash, ...] = ()
    faults: tuple[Fault, ...] = ()
    trouble: str = ""
    job: "Job[Ahead] | None" = None
    """The computation, where it is not done yet."""


_Made = tuple[Ahead, tuple[str, ...] | None, tuple[Report, Mapping[str, bytes]]]


class AheadDesk:
    """Works out what lies ahead beside the plans of a desk.

    Parameters
    ----------
    desk
        Where the cases are.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._room: Workroom[Ahead] = desk.workroom(KEPT)
        self._reports: list[_Made] = []
        self._lock = Lock()

    def so_far(self, case: StoredCase, prices: PriceList, patience_s: float | None) -> Ahead:
        """Return what lies ahead for a case, or how far that is after a while.

        Parameters
        ----------
        case
            The case.
        prices
            The unit's own.
        patience_s
            How long to wait; None waits until it is there. [s]
        """
        facts = self._desk.facts_sha256(case)

        def work(tell: Progress) -> Ahead:
            return self._worked(case, facts, prices, tell)

        def broken(fault: Exception) -> Ahead:
            return Ahead(facts_sha256=facts, trouble=at_fault(fault))

        steps = STEPS_BESIDE_FILMS + STEPS_AHEAD + len(self._desk.files.of_case(case.key, "film"))
        begun = self._room.begun(_key(facts, prices), steps, work, broken)
        if isinstance(begun, Ahead):
            return begun
        begun.ended.wait(patience_s)
        return begun.outcome or Ahead(facts_sha256=facts, job=begun)

    def whole(self, case: StoredCase, prices: PriceList) -> Ahead:
        """Return what lies ahead for a case, waiting for it."""
        found = self.so_far(case, prices, None)
        while found.job is not None:
            found = self.so_far(case, prices, None)
        return found

    def job(self, case: StoredCase, prices: PriceList) -> "Job[Ahead] | None":
        """Return the computation, if it is under way."""
        return self._room.job(_key(self._desk.facts_sha256(case), prices))

    def _worked(self, case: StoredCase, facts: str, prices: PriceList, tell: Progress) -> Ahead:
        try:
            plan, inputs = self._desk.planned(case, tell)
            # The readings hold the films themselves, which no page of what lies ahead shows.
            found = foresee_case(replace(plan, readings=()), knowledge(), prices, tell)
        except DocumentError as refused:
            return Ahead(facts_sha256=facts, faults=refused.faults)
        except PlanError as refused:
            return Ahead(facts_sha256=facts, trouble=str(refused))
        return Ahead(facts_sha256=facts, found=found, inputs=inputs)

    def report(
        self, ahead: Ahead, told_of: tuple[str, ...] | None = None
    ) -> tuple[Report, Mapping[str, bytes]]:
        """Return the report of what lies ahead and its drawings, composed once.

        A page asks for the report and then for each of its drawings.

        Raises
        ------
        PlanError
            If it could not be worked out.
        """
        with self._lock:
            for at, (made_of, of, made) in enumerate(self._reports):
                if made_of is ahead and of == told_of:
                    self._reports.append(self._reports.pop(at))
                    return made
        made = report_of(ahead, told_of)
        with self._lock:
            self._reports = [*self._reports, (ahead, told_of, made)][-KEPT_REPORTS:]
        return made


def report_of(
    ahead: Ahead, told_of: tuple[str, ...] | None = None
) -> tuple[Report, Mapping[str, bytes]]:
    """Return the report of what lies ahead, and its drawings.

    Raises
    ------
    PlanError
        If it could not be worked out.
    """
    if ahead.found is None:
        msg = (
            "what lies ahead was asked for and cannot be worked out yet; allowed is a case whose "
            "facts and films are whole; see what is missing on the page of the case"
        )
        raise PlanError(msg)
    return compose_foresight(ahead.found, knowledge(), ahead.inputs, versions(), told_of)


def _key(facts: str, prices: PriceList) -> str:
    priced = sorted((item.value, price) for item, price in prices.prices.items())
    text = f"{facts} {prices.currency} {priced} {sorted(prices.devices.items())}"
    return sha256(text.encode()).hexdigest()
