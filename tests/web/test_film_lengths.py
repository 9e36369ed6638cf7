"""Lengths follow the points while they move."""

from playwright.sync_api import Page
from tests.web.film_bench import Workbench, mark


def test_live_points_are_sent_one_at_a_time_and_the_newest_wins(
    page: Page, bench: Workbench
) -> None:
    bench.open_gate.clear()
    before = len(bench.live)
    mark(page, "metacarpal_head").focus()
    for _ in range(12):
        page.keyboard.press("ArrowUp")
    assert page.get_by_text("Working out the lengths.").is_visible()
    bench.open_gate.set()
    # 700 - 448 rows of 0.2 mm each
    page.get_by_text("50.4 mm ± 0.4 mm").wait_for()
    assert bench.most_at_once == 1
    assert len(bench.live) - before == 2
    points = bench.live[-1]["points"]
    assert isinstance(points, list)
    assert points[1] == {"name": "metacarpal_head", "col": 300, "row": 448, "state": "placed"}
    assert "50.4 mm" in page.locator(".tf-said").all_text_contents()
    assert set(bench.marks) == {"a-mark"}


def test_the_end_of_a_movement_is_spoken_once_with_the_lengths_that_changed(page: Page) -> None:
    spoken = page.locator("[aria-live=polite]")
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowUp")
    assert spoken.inner_text() == ""
    by_hand = (
        "Metacarpal head, column 300.0, row 450.0, placed. First metacarpal: 50.0 mm ± 0.4 mm."
    )
    page.get_by_text(by_hand, exact=True).wait_for()


def test_points_the_workbench_cannot_measure_leave_the_old_lengths_marked(
    page: Page, bench: Workbench
) -> None:
    bench.live_code = 422
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowUp")
    by_hand = (
        "Two ends of a bone fall together. These lengths belong to the points before the last move."
    )
    page.get_by_text(by_hand, exact=True).wait_for()
    assert "tf-stale" in (page.locator(".tf-lengths").get_attribute("class") or "")
    assert page.get_by_text("48.0 mm ± 0.4 mm").is_visible()
