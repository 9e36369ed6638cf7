"""The pages of films at the real workbench, in a browser: mouse, keys, finger, tablet."""

import os
import re
from collections.abc import Iterator
from itertools import combinations, pairwise
from math import hypot
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect
from tests.web.browsing import SIZES, chromium, served, visit
from tests.web.desks import demo_desk
from tests.web.film_bench import touch

SHOTS = Path(os.environ.get("THUMBWRIGHT_SHOTS", "out/screenshots"))
"""Where the pictures of the pages are kept, to be looked at."""
BESIDE = "/cases/girl/beside"
HAND, FOOT = '[file="hand_right.dcm"]', '[file="foot_left.dcm"]'


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with demo_desk(tmp_path_factory.mktemp("films")) as desk, served(desk) as made:
        yield made


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as made:
        yield made


def _shown(page: Page, address: str, path: str) -> None:
    page.goto(f"{address}{path}")
    page.locator(".tf-lengths dd").first.wait_for()
    page.wait_for_load_state("networkidle")


def _looked_at(page: Page, name: str) -> None:
    SHOTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SHOTS / f"{name}.png", full_page=True)
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["target"]) for one in found] == []
    room = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert room <= 0


def _at(page: Page, film: str, name: str) -> tuple[float, float]:
    box = page.locator(f'{film} [data-name="{name}"] .tf-reach').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _row(page: Page, name: str) -> Locator:
    return page.locator(f".tf-carried dt:text-is('{name}') + dd")


def _length_of_bar(page: Page, film: str) -> float:
    way = page.locator(f"{film} .tf-bar-over").get_attribute("points")
    matrix = page.evaluate(f"document.querySelector('{film} .tf-film').getScreenCTM().a")
    assert way is not None
    places = [tuple(map(float, pair.split(","))) for pair in way.split()]
    return float(matrix) * sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(places))


@pytest.mark.parametrize("size", SIZES)
def test_two_films_fit_their_window_in_the_same_millimetres(
    browser: Browser, address: str, size: str
) -> None:
    with visit(browser, address, size) as page:
        _shown(page, address, BESIDE)
        assert "Right hand" in page.locator(f"{HAND} .tf-badge").inner_text()
        assert "dorsoplantar view" in page.locator(f"{FOOT} .tf-badge").inner_text()
        tops = [page.locator(f"{film} .tf-stage").bounding_box() for film in (HAND, FOOT)]
        assert tops[0] is not None
        assert tops[1] is not None
        assert (tops[0]["y"] == tops[1]["y"]) is (size == "desk")
        # one length, drawn on two films, is as long on the screen
        for press in ("Show thumb and toe large", "Show both films whole"):
            page.get_by_role("button", name=press).click()
            by_hand = _length_of_bar(page, HAND)
            assert by_hand > 40
            assert _length_of_bar(page, FOOT) == pytest.approx(by_hand, rel=0.01)
        page.locator(f"{HAND} [aria-label='+ larger']").click()
        assert _length_of_bar(page, HAND) == pytest.approx(1.25 * by_hand, rel=0.01)
        assert _length_of_bar(page, FOOT) == pytest.approx(1.25 * by_hand, rel=0.01)
        page.get_by_role("button", name="Show thumb and toe large").click()
        _looked_at(page, f"{size}_cases_girl_beside")


def test_a_point_dragged_by_mouse_on_the_hand_moves_the_cut_on_the_foot(
    browser: Browser, address: str
) -> None:
    with visit(browser, address) as page:
        _shown(page, address, BESIDE)
        before = _row(page, "Missing length").inner_text()
        bar = page.locator(f"{FOOT} .tf-bar-over").get_attribute("points")
        x, y = _at(page, HAND, "distal_phalanx_tip")
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 20, y + 30, steps=4)
        page.mouse.up()
        expect(_row(page, "Missing length")).not_to_have_text(before)
        expect(page.locator(".tf-headline")).not_to_contain_text(before)
        after = _row(page, "Missing length").inner_text()
        assert float(after.split(" mm")[0]) < float(before.split(" mm")[0])
        assert page.locator(f"{FOOT} .tf-bar-over").get_attribute("points") != bar
        expect(page.locator(f"{FOOT} .tf-said", has_text="mm missing")).to_have_text(
            f"{after.split(' mm', maxsplit=1)[0]} mm missing"
        )


def test_the_foot_is_worked_with_the_keyboard_alone_and_both_rounds_are_saved(
    browser: Browser, address: str
) -> None:
    with visit(browser, address) as page:
        _shown(page, address, BESIDE)
        cut = _row(page, "Cut, left second toe").inner_text()
        page.locator(f"{FOOT} [data-name='second_distal_tip']").focus()
        for _ in range(3):
            page.keyboard.press("Shift+ArrowDown")
        expect(_row(page, "Cut, left second toe")).not_to_have_text(cut)
        page.keyboard.press("Control+z")
        page.locator(f"{HAND} [data-name='skin_tip']").focus()
        page.keyboard.press("ArrowUp")
        # what is saved on one film is no obstacle to saving on the other
        for film in (FOOT, HAND):
            page.locator(f"{film} .tf-save").focus()
            page.keyboard.press("Enter")
            page.locator(f"{film} .tf-message[data-kind=good]").wait_for()


def test_a_finger_moves_a_point_on_a_tablet(browser: Browser, address: str) -> None:
    with visit(browser, address, "tablet") as page:
        _shown(page, address, BESIDE)
        cut = _row(page, "Cut, left second toe").inner_text()
        page.locator(f"{FOOT} .tf-stage").scroll_into_view_if_needed()
        x, y = _at(page, FOOT, "second_distal_tip")
        touch(page, [[(x, y)], [(x + 6, y + 20)], [(x + 6, y + 40)]])
        expect(_row(page, "Cut, left second toe")).not_to_have_text(cut)


@pytest.mark.parametrize("size", SIZES)
def test_words_on_a_whole_film_cover_neither_each_other_nor_points(
    browser: Browser, address: str, size: str
) -> None:
    with visit(browser, address, size) as page:
        _shown(page, address, "/cases/girl/films/foot_left.dcm")
        page.mouse.move(2, 2)
        words = page.locator(".tf-stage text:visible")
        boxes = [box for box in (one.bounding_box() for one in words.all()) if box]
        # sixteen numbers, some lengths, the cut and the bar of millimetres
        assert len(boxes) > 20
        for a, b in combinations(boxes, 2):
            across = min(a["x"] + a["width"], b["x"] + b["width"]) - max(a["x"], b["x"])
            down = min(a["y"] + a["height"], b["y"] + b["height"]) - max(a["y"], b["y"])
            assert across <= 1 or down <= 1
        for ring in page.locator(".tf-point .tf-under .tf-ring:visible").all():
            at = ring.bounding_box()
            assert at is not None
            x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
            assert not any(
                box["x"] < x < box["x"] + box["width"] and box["y"] < y < box["y"] + box["height"]
                for box in boxes
            )


def test_joint_lines_are_proposed_confirmed_moved_and_dismissed(
    browser: Browser, address: str
) -> None:
    film = "/cases/girl/films/foot_right.dcm"
    with visit(browser, address) as page:
        page.route(f"**{film}", _without_most_of_the_second_toe)
        _shown(page, address, film)
        page.get_by_role("button", name="Propose the joint lines of the second toe").click()
        page.get_by_text("None counts until you have looked at it").first.wait_for()
        rows = page.locator(".tf-list [data-state=proposed]")
        count = rows.count()
        assert count == 7
        for words in rows.all_inner_texts():
            assert "proposed, not confirmed, called sure" in words
        mark = page.locator('[data-name="second_middle_base"]')
        assert mark.locator(".tf-over .tf-diamond").is_visible()
        assert not page.get_by_text("Second toe, proximal phalanx").is_visible()
        _looked_at(page, "desk_cases_girl_films_proposed")
        # one is dismissed, one moved and confirmed by key, the sure ones in one go
        page.get_by_role("button", name="Dismiss second skin tip").click()
        expect(rows).to_have_count(count - 1)
        mark.focus()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        expect(rows).to_have_count(count - 2)
        assert mark.locator(".tf-over .tf-cross").is_visible()
        page.get_by_role("button", name=f"Confirm the {count - 2} called sure").click()
        expect(rows).to_have_count(0)
        page.get_by_text("Second toe, proximal phalanx", exact=True).wait_for()
        page.get_by_role("button", name="Save this round").click()
        page.get_by_text("Round 4 is saved").wait_for()


def _without_most_of_the_second_toe(route):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Show the page as it is before anybody has placed the inner points of the second toe."""
    answer = route.fetch()
    kept = "second_metatarsal_base|second_distal_tip"
    point = re.compile(
        rf'("col": )[\d.]+(, "confirmed": \w+, "label": "[\w ]+", "name": "(?!{kept})second_[^}}]*'
        r'"state": )"placed"'
    )
    route.fulfill(response=answer, body=point.sub(r'\1null\2"missing"', answer.text()))


def test_the_ruler_is_laid_by_taps_and_its_scale_follows_at_once(
    browser: Browser, address: str
) -> None:
    with visit(browser, address, refused=True) as page:
        _shown(page, address, "/cases/girl/films/hand_left.dcm")
        scale = page.locator(".tf-scale-now")
        assert "by the ball" in scale.inner_text()
        page.get_by_text("Ball, ruler, heights and tilt").click()
        page.get_by_label("Diameter of the ball [mm]").fill("large")
        page.get_by_role("button", name="Record the scale").click()
        page.get_by_text("Not recorded: 1 field to mend.").wait_for()
        field = page.get_by_label("Diameter of the ball [mm]")
        assert field.get_attribute("aria-invalid") == "true"
        fault = field.get_attribute("aria-describedby")
        assert "a number above 0" in page.locator(f"#{fault}").inner_text()
        _looked_at(page, "desk_cases_girl_films_scale")
        page.get_by_role("button", name="Take the ball away").click()
        expect(scale).to_contain_text("by the header")
        page.get_by_label("Length between its two ends [mm]").fill("70")
        stage = page.locator(".tf-stage").bounding_box()
        assert stage is not None
        for name, share in (("Ruler start", 0.35), ("Ruler end", 0.75)):
            page.get_by_role("button", name=name).click()
            page.mouse.click(
                stage["x"] + stage["width"] * 0.6, stage["y"] + stage["height"] * share
            )
        expect(scale).to_contain_text("by the ruler")
        before = scale.inner_text()
        page.locator('[data-name="ruler_end"]').focus()
        page.keyboard.press("Shift+ArrowUp")
        expect(scale).not_to_have_text(before)


def test_a_scale_is_recorded_and_taken_away_by_keys(browser: Browser, address: str) -> None:
    with visit(browser, address) as page:
        _shown(page, address, "/cases/joiner/films/hand_left.dcm")
        page.locator(".tf-scale summary").focus()
        page.keyboard.press("Enter")
        page.get_by_label("Largest tilt of a bone against the film [degrees]").focus()
        page.keyboard.press("Control+a")
        page.keyboard.type("4")
        page.get_by_text("The scale shown is not recorded yet.").wait_for()
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.get_by_text("Recorded.").wait_for()
        assert page.get_by_text("The scale shown is not recorded yet.").is_hidden()
        page.reload()
        page.locator(".tf-scale summary").click()
        assert page.get_by_label("Largest tilt of a bone").input_value() == "4"
