"""One desk: store, knowledge, clock, and plans computed from what is stored."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from thumbwright import __version__
from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.foundations.errors import DocumentError, Fault, FilmError, PlanError
from thumbwright.core.outlook.prices import PriceList
from thumbwright.documents.compose import compose
from thumbwright.documents.plan_content import InputHash, PlanPaper
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_folder import read_films_from
from thumbwright.pathway.plan_case import Plan, plan_case
from thumbwright.storage.backup import Backup, back_up, backups, finish_put_back
from thumbwright.storage.case_files import CaseFiles
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.documents import as_text, value_at
from thumbwright.storage.drafts import Drafts
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.papers import Papers
from thumbwright.storage.records import Part, StoredCase, StoreError, Table
from thumbwright.storage.restore import Restored, backup_named, demand_proof, losses, restore
from thumbwright.storage.unit_papers import FOLDER as UNIT
from thumbwright.web.gate import Gate
from thumbwright.web.stored_documents import case_text, films_text, notes_of
from thumbwright.web.unit_prices import UnitPrices
from thumbwright.web.working import Job, Progress, Workroom, at_fault

KEPT_RESULTS = 256
"""Papers that are kept ready; one holds about a megabyte of drawings."""
PATIENCE_S = 0.3
"""How long a page waits for a plan before it says that it is being worked out."""
STEPS_BESIDE_FILMS = 5
"""Steps that the walk and the composing of the paper say, whatever the number of films."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What follows from the facts of a case, or what stands in its way."""

    facts_sha256: str
    """Hash of everything it was computed from."""
    paper: PlanPaper | None
    drawings: Mapping[str, bytes]
    faults: tuple[Fault, ...]
    trouble: str
    """In words, where there is no paper and no list of faults."""
    job: "Job[Result] | None" = None
    """The computation, where it is not done yet."""


def named(facts: Table) -> tuple[str, str]:
    """Return how a case is called in the list, and its line."""
    pseudonym = value_at(facts, ("patient", "pseudonym"))
    injury = [value_at(facts, ("injury", key)) for key in ("side", "mechanism")]
    words = ", ".join(str(one).replace("_", " ") for one in injury if one)
    own = str(facts.get("case_id") or "")
    return str(pseudonym or "without a name"), "; ".join(filter(None, (own, words)))


class Desk:
    """Everything a page may ask for.

    Parameters
    ----------
    folder
        Where database, files and backups lie; made if need be.
    now
        The clock.
    patience_s
        How long a page waits for a plan that is not ready. [s]

    Raises
    ------
    StoreError
        If what lies there is no sound store.
    """

    def __init__(
        self, folder: Path, now: Callable[[], dt.datetime], patience_s: float = PATIENCE_S
    ) -> None:
        self.folder, self.now, self.patience_s = folder, now, patience_s
        finish_put_back(folder / "store")
        self.database = Database(folder / "store" / "cases.db")
        self.kept = FileStore(folder / "store" / "files")
        self.kept.sweep()
        self.cases = CaseStore(self.database, now, named)
        self.files = CaseFiles(self.cases, self.kept)
        self.papers = Papers(self.cases, self.kept)
        self.drafts = Drafts(self.cases)
        self.unit_prices = UnitPrices(folder / "store" / UNIT, now)
        self.gate = Gate()
        self._rooms: list[Workroom[Any]] = []
        self._results: Workroom[Result] = self.workroom(KEPT_RESULTS)

    def workroom(self, most: int) -> "Workroom[Any]":
        """Return a room for results of which so many are kept; it closes with the desk."""
        room: Workroom[Any] = Workroom(most, self.gate.bring_in, self.gate.leave)
        self._rooms.append(room)
        return room

    def prices(self) -> PriceList:
        """Return the prices that the unit entered last; empty where it entered none."""
        return self.unit_prices.prices()

    def today(self) -> dt.date:
        """Return the day by the clock."""
        return self.now().date()

    def result(self, case: StoredCase) -> Result:
        """Return the plan of a case, worked out once for the facts as they are."""
        found = self.result_so_far(case, None)
        while found.job is not None:
            found = self.result_so_far(case, None)
        return found

    def result_so_far(self, case: StoredCase, patience_s: float | None) -> Result:
        """Return the plan of a case, or how far it is after a while.

        Parameters
        ----------
        case
            The case.
        patience_s
            How long to wait; None waits until it is there. [s]
        """
        key = self.facts_sha256(case)

        def broken(fault: Exception) -> Result:
            return _without(key, trouble=at_fault(fault))

        def work(tell: Progress) -> Result:
            return self._computed(case, key, tell)

        listed = case.parts[Part.FILMS].get("films")
        steps = STEPS_BESIDE_FILMS + (len(listed) if isinstance(listed, list) else 0)
        begun = self._results.begun(key, steps, work, broken)
        if isinstance(begun, Result):
            return begun
        begun.ended.wait(patience_s)
        return begun.outcome or _without(key, job=begun)

    def job(self, case: StoredCase) -> "Job[Result] | None":
        """Return the computation of a plan, if it is under way."""
        return self._results.job(self.facts_sha256(case))

    def facts_sha256(self, case: StoredCase) -> str:
        """Return the hash of everything a plan is computed from."""
        files = [(one.name, one.sha256) for one in self.files.of_case(case.key, "film")]
        facts, films = case.parts[Part.FACTS], case.parts[Part.FILMS]
        day = self.today().isoformat()
        text = as_text([facts, films, [list(pair) for pair in files], __version__, day])
        return sha256(text.encode()).hexdigest()

    def back_up(self) -> Backup:
        """Copy everything."""
        return back_up(self.database, self.kept, self.folder / "backups", self.now())

    def prove(self, backup: Backup) -> None:
        """Read a copy back.

        Raises
        ------
        StoreError
            If it does not hold.
        """
        demand_proof(backup, named, self.now)

    def backups(self) -> tuple[Backup, ...]:
        """Return the copies that were made, the newest first."""
        return backups(self.folder / "backups")

    def losses(self, name: str) -> tuple[str, ...]:
        """Return in words what was recorded since a copy."""
        return losses(backup_named(self.folder / "backups", name), self.database)

    def put_back(self, name: str, *, own: int = 0) -> Restored:
        """Put a copy back while everybody else waits, and go on with it.

        Parameters
        ----------
        name
            Name of the copy.
        own
            How often the caller itself went through the gate.

        Raises
        ------
        StoreError
            If it cannot be put back; then all is as it was.
        """
        backup = backup_named(self.folder / "backups", name)
        with self.gate.alone(own=own):
            done = restore(backup, self.database, self.folder, named, self.now)
            for room in self._rooms:
                room.forget()
        return done

    def troubles(self, *, read_files: bool) -> tuple[str, ...]:
        """Return what is wrong with the store, in words."""
        return troubles(self.cases, self.kept, read_files=read_files)

    def close(self) -> None:
        """Let go of the database, once nothing is being worked out."""
        for room in self._rooms:
            room.finish()
        self.database.close()

    def _computed(self, case: StoredCase, key: str, tell: Progress) -> Result:
        try:
            paper, drawings = self._composed(case, tell)
        except DocumentError as refused:
            return _without(key, faults=refused.faults)
        except PlanError as refused:
            return _without(key, trouble=str(refused))
        return Result(facts_sha256=key, paper=paper, drawings=drawings, faults=(), trouble="")

    def _composed(self, case: StoredCase, tell: Progress) -> tuple[PlanPaper, Mapping[str, bytes]]:
        plan, inputs = self.planned(case, tell)
        tell("drawing what was found")
        return compose(plan, knowledge(), inputs, versions())

    def planned(self, case: StoredCase, tell: Progress) -> tuple[Plan, tuple[InputHash, ...]]:
        """Walk a case from its facts to a plan, anew.

        Raises
        ------
        PlanError
            One of its children, if anything stands in the way.
        """
        facts, listed = case_text(case), films_text(case)
        read = read_case(facts, "the findings")
        notes = notes_of(case)

        def bytes_of(file: str) -> bytes:
            try:
                return self.files.read(case.key, file)[1]
            except StoreError as fault:
                raise FilmError(str(fault)) from fault

        def told(done: int, total: int, name: str) -> None:
            if name:
                tell(f"reading film {done + 1} of {total}: {name}")

        films = read_films_from(bytes_of, notes, "the films", told)
        plan = plan_case(read, films, notes, knowledge(), self.today(), tell)
        inputs = (
            InputHash(name="findings", sha256=sha256(facts.encode()).hexdigest()),
            InputHash(name="list of films", sha256=sha256(listed.encode()).hexdigest()),
            *(InputHash(name=name, sha256=film.sha256) for name, film in films.items()),
        )
        return plan, inputs


def _without(
    key: str, *, faults: tuple[Fault, ...] = (), trouble: str = "", job: "Job[Result] | None" = None
) -> Result:
    return Result(
        facts_sha256=key, paper=None, drawings={}, faults=faults, trouble=trouble, job=job
    )
