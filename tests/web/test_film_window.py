"""The window on a film: what is seen of it, how large, and in which greys."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from tests.web.film_bench import Workbench, film_scale, mark, on_film, on_screen, opened, touch


def test_the_picture_fills_the_films_own_pixels(page: Page) -> None:
    # the metacarpal's base lies at row 700 of 800, seven eighths down a picture of half the size
    box = page.locator(".tf-film .tf-picture").bounding_box()
    assert box is not None
    x, y = on_screen(page, "metacarpal_base")
    assert (x - box["x"]) / box["width"] == pytest.approx(300.5 / 600, abs=1e-3)
    assert (y - box["y"]) / box["height"] == pytest.approx(700.5 / 800, abs=1e-3)


def test_two_fingers_and_one_on_empty_film_pan(browser: Browser, bench: Workbench) -> None:
    with opened(browser, bench, touch=True) as page:
        x, y = on_screen(page, "metacarpal_head")
        touch(page, [[(x + 100, y), (x + 180, y)], [(x + 130, y + 20), (x + 210, y + 20)]])
        assert on_screen(page, "metacarpal_head") == pytest.approx((x + 30, y + 20), abs=0.1)
        touch(page, [[(x + 150, y)], [(x + 120, y - 10)], [(x + 90, y - 10)]])
        assert on_screen(page, "metacarpal_head") == pytest.approx((x - 30, y + 10), abs=0.1)


def test_the_wheel_keeps_the_place_under_the_pointer(page: Page) -> None:
    scale = film_scale(page)
    x, y = on_screen(page, "proximal_phalanx_head")
    # the browser tells whole pixels of a wheel, so the pointer stands on one
    pointer_x, pointer_y = round(x) - 3, round(y) + 2
    page.mouse.move(pointer_x, pointer_y)
    page.mouse.wheel(0, -300)
    page.wait_for_function(f"{_JS_SCALE} > {scale * 1.3}")
    grown = film_scale(page) / scale
    by_hand = (pointer_x + grown * (x - pointer_x), pointer_y + grown * (y - pointer_y))
    assert on_screen(page, "proximal_phalanx_head") == pytest.approx(by_hand, abs=0.1)
    assert on_film(page, "proximal_phalanx_head") == (310, 280)


_JS_SCALE = "document.querySelector('.tf-film').getScreenCTM().a"


def test_points_keep_their_size_on_screen_and_a_finger_hits_them(page: Page) -> None:
    for _ in range(2):
        box = mark(page, "metacarpal_head").locator(".tf-reach").bounding_box()
        assert box is not None
        assert (box["width"], box["height"]) == pytest.approx((44, 44), abs=0.01)
        page.locator(".tf-stage").focus()
        for _ in range(4):
            page.keyboard.press("+")


def test_plus_minus_and_buttons_undo_each_other_and_nought_shows_all(page: Page) -> None:
    scale = film_scale(page)
    page.locator(".tf-stage").focus()
    page.keyboard.press("+")
    assert film_scale(page) == pytest.approx(1.25 * scale, rel=1e-3)
    page.get_by_role("button", name="− smaller").click()
    page.get_by_role("button", name="− smaller").click()
    page.get_by_role("button", name="+ larger").click()
    assert film_scale(page) == pytest.approx(scale, rel=1e-3)
    page.get_by_role("button", name="Turn a quarter").focus()
    page.locator(".tf-stage").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("0")
    box = page.locator(".tf-film .tf-picture").bounding_box()
    stage = page.locator(".tf-stage").bounding_box()
    assert box is not None
    assert stage is not None
    assert box["x"] + box["width"] / 2 == pytest.approx(stage["x"] + stage["width"] / 2, abs=0.5)


def test_arrow_keys_on_the_film_itself_pan(page: Page) -> None:
    x, y = on_screen(page, "metacarpal_head")
    page.locator(".tf-stage").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert on_screen(page, "metacarpal_head") == pytest.approx((x - 48, y - 48), abs=0.05)


def test_side_and_view_stay_upright_in_words(page: Page) -> None:
    badge = page.locator(".tf-badge")
    before = badge.bounding_box()
    assert before is not None
    assert "Right hand" in badge.inner_text()
    assert "posteroanterior view" in badge.inner_text()
    page.get_by_role("button", name="Turn a quarter").click()
    page.get_by_role("button", name="Swap black and white").click()
    after = badge.bounding_box()
    assert after is not None
    assert (after["x"], after["y"]) == (before["x"], before["y"])
    assert "turned a quarter to the right" in badge.inner_text()
    assert "black and white swapped" in badge.inner_text()


def test_greys_are_changed_on_the_picture_and_told_in_words(page: Page) -> None:
    page.get_by_label("Brightness").fill("130")
    page.get_by_label("Contrast").fill("80")
    page.get_by_role("button", name="Swap black and white").click()
    filters = page.evaluate("getComputedStyle(document.querySelector('.tf-film image')).filter")
    assert filters == "invert(1) brightness(1.3) contrast(0.8)"
    said = page.get_by_label("Brightness").get_attribute("aria-valuetext")
    assert said == "30 per cent brighter"
    assert page.locator("output").nth(1).inner_text() == "20 per cent flatter"
    page.get_by_role("button", name="Greys as filmed").click()
    assert page.locator("output").all_inner_texts() == ["as filmed", "as filmed"]
    filters = page.evaluate("getComputedStyle(document.querySelector('.tf-film image')).filter")
    assert filters == "none"


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (768, 1024)])
def test_a_barrier_check_finds_nothing(
    browser: Browser, bench: Workbench, width: int, height: int
) -> None:
    with opened(browser, bench, width=width, height=height) as page:
        mark(page, "metacarpal_head").focus()
        page.keyboard.press("ArrowUp")
        page.get_by_role("button", name="Skin tip").click()
        page.get_by_role("button", name="Swap black and white").click()
        found = Axe().run(page)
        assert found.response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
