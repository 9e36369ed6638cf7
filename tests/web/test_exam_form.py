"""The form shows every fact in a native control, tied to its label, hint and fault."""

import shutil
from collections import Counter
from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from jinja2 import Environment, PackageLoader, StrictUndefined

from thumbwright.web.exam_answers import answers_to_edits, by_field, places_in_words
from thumbwright.web.exam_drawing import Mark, MarkKind, drawing_svg
from thumbwright.web.exam_fields import FieldKind
from thumbwright.web.exam_sections import exam_pages, page_of

PAGES = [page.key for page in exam_pages()]
PAGE = """{% import "exam_form.html" as exam %}<!doctype html>
<html lang="en"><head><title>Examination</title></head><body><main><h1>{{ page.title }}</h1>
{{ exam.error_summary(page, answered.faults, words) }}
<form method="post">
{% for section in page.sections %}
{{ exam.section(section, answered["values"], faults, warnings) }}
{% endfor %}
<button>Save</button></form>{{ drawing|safe }}</main></body></html>"""
FAULTY: dict[str, dict[str, list[str]]] = {
    "hand": {
        "kept.two_point_mm": ["abc"],
        "kept.nail": ["kpt"],
        "kept.cmc.present": ["no"],
        "kept.cmc.mobile": ["yes"],
    },
    "fingers": {"fingers.index": ["gone"]},
    "feet": {"feet.footwear": ["x" * 201]},
    "general": {
        "injury.mechanism": ["bite"],
        "patient.birth_date": ["9.3.1985"],
        "patient.needs": ["\nto write\n" + "x" * 201],
        "patient.work": ['"><script>alert(1)</script>'],
    },
    "wishes": {"wishes.goals": ["looks", "wealth"], "wishes.refusals": ["", "any_toe", "pills"]},
}


def rendered(
    key: str, form: Mapping[str, list[str]], table: dict[str, Any], drawing: str = ""
) -> str:
    environment = Environment(
        loader=PackageLoader("thumbwright.web", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    answered = answers_to_edits(key, form, table)
    return environment.from_string(PAGE).render(
        page=page_of(key),
        answered=answered,
        faults=by_field(answered.faults),
        warnings=by_field(answered.warnings),
        words=places_in_words,
        drawing=drawing,
    )


class TreeMaker(HTMLParser):
    """Turns a page into a tree, in which every element was closed by hand or holds nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.builder = ET.TreeBuilder()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open an element."""
        self.builder.start(tag, {name: value or "" for name, value in attrs})
        if tag in {"input", "meta", "link", "br"}:
            self.builder.end(tag)

    def handle_endtag(self, tag: str) -> None:
        """Close it."""
        self.builder.end(tag)

    def handle_data(self, data: str) -> None:
        """Put text into it."""
        self.builder.data(data)


def tree_of(text: str) -> ET.Element:
    maker = TreeMaker()
    maker.feed(text.partition("\n")[2] if text.startswith("<!doctype html>\n") else text)
    maker.close()
    return maker.builder.close()


def attributes(tree: ET.Element, name: str) -> list[str]:
    return [at.attrib[name] for at in tree.iter() if name in at.attrib]


def posted(text: str) -> dict[str, list[str]]:
    """Return what a browser would post of a page that nobody touched."""
    form: dict[str, list[str]] = {}
    for control in tree_of(text).iter():
        if "name" in control.attrib and (value := posted_value(control)) is not None:
            form.setdefault(control.attrib["name"], []).append(value)
    return form


def posted_value(control: ET.Element) -> str | None:
    if control.tag == "select":
        options = list(control.iter("option"))
        chosen = [option for option in options if "selected" in option.attrib] or options
        return chosen[0].attrib["value"]
    if control.tag == "textarea":
        return (control.text or "").removeprefix("\n")
    is_tick = control.attrib["type"] in {"radio", "checkbox"}
    return None if is_tick and "checked" not in control.attrib else control.attrib["value"]


@pytest.mark.parametrize("key", PAGES)
def test_a_faulty_page_sent_again_says_the_same(key: str) -> None:
    again = posted(rendered(key, FAULTY[key], {}))
    first, second = answers_to_edits(key, FAULTY[key], {}), answers_to_edits(key, again, {})
    assert first.faults
    assert second.faults == first.faults
    assert second.edits == first.edits


@pytest.mark.parametrize("key", PAGES)
def test_an_empty_page_sent_as_it_is_changes_nothing(key: str) -> None:
    form = posted(rendered(key, {}, {}))
    answered = answers_to_edits(key, form, {})
    assert answered.edits == ()
    assert answered.faults == ()
    required_radios = {"patient.sex", "injury.side"}
    assert {entry.name for entry in page_of(key).entries} - set(form) <= required_radios


@pytest.mark.parametrize("key", PAGES)
def test_every_control_has_a_label_and_every_tie_ends_somewhere(key: str) -> None:
    tree = tree_of(rendered(key, FAULTY[key], {}))
    ids = Counter(attributes(tree, "id"))
    assert max(ids.values()) == 1
    labelled = {label.get("for") for label in tree.iter("label")}
    controls = [at for at in tree.iter() if "name" in at.attrib and at.get("type") != "hidden"]
    assert {control.get("id") for control in controls} == labelled
    ties = {tie for ties in attributes(tree, "aria-describedby") for tie in ties.split()}
    assert ties <= set(ids)
    assert all(fieldset.find("legend") is not None for fieldset in tree.iter("fieldset"))


@pytest.mark.parametrize("key", PAGES)
def test_the_summary_leads_to_each_fault(key: str) -> None:
    tree = tree_of(rendered(key, FAULTY[key], {}))
    targets = [link.removeprefix("#") for link in attributes(tree, "href")]
    assert set(targets) <= set(attributes(tree, "id"))
    assert len(targets) == len(answers_to_edits(key, FAULTY[key], {}).faults)


def test_a_fault_and_a_contradiction_stand_at_their_field() -> None:
    tree = tree_of(rendered("hand", FAULTY["hand"], {}))
    (box,) = tree.findall(".//input[@name='kept.two_point_mm']")
    assert box.get("value") == "abc"
    assert box.get("aria-invalid") == "true"
    assert "exam-kept-two-point-mm-fault" in box.attrib["aria-describedby"].split()
    (group,) = tree.findall(".//fieldset[@data-field='kept.cmc.mobile']")
    assert group.get("aria-describedby") == "exam-kept-cmc-mobile-warning"
    assert group.get("aria-invalid") is None


def test_not_examined_is_marked_until_somebody_looks() -> None:
    tree = tree_of(rendered("hand", {}, {}))
    radios = tree.findall(".//input[@type='radio']")
    marked = [radio.get("value") for radio in radios if "checked" in radio.attrib]
    choices = [e for e in page_of("hand").entries if e.field.kind is FieldKind.CHOICE]
    assert marked == ["not_examined"] * len(choices)


@pytest.mark.parametrize("key", PAGES)
def test_no_script_and_no_style_stands_in_the_form(key: str) -> None:
    tree = tree_of(rendered(key, FAULTY[key], {}))
    assert {at.tag for at in tree.iter()} & {"script", "style"} == set()
    names = {name for at in tree.iter() for name in at.attrib}
    assert not any(name == "style" or name.startswith("on") for name in names)


@pytest.mark.long
@pytest.mark.parametrize("key", PAGES)
def test_the_form_and_the_drawing_pass_the_rules_of_access(key: str) -> None:
    browser_path = shutil.which("chromium")
    if browser_path is None:
        pytest.skip("no chromium on this machine")
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    drawing = drawing_svg([Mark(kind=MarkKind.SCAR, region="left_hand_palm.first_web")])
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=browser_path, args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page()
        page.set_content(rendered(key, FAULTY[key], {}, drawing))
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
        browser.close()
    assert found.response["violations"] == []
