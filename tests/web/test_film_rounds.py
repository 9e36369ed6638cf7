"""Rounds of points are saved, and what is not saved is never lost."""

from playwright.sync_api import Page
from tests.web.film_bench import Workbench, drag, mark, on_film, on_screen


def test_a_proposed_point_stays_proposed_until_it_is_confirmed(
    page: Page, bench: Workbench
) -> None:
    base, tip = mark(page, "distal_phalanx_base"), mark(page, "distal_phalanx_tip")
    x, y = on_screen(page, "distal_phalanx_tip")
    drag(page, (x, y), (x + 30, y))
    base.focus()
    page.keyboard.press("Shift+ArrowRight")
    assert [one.get_attribute("data-state") for one in (base, tip)] == ["proposed", "proposed"]
    assert tip.locator(".tf-over .tf-diamond").is_visible()
    assert not tip.locator(".tf-over .tf-cross").is_visible()
    page.mouse.move(5, 5)
    assert tip.locator("text").text_content() == "6 proposed"
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Confirm distal phalanx tip").click()
    assert [one.get_attribute("data-state") for one in (base, tip)] == ["placed", "placed"]
    assert tip.locator(".tf-over .tf-cross").is_visible()
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Round 3 is saved.").wait_for()
    assert bench.saved[0]["confirmed"] == ["distal_phalanx_base", "distal_phalanx_tip"]


def test_a_round_is_saved_with_what_it_is_based_on(page: Page, bench: Workbench) -> None:
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowUp")
    page.get_by_text("Not saved yet; kept on this computer.").wait_for()
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Round 3 is saved.").wait_for()
    sent = bench.saved[0]
    assert (sent["based_on"], sent["confirmed"]) == ("round-2", [])
    assert isinstance(sent["points"], list)
    assert len(sent["points"]) == 6
    assert page.get_by_text("3 rounds are saved.").is_visible()
    assert page.locator(".tf-unsaved").is_hidden()
    page.get_by_role("button", name="Save this round").click()
    page.wait_for_function("document.querySelector('.tf-message').dataset.kind === 'good'")
    assert bench.saved[1]["based_on"] == "round-3"
    page.reload()
    page.locator(".tf-lengths dd").first.wait_for()
    assert page.locator(".tf-offer").is_hidden()


def test_what_a_refused_round_held_is_offered_back(page: Page, bench: Workbench) -> None:
    bench.save_code = 409
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.get_by_role("button", name="Save this round").click()
    page.get_by_text("Another round was saved meanwhile.").wait_for()
    page.reload()
    page.get_by_role("button", name="Bring them back").wait_for()
    assert on_film(page, "metacarpal_head") == (300, 460)
    # what is done meanwhile does not overwrite the points on offer
    mark(page, "metacarpal_base").focus()
    page.keyboard.press("ArrowLeft")
    page.get_by_text("Not kept either, until you decide about the older points.").wait_for()
    page.reload()
    page.get_by_role("button", name="Bring them back").click()
    assert on_film(page, "metacarpal_head") == (290, 460)


def test_a_key_pressed_just_before_leaving_is_kept(page: Page) -> None:
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("ArrowLeft")
    page.reload()
    page.get_by_role("button", name="Bring them back").click()
    assert on_film(page, "metacarpal_head") == (299, 460)


def test_points_thrown_away_are_not_offered_again(page: Page) -> None:
    mark(page, "metacarpal_head").focus()
    page.keyboard.press("Shift+ArrowLeft")
    page.get_by_text("Metacarpal head, column 290.0").wait_for()
    page.reload()
    page.get_by_role("button", name="Throw them away").click()
    page.reload()
    page.locator(".tf-lengths dd").first.wait_for()
    assert page.locator(".tf-offer").is_hidden()
    assert on_film(page, "metacarpal_head") == (300, 460)
