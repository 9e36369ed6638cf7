"""Points are moved by mouse, keys and fingers, and by nothing else."""

from math import cos, hypot, pi

import pytest
from playwright.sync_api import Browser, Page
from tests.web.film_bench import (
    Place,
    Workbench,
    drag,
    film_scale,
    mark,
    on_film,
    on_screen,
    opened,
    touch,
)


def test_dragging_by_mouse_moves_by_the_film_pixels_dragged_over(page: Page) -> None:
    scale = film_scale(page)
    x, y = on_screen(page, "metacarpal_head")
    # gripped beside its middle, a point keeps its distance from the mouse
    drag(page, (x + 8, y + 5), (x + 8 + 60, y + 5 - 30))
    by_hand_column, by_hand_row = 300 + 60 / scale, 460 - 30 / scale
    assert on_film(page, "metacarpal_head") == pytest.approx(
        (by_hand_column, by_hand_row), abs=0.02
    )
    assert on_screen(page, "metacarpal_head") == pytest.approx((x + 60, y - 30), abs=0.05)


def test_a_trembling_press_moves_no_point_and_gives_it_the_focus(page: Page) -> None:
    x, y = on_screen(page, "metacarpal_head")
    drag(page, (x, y), (x + 1, y + 1))
    assert on_film(page, "metacarpal_head") == (300, 460)
    assert page.evaluate("document.activeElement.dataset.name") == "metacarpal_head"


def test_escape_puts_a_dragged_point_back(page: Page) -> None:
    x, y = on_screen(page, "metacarpal_head")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y)
    assert on_film(page, "metacarpal_head")[0] > 310
    page.keyboard.press("Escape")
    page.mouse.move(x + 80, y)
    page.mouse.up()
    assert on_film(page, "metacarpal_head") == (300, 460)


@pytest.mark.parametrize(
    ("keys", "moved"),
    [
        ("ArrowRight", (1, 0)),
        ("ArrowUp", (0, -1)),
        ("Shift+ArrowLeft", (-10, 0)),
        ("Shift+ArrowDown", (0, 10)),
        ("Alt+ArrowRight", (0.1, 0)),
        ("Alt+ArrowUp", (0, -0.1)),
    ],
)
def test_arrow_keys_move_by_one_ten_or_a_tenth_pixel(page: Page, keys: str, moved: Place) -> None:
    mark(page, "metacarpal_head").focus()
    for _ in range(3):
        page.keyboard.press(keys)
    by_hand = (300 + 3 * moved[0], 460 + 3 * moved[1])
    assert on_film(page, "metacarpal_head") == pytest.approx(by_hand, abs=1e-9)


def test_a_point_says_its_name_place_and_state(page: Page) -> None:
    tip = mark(page, "distal_phalanx_tip")
    assert tip.get_attribute("aria-label") == (
        "Distal phalanx tip, column 320.0, row 150.0, proposed, not confirmed"
    )
    tip.focus()
    page.keyboard.press("Alt+ArrowRight")
    assert tip.get_attribute("aria-label") == (
        "Distal phalanx tip, column 320.1, row 150.0, proposed, not confirmed"
    )


def test_no_point_leaves_the_film(page: Page) -> None:
    mark(page, "metacarpal_base").focus()
    for _ in range(15):
        page.keyboard.press("Shift+ArrowDown")
    assert on_film(page, "metacarpal_base") == (300, 799)


def test_a_finger_drags_a_point_and_the_magnifier_stays_clear_of_it(
    browser: Browser, bench: Workbench
) -> None:
    with opened(browser, bench, touch=True) as page:
        scale = film_scale(page)
        x, y = on_screen(page, "metacarpal_base")
        page.evaluate(
            "window.seen = []; new MutationObserver(() => {"
            "const b = document.querySelector('.tf-loupe-rim').getBoundingClientRect();"
            "const r = b.width / 2; if (r) window.seen.push([b.left + r, b.top + r, r]);"
            "}).observe(document.querySelector('.tf-loupe'), {attributes: true})"
        )
        touch(page, [[(x + 20, y)], [(x + 40, y - 20)], [(x + 68, y - 24)]])
        by_hand = (300 + 48 / scale, 700 - 24 / scale)
        assert on_film(page, "metacarpal_base") == pytest.approx(by_hand, abs=0.02)
        middle_x, middle_y, radius = page.evaluate("window.seen.at(-1)")
        assert hypot(middle_x - (x + 68), middle_y - (y - 24)) > radius + 40
        assert page.locator(".tf-loupe").is_hidden()


def test_two_fingers_zoom_and_shift_no_point(browser: Browser, bench: Workbench) -> None:
    with opened(browser, bench, touch=True) as page:
        scale = film_scale(page)
        x, y = on_screen(page, "metacarpal_head")
        apart = (
            [(x - step, y) for step in (10, 40, 80)],
            [(x + 70 + step, y) for step in (10, 40, 80)],
        )
        touch(page, [list(pair) for pair in zip(*apart, strict=True)])
        assert film_scale(page) == pytest.approx(scale * (70 + 160) / (70 + 20), rel=1e-3)
        assert on_film(page, "metacarpal_head") == (300, 460)


def test_a_second_finger_puts_a_dragged_point_back(browser: Browser, bench: Workbench) -> None:
    with opened(browser, bench, touch=True) as page:
        x, y = on_screen(page, "metacarpal_head")
        first, second = (x + 30, y), (x + 130, y)
        touch(page, [[(x, y)], [first], [first, second], [first, (x + 150, y)]])
        assert on_film(page, "metacarpal_head") == (300, 460)


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_keys_and_mouse_keep_their_direction_on_a_turned_film(page: Page, quarters: int) -> None:
    for _ in range(quarters):
        page.get_by_role("button", name="Turn a quarter").click()
    across = round(cos(quarters * pi / 2))
    x, y = on_screen(page, "metacarpal_head")
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowRight")
    right, level = on_screen(page, "metacarpal_head")
    assert right > x + 2
    assert level == pytest.approx(y, abs=0.05)
    assert on_film(page, "metacarpal_head")[0] == 300 + 10 * across
    drag(page, (right, level), (right, level - 40))
    assert on_screen(page, "metacarpal_head") == pytest.approx((right, level - 40), abs=0.05)


def test_a_missing_point_is_placed_by_a_tap(page: Page) -> None:
    scale = film_scale(page)
    assert mark(page, "skin_tip").is_hidden()
    page.get_by_role("button", name="Skin tip").click()
    x, y = on_screen(page, "distal_phalanx_tip")
    # over another point, too, the tap places the one that was asked for
    page.mouse.click(x, y - 12)
    assert on_film(page, "skin_tip") == pytest.approx((320, 150 - 12 / scale), abs=0.02)
    assert mark(page, "skin_tip").get_attribute("data-state") == "placed"
    assert on_film(page, "distal_phalanx_tip") == (320, 150)


def test_a_missing_point_is_placed_by_keys_in_the_middle_of_the_view(page: Page) -> None:
    page.get_by_role("button", name="Skin tip").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    assert on_film(page, "skin_tip") == (299.5, 399.5)
    assert page.evaluate("document.activeElement.dataset.name") == "skin_tip"
    page.keyboard.press("Control+z")
    assert mark(page, "skin_tip").is_hidden()
