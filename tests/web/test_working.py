"""A plan that takes long says how far it is; whoever asks for the same joins the computation."""

from collections.abc import Iterator
from pathlib import Path
from threading import Event, Thread
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import demo_desk, visitor
from tests.web.test_in_the_browser import SHOTS

from thumbwright.core.foundations.errors import FilmError
from thumbwright.pathway.plan_case import plan_case
from thumbwright.web import desk as desk_module
from thumbwright.web.desk import STEPS_BESIDE_FILMS, Desk
from thumbwright.web.working import Job, Workroom

PAGES = ("", "/level", "/options", "/plan", "/papers")


class Slow:
    """The walk, which stops before its last step until it is let go on."""

    def __init__(self) -> None:
        self.go_on, self.calls = Event(), 0
        self.walk: Any = plan_case
        self.fault: Exception | None = None

    def __call__(self, *given: Any) -> Any:  # noqa: ANN401  as the walk itself
        """Walk as far as the test allows."""
        self.calls += 1
        *facts, tell = given

        def told(words: str) -> None:
            tell(words)
            if words == "weighing the techniques":
                assert self.go_on.wait(60)
                if self.fault is not None:
                    raise self.fault

        return self.walk(*facts, told)


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> Iterator[Slow]:
    walk = Slow()
    monkeypatch.setattr(desk_module, "plan_case", walk)
    yield walk
    walk.go_on.set()


@pytest.fixture
def desk(tmp_path: Path, slow: Slow) -> Iterator[Desk]:
    with demo_desk(tmp_path, patience_s=0.05) as desk:
        yield desk
        slow.go_on.set()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


def wait_for_step(desk: Desk, words: str) -> Job[Any]:
    job = desk.job(desk.cases.case("girl"))
    assert job is not None
    for _ in range(600):
        if job.said == words:
            return job
        job.ended.wait(0.1)
    msg = f"stopped at {job.said}"
    raise AssertionError(msg)


def test_pages_say_how_far_it_is_and_join_one_computation(desk: Desk, slow: Slow) -> None:
    with visitor(desk) as client:
        for page in PAGES:
            answer = client.get(f"/cases/girl{page}")
            assert answer.status_code == 202
            assert "Being worked out" in answer.text
            assert '<meta http-equiv="refresh" content="1">' in answer.text
        job = wait_for_step(desk, "weighing the techniques")
        films = len(desk.files.of_case("girl", "film"))
        assert (job.step, job.steps) == (films + 4, films + STEPS_BESIDE_FILMS)
        far = client.get("/cases/girl/working").json()
        assert far == {
            "is_ready": False,
            "said": "weighing the techniques",
            "step": films + 4,
            "steps": films + STEPS_BESIDE_FILMS,
        }
        text = client.get("/cases/girl/level").text
        assert f"Step {films + 4} of {films + STEPS_BESIDE_FILMS}: weighing" in text
        assert f'max="{films + STEPS_BESIDE_FILMS}" value="{films + 3}"' in text
        findings = client.get("/cases/girl/hand")
        assert findings.status_code == 200
        assert "being worked out" in findings.text
        slow.go_on.set()
        assert job.ended.wait(60)
        assert job.step == job.steps
        assert client.get("/cases/girl/working").json() == {"is_ready": True}
        for page in PAGES:
            assert client.get(f"/cases/girl{page}").status_code == 200
    assert slow.calls == 1


def test_a_plan_that_cannot_be_worked_out_says_why(desk: Desk, slow: Slow) -> None:
    slow.fault = FilmError("the film is torn; allowed are whole films; film again")
    with visitor(desk) as client:
        assert client.get("/cases/girl/level").status_code == 202
        job = wait_for_step(desk, "weighing the techniques")
        slow.go_on.set()
        assert job.ended.wait(60)
        answer = client.get("/cases/girl/level")
    assert answer.status_code == 200
    assert "the film is torn" in answer.text


def test_a_fault_of_the_program_is_said_and_soon_tried_again(
    desk: Desk, slow: Slow, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow.fault = KeyError("a slip")
    with visitor(desk) as client:
        assert client.get("/cases/girl/level").status_code == 202
        job = wait_for_step(desk, "weighing the techniques")
        slow.go_on.set()
        assert job.ended.wait(60)
        answer = client.get("/cases/girl/level")
        assert answer.status_code == 200
        assert "the program itself is at fault (KeyError)" in answer.text
        slow.fault = None
        monkeypatch.setattr("thumbwright.web.working.AGAIN_AFTER_S", 0.0)
        assert desk.result(desk.cases.case("girl")).paper is not None


def test_a_result_that_is_quick_is_shown_at_once(tmp_path: Path) -> None:
    with demo_desk(tmp_path) as desk, visitor(desk) as client:
        assert client.get("/cases/girl/level").status_code == 200


def test_results_are_worked_out_once_whoever_asks() -> None:
    begun, go_on, calls = [0], Event(), [0]

    def begins() -> None:
        begun[0] += 1

    def ends() -> None:
        begun[0] -= 1

    def work(tell: Any) -> str:  # noqa: ANN401  told and nothing else
        calls[0] += 1
        tell("one")
        assert go_on.wait(60)
        return "done"

    room: Workroom[str] = Workroom(1, begins, ends)
    jobs = [room.begun("a", 1, work, str) for _ in range(5)]
    assert begun == [1]
    go_on.set()
    room.finish()
    assert len({id(job) for job in jobs}) == 1
    threads = [Thread(target=room.begun, args=("a", 1, work, str)) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert room.begun("a", 1, work, str) == "done"
    assert (calls, begun) == ([1], [0])
    room.begun("b", 1, work, str)
    room.finish()
    assert room.begun("b", 1, work, str) == "done"
    assert isinstance(room.begun("a", 1, work, str), Job)
    room.finish()


@pytest.mark.parametrize(("size", "scripts"), [("desk", True), ("tablet", False)])
def test_the_page_shows_the_result_when_it_is_there(
    browser: Browser, desk: Desk, slow: Slow, size: str, *, scripts: bool
) -> None:
    SHOTS.mkdir(parents=True, exist_ok=True)
    with served(desk) as address, visit(browser, address, size, scripts=scripts) as page:
        page.goto(f"{address}/cases/girl/level")
        page.get_by_text("weighing the techniques").wait_for()
        bar = page.get_by_role("progressbar", name="Steps of the plan")
        films = len(desk.files.of_case("girl", "film"))
        assert bar.get_attribute("max") == str(films + STEPS_BESIDE_FILMS)
        page.screenshot(path=SHOTS / f"{size}_working.png", full_page=True)
        if scripts:
            assert Axe().run(page).response["violations"] == []
        slow.go_on.set()
        page.get_by_role("heading", name="Length and level").wait_for(timeout=60_000)
    assert slow.calls == 1
    assert set(SIZES) >= {size}
