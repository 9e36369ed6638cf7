"""One desk: store, knowledge, clock, and plans computed from what is stored."""

import datetime as dt
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from threading import Lock

from thumbwright import __version__
from thumbwright.bootstrap import knowledge, versions
from thumbwright.core.foundations.errors import DocumentError, Fault, FilmError, PlanError
from thumbwright.documents.compose import compose
from thumbwright.documents.plan_content import InputHash, PlanPaper
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films_folder import read_films_from
from thumbwright.pathway.plan_case import plan_case
from thumbwright.storage.backup import Backup, back_up, backups
from thumbwright.storage.case_files import CaseFiles
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.documents import as_text, value_at
from thumbwright.storage.drafts import Drafts
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.papers import Papers
from thumbwright.storage.records import Part, StoredCase, StoreError, Table
from thumbwright.web.stored_documents import case_text, films_text, notes_of

KEPT_RESULTS = 256
"""Papers that are kept ready; one holds about a megabyte of drawings."""


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

    Raises
    ------
    StoreError
        If what lies there is no sound store.
    """

    def __init__(self, folder: Path, now: Callable[[], dt.datetime]) -> None:
        self.folder, self.now = folder, now
        self.database = Database(folder / "store" / "cases.db")
        self.kept = FileStore(folder / "store" / "files")
        self.kept.sweep()
        self.cases = CaseStore(self.database, now, named)
        self.files = CaseFiles(self.cases, self.kept)
        self.papers = Papers(self.cases, self.kept)
        self.drafts = Drafts(self.cases)
        self._results: OrderedDict[str, Result] = OrderedDict()
        self._lock, self._working = Lock(), Lock()

    def today(self) -> dt.date:
        """Return the day by the clock."""
        return self.now().date()

    def result(self, case: StoredCase) -> Result:
        """Compute the plan of a case, or return it if nothing changed since."""
        key = self.facts_sha256(case)
        if (ready := self._ready(key)) is not None:
            return ready
        # One at a time: two that ask for the same case wait for one answer.
        with self._working:
            if (ready := self._ready(key)) is not None:
                return ready
            made = self._computed(case, key)
            with self._lock:
                self._results[key] = made
                while len(self._results) > KEPT_RESULTS:
                    self._results.popitem(last=False)
        return made

    def _ready(self, key: str) -> Result | None:
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
            return self._results.get(key)

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

    def backups(self) -> tuple[Backup, ...]:
        """Return the copies that were made, the newest first."""
        return backups(self.folder / "backups")

    def troubles(self, *, read_files: bool) -> tuple[str, ...]:
        """Return what is wrong with the store, in words."""
        return troubles(self.cases, self.kept, read_files=read_files)

    def close(self) -> None:
        """Let go of the database."""
        self.database.close()

    def _computed(self, case: StoredCase, key: str) -> Result:
        def without(faults: tuple[Fault, ...] = (), trouble: str = "") -> Result:
            return Result(facts_sha256=key, paper=None, drawings={}, faults=faults, trouble=trouble)

        try:
            paper, drawings = self._composed(case)
        except DocumentError as refused:
            return without(faults=refused.faults)
        except PlanError as refused:
            return without(trouble=str(refused))
        return Result(facts_sha256=key, paper=paper, drawings=drawings, faults=(), trouble="")

    def _composed(self, case: StoredCase) -> tuple[PlanPaper, Mapping[str, bytes]]:
        facts, listed = case_text(case), films_text(case)
        read = read_case(facts, "the findings")
        notes = notes_of(case)

        def bytes_of(file: str) -> bytes:
            try:
                return self.files.read(case.key, file)[1]
            except StoreError as fault:
                raise FilmError(str(fault)) from fault

        films = read_films_from(bytes_of, notes, "the films")
        known = knowledge()
        plan = plan_case(read, films, notes, known, self.today())
        inputs = (
            InputHash(name="findings", sha256=sha256(facts.encode()).hexdigest()),
            InputHash(name="list of films", sha256=sha256(listed.encode()).hexdigest()),
            *(InputHash(name=name, sha256=film.sha256) for name, film in films.items()),
        )
        return compose(plan, known, inputs, versions())
