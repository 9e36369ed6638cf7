"""What the server confirmed is kept, at whatever moment it is killed."""

import random
import threading
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from re import search

import httpx2
import numpy as np
import pytest
from tests.web.desks import NOW, demo_desk, visitor
from tests.web.serving import serving, started

from thumbwright.cli.serving import unit_secret
from thumbwright.interchange.films import read_film
from thumbwright.storage.file_store import HALF_SUFFIX
from thumbwright.web.desk import Desk

WHO = "Dr A"
CASE = "/cases/girl"
TECHNIQUE = "no operation: therapy and learning with the stump as it is"
FACTS_AT_ONCE = 3
SECRET_BYTES = 32
LONGEST_WORK_S = 1.0


@dataclass(slots=True, kw_only=True)
class Person:
    """Somebody at the browser who notes what the server confirmed."""

    chance: random.Random
    film: bytes
    version: int
    """Version of the case as this person knows it."""
    tried: int = 0
    facts: dict[str, dict[str, float]] = field(default_factory=dict)
    """Reason of each confirmed record, and the facts it set."""
    films: dict[str, bytes] = field(default_factory=dict)
    draft: str = ""
    """Draft that was confirmed last."""
    draft_sent: str = ""
    decisions: set[str] = field(default_factory=set)
    papers: set[int] = field(default_factory=set)

    @property
    def confirmed(self) -> int:
        """Return how many changes were confirmed."""
        return len(self.facts) + len(self.films) + len(self.decisions) + len(self.papers)

    def work_until_it_breaks(self, client: httpx2.Client) -> None:
        """Record one thing after the other until the server is gone."""
        acts = (self.record, self.keep_draft, self.upload, self.decide, self.issue)
        try:
            for act in (self.record, self.upload):
                self.tried += 1
                act(client)
            while True:
                (act,) = self.chance.choices(acts, weights=(50, 25, 13, 7, 5))
                self.tried += 1
                act(client)
        except httpx2.TransportError:
            return

    def record(self, client: httpx2.Client) -> None:
        """Record three facts of the hand in one form."""
        facts = {
            "first_web_span_mm": 10 + self.tried % 50,
            "first_web_span_deg": 10 + self.tried % 40,
            "pulp_defect_mm": 1 + self.tried % 20,
        }
        why = f"look {self.tried}"
        form = {f"kept.{name}": str(value) for name, value in facts.items()}
        form |= {"based_on": str(self.version), "why": why}
        answer = client.post(f"{CASE}/hand", data=form)
        assert answer.status_code == 303, answer.text
        assert "3+facts" in answer.headers["location"]
        self.facts[why] = {name: float(value) for name, value in facts.items()}
        self.version += FACTS_AT_ONCE

    def keep_draft(self, client: httpx2.Client) -> None:
        """Keep what is being typed on another page."""
        self.draft_sent = f"sandals {self.tried}"
        form = {"based_on": str(self.version), "feet.footwear": self.draft_sent}
        assert client.post(f"{CASE}/feet/draft", data=form).status_code == 204
        self.draft = self.draft_sent

    def upload(self, client: httpx2.Client) -> None:
        """Send a film that nobody has sent before."""
        name = f"more_{self.tried}.dcm"
        data = self.film[:-64] + self.tried.to_bytes(4, "little") * 16
        files = [("files", (name, data, "application/dicom"))]
        answer = client.post(f"{CASE}/films", files=files, data={"looked": "true"})
        assert answer.status_code == 303, answer.text
        self.films[name] = data

    def decide(self, client: httpx2.Client) -> None:
        """Record what was chosen."""
        reasons = f"talk {self.tried}"
        form = {"plan_a": TECHNIQUE, "reasons": reasons, "based_on": str(self.version)}
        answer = client.post(f"{CASE}/plan", data=form)
        assert answer.status_code == 303, answer.text
        self.decisions.add(reasons)
        self.version += 1

    def issue(self, client: httpx2.Client) -> None:
        """Issue a paper."""
        answer = client.post(f"{CASE}/papers")
        assert answer.status_code == 303, answer.text
        number = search(r"Paper\+(\d+)\+was", answer.headers["location"])
        assert number is not None
        self.papers.add(int(number[1]))


def _work_and_kill(folder: Path, person: Person) -> None:
    with serving(folder) as server:
        options = {"base_url": server.address, "trust_env": False, "timeout": 60.0}
        with httpx2.Client(**options) as client:  # type: ignore[arg-type]
            assert client.post("/who", data={"name": WHO}).status_code == 303
            killer = threading.Timer(
                person.chance.uniform(0.02, LONGEST_WORK_S), server.process.kill
            )
            killer.start()
            try:
                person.work_until_it_breaks(client)
            finally:
                killer.join()
        server.process.wait(30)


def _demand_all_is_kept(folder: Path, person: Person) -> None:
    """Open the store as the next start does, and hold it against what was confirmed."""
    with closing(Desk(folder, lambda: NOW)) as desk:
        assert list(folder.rglob(f"*{HALF_SUFFIX}")) == []
        assert desk.troubles(read_files=True) == ()
        _demand_history(desk, person)
        _demand_files(desk, person)
        draft = desk.drafts.of_page("girl", "feet", WHO)
        kept = "" if draft is None else draft.answers["feet.footwear"]
        kept = kept if isinstance(kept, str) else kept[0]
        assert kept in (person.draft, person.draft_sent)
        person.draft = kept
        assert desk.cases.case("girl").row.name == "Girl 7"


def _demand_the_case_opens(folder: Path) -> None:
    patient = Desk(folder, lambda: NOW, patience_s=60.0)
    with closing(patient) as desk, visitor(desk, who="") as client:
        answer = client.get(CASE)
        assert answer.status_code == 200
        assert "Girl 7" in answer.text
        assert desk.result(desk.cases.case("girl")).paper is not None


def _demand_history(desk: Desk, person: Person) -> None:
    history = desk.cases.history("girl")
    for why, facts in person.facts.items():
        changes = [change for change in history if change.why == why]
        assert {str(change.path[-1]): change.after for change in changes} == facts
    counts = Counter(one.why for one in history if one.why.startswith("look "))
    assert set(counts.values()) <= {FACTS_AT_ONCE}, "a form was recorded in part, or twice"
    assert person.decisions <= {change.why for change in history}
    version = desk.cases.case("girl").version
    assert version - person.version in (0, 1, FACTS_AT_ONCE), "more than the last was unconfirmed"
    person.version = version


def _demand_files(desk: Desk, person: Person) -> None:
    kept = {one.name for one in desk.files.of_case("girl", "film")}
    assert person.films.keys() <= kept
    if person.films:
        name, sent = next(reversed(person.films.items()))
        _, data = desk.files.read("girl", name)
        assert np.array_equal(read_film(data, name).shown, read_film(sent, name).shown)
    papers = desk.papers.of_case("girl")
    assert person.papers <= {paper.number for paper in papers}
    assert [paper.number for paper in papers] == list(range(len(papers), 0, -1))
    for paper in papers[:2]:
        assert desk.kept.read(paper.pdf_sha256).startswith(b"%PDF")


@pytest.mark.parametrize(
    ("seed", "kills"),
    [(1, 6), *(pytest.param(seed, 10, marks=pytest.mark.long) for seed in range(2, 22))],
)
def test_everything_confirmed_outlives_a_kill(tmp_path: Path, seed: int, kills: int) -> None:
    with demo_desk(tmp_path) as desk:
        _, film = desk.files.read("girl", "hand_left.dcm")
        version = desk.cases.case("girl").version
    chance = random.Random(seed)  # noqa: S311  no secret hangs on it
    person = Person(chance=chance, film=film, version=version)
    for turn in range(1, 4 * kills):
        _work_and_kill(tmp_path, person)
        _demand_all_is_kept(tmp_path, person)
        # A slow machine confirms less before each kill and needs more turns.
        if turn >= kills and person.confirmed > kills and person.facts and person.films:
            break
    _demand_the_case_opens(tmp_path)
    assert person.confirmed > kills, "too little was confirmed to prove anything"
    assert person.facts
    assert person.films


@pytest.mark.parametrize("kills", [2, pytest.param(40, marks=pytest.mark.long)])
def test_a_store_opens_after_a_kill_while_it_was_being_made(tmp_path: Path, kills: int) -> None:
    chance = random.Random(kills)  # noqa: S311  no secret hangs on it
    for number in range(kills):
        folder = tmp_path / str(number)
        with started(folder) as server:
            until = time.monotonic() + 60
            while not (folder / "store").exists() and time.monotonic() < until:
                time.sleep(0.001)
            time.sleep(chance.uniform(0.0, 0.25))
            server.kill()
        with closing(Desk(folder, lambda: NOW)) as desk:
            assert desk.troubles(read_files=True) == ()
            assert desk.cases.cases() == ()
        assert len(unit_secret(folder)) >= SECRET_BYTES


def test_a_secret_whose_writing_was_cut_short_is_drawn_again(tmp_path: Path) -> None:
    (tmp_path / "store").mkdir()
    (tmp_path / "store" / "secret").touch()
    secret = unit_secret(tmp_path)
    assert len(secret) >= SECRET_BYTES
    assert unit_secret(tmp_path) == secret
