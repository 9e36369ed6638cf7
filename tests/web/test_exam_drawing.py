"""The drawing says left and right in words, and each mark by letter, pattern and text."""

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thumbwright.web.exam_drawing import (
    LONGEST_NOTE,
    Mark,
    MarkError,
    MarkKind,
    drawing_svg,
    marks_in_words,
    region_choices,
)
from thumbwright.web.exam_outlines import CELL_HEIGHT, CELL_WIDTH, VIEWS

SVG = "{http://www.w3.org/2000/svg}"
REGIONS = [name for name, _ in region_choices()]
marks = st.builds(
    Mark,
    kind=st.sampled_from(MarkKind),
    region=st.sampled_from(REGIONS),
    note=st.text(
        st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=LONGEST_NOTE
    ),
)
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["kind", "region", "note", "x"]), inner, max_size=4)
    ),
    max_leaves=5,
)


def regions_of(svg: str) -> dict[str, ET.Element]:
    root = ET.fromstring(svg)  # noqa: S314  written by ourselves a line earlier
    return {at.attrib["data-region"]: at for at in root.iter() if "data-region" in at.attrib}


def middle_of(name: str) -> float:
    return next(r.centre[0] for view in VIEWS for r in view.regions if r.name == name)


def test_both_hands_and_both_feet_are_seen_from_both_sides() -> None:
    assert [view.words for view in VIEWS] == [
        "left hand, palm side",
        "right hand, palm side",
        "left hand, back",
        "right hand, back",
        "left foot, sole",
        "right foot, sole",
        "left foot, top",
        "right foot, top",
    ]


@pytest.mark.parametrize(
    ("view", "by_hand_is_left"),
    [
        # Fingers or toes upwards, as one looks at one's own hand or foot.
        ("left_hand_palm", True),
        ("right_hand_palm", False),
        ("left_hand_back", False),
        ("right_hand_back", True),
    ],
)
def test_the_thumb_points_where_it_points_on_a_hand(view: str, *, by_hand_is_left: bool) -> None:
    is_left = middle_of(f"{view}.thumb_distal") < middle_of(f"{view}.little_finger_distal")
    assert is_left is by_hand_is_left


@pytest.mark.parametrize(
    ("view", "by_hand_is_left"),
    [
        ("left_foot_sole", True),
        ("right_foot_sole", False),
        ("left_foot_top", False),
        ("right_foot_top", True),
    ],
)
def test_the_great_toe_lies_where_it_lies_on_a_foot(view: str, *, by_hand_is_left: bool) -> None:
    is_left = middle_of(f"{view}.great_toe") < middle_of(f"{view}.fifth_toe")
    assert is_left is by_hand_is_left


def test_every_region_is_reached_by_keyboard_and_named_with_its_side() -> None:
    regions = regions_of(drawing_svg([]))
    assert list(regions) == REGIONS
    assert len(REGIONS) == len(set(REGIONS)) > 100
    for name, element in regions.items():
        assert element.tag.endswith("}a")
        assert element.attrib["href"] == f"?region={name}#set"
        assert element.attrib["aria-label"].split()[0] == name.split("_")[0]


def test_every_outline_lies_inside_its_own_cell() -> None:
    for view in VIEWS:
        for region in view.regions:
            numbers = [float(number) for number in re.findall(r"-?[0-9.]+", region.path)]
            assert all(0 <= x <= CELL_WIDTH for x in numbers[::2])
            assert all(0 <= y <= CELL_HEIGHT for y in numbers[1::2])


def test_no_script_and_no_style_stands_in_the_drawing() -> None:
    svg = drawing_svg([Mark(kind=MarkKind.SCAR, region=REGIONS[0], note="<script>")])
    assert "<script" not in svg
    assert "style" not in svg
    assert not re.search(r"\son\w+=", svg)


def test_a_mark_is_seen_by_letter_and_pattern_and_read_in_words() -> None:
    mark = Mark(kind=MarkKind.AMPUTATION, region="left_hand_palm.thumb_distal", note="saw")
    svg = drawing_svg([mark])
    region = regions_of(svg)["left_hand_palm.thumb_distal"]
    label = "left hand, palm side: thumb, distal phalanx, marked: amputation (saw)"
    assert region.attrib["aria-label"] == label
    assert [path.attrib["fill"] for path in region][-1] == "url(#mark-amputation)"
    assert svg.count(">A</text>") == drawing_svg([]).count(">A</text>") + 1


def test_every_kind_has_its_own_letter_and_pattern() -> None:
    assert len({kind.letter for kind in MarkKind}) == len(MarkKind)
    svg = drawing_svg([])
    patterns = re.findall(r'<pattern id="([^"]+)"[^>]*>(.*?)</pattern>', svg)
    assert len({inner for _, inner in patterns}) == len(patterns) == len(MarkKind)


def test_marks_are_listed_in_the_order_of_the_drawing() -> None:
    lines = marks_in_words(
        [
            Mark(kind=MarkKind.ULCER, region="right_foot_sole.heel"),
            Mark(kind=MarkKind.SCAR, region="left_hand_back.first_web", note="burn"),
        ]
    )
    assert lines == [
        "Left hand, back: first web: scar (burn)",
        "Right foot, sole: heel: ulcer",
    ]


@given(marks)
def test_a_mark_written_as_a_table_reads_back(mark: Mark) -> None:
    assert Mark.from_table(mark.to_table()) == mark
    assert regions_of(drawing_svg([mark]))


@given(anything)
def test_anything_else_is_refused_in_words(table: object) -> None:
    try:
        mark = Mark.from_table(table)  # type: ignore[arg-type]
    except MarkError as error:
        assert "allowed" in str(error)  # noqa: PT017  only some of the tables are refused
    else:
        assert mark.region in REGIONS


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("scar", "allowed is a table"),
        ({"kind": "tattoo", "region": REGIONS[0]}, '"tattoo"; allowed are level_of_loss, scar'),
        ({"kind": "scar", "region": "nose"}, 'the region "nose"'),
        ({"kind": "scar"}, "allowed are texts"),
        ({"kind": "scar", "region": REGIONS[0], "note": "x" * 201}, "at most 200"),
        ({"kind": "scar", "region": REGIONS[0], "note": "a\nb"}, "one line"),
        ({"kind": "scar", "region": REGIONS[0], "size": 3}, '"size"; allowed are kind'),
    ],
)
def test_a_faulty_mark_is_refused_with_what_is_allowed(table: object, words: str) -> None:
    with pytest.raises(MarkError, match=words):
        Mark.from_table(table)  # type: ignore[arg-type]
