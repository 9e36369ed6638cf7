"""Drawings: well formed, labels safe and beside the film, pictures the same each time."""

from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from thumbwright.core.foundations.errors import FilmError
from thumbwright.documents.figures import (
    FILM_WIDTH,
    TOP,
    CircleMark,
    LineMark,
    Mark,
    PointMark,
    Role,
    ScaleBar,
    film_drawing,
)
from thumbwright.documents.film_picture import LONGEST_PX, Window, film_jpeg, window_around
from thumbwright.documents.label_column import Label, placed
from thumbwright.documents.measured_rows import ScaleBone, ScaleColumn
from thumbwright.documents.paper_parts import printed_share
from thumbwright.documents.plan_content import LevelShare
from thumbwright.documents.plan_figures import level_bars, scale_drawing, scale_picture

NAMES = {"svg": "http://www.w3.org/2000/svg"}
WINDOW = Window(left=100, top=200, width=300, height=500)
HOSTILE = "<b>&\"'</b> #panic() ]]> &amp; \x00\x1b \ud800 \ufffe ש"


def _parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing, made a moment ago


def _texts(svg: str) -> list[str]:
    return [node.text or "" for node in _parsed(svg).iterfind(".//svg:text", NAMES)]


def _film() -> NDArray[np.uint8]:
    return np.add.outer(np.arange(900), np.arange(700)).astype(np.uint8)


def _every_mark(label: str) -> list[Mark]:
    return [
        LineMark(start=(150, 300), end=(160, 600), role=Role.BONE_AXIS, label=label),
        LineMark(start=(110, 400), end=(200, 400), role=Role.JOINT_LINE, label=label),
        LineMark(start=(110, 500), end=(200, 510), role=Role.CUT_LINE, label=label, doubt_px=5),
        PointMark(at=(250, 650), label=label),
        CircleMark(centre=(300, 300), radius_px=40, label=label),
        ScaleBar(length_mm=10, mm_per_px=0.1),
    ]


def test_hostile_labels_stay_text() -> None:
    svg = film_drawing(WINDOW, _every_mark(HOSTILE), side=HOSTILE, title=HOSTILE)
    root = _parsed(svg)
    assert root.find(".//svg:b", NAMES) is None
    assert sum("#panic()" in text for text in _texts(svg)) == 6


@given(st.text())
def test_any_label_gives_a_well_formed_drawing(label: str) -> None:
    _parsed(film_drawing(WINDOW, _every_mark(label), side=label, title=label))
    column = ScaleColumn(title=label, bones=(ScaleBone(name=label, label=label, length_mm=9.0),))
    _parsed(scale_drawing([column], title=label))
    share = LevelShare(level=label, prob=printed_share(0.3))
    _parsed(level_bars([share], title=label))


def test_a_drawing_says_what_it_shows_and_which_side() -> None:
    root = _parsed(film_drawing(WINDOW, (), side="LEFT foot", title="the cut"))
    assert (root.get("role"), root.get("aria-label")) == ("img", "the cut")
    assert root.findtext("svg:title", namespaces=NAMES) == "the cut"
    assert _texts(film_drawing(WINDOW, (), side="LEFT foot"))[0] == "LEFT foot"


def test_a_pixel_is_drawn_where_it_lies_in_the_window() -> None:
    window = Window(left=100, top=200, width=300, height=400)
    svg = film_drawing(window, [PointMark(at=(249.5, 399.5))], side="LEFT foot")
    path = _parsed(svg).findall(".//svg:g/svg:path", NAMES)[0].get("d")
    # by hand: the middle of a window 300 pixels wide, drawn 600 units wide, is at 300 units;
    # row 399.5 + 0.5 is 200 pixels below the window's top, 400 units below the film's.
    by_hand_x, by_hand_y = FILM_WIDTH / 2, TOP + 400
    assert path == (
        f"M{by_hand_x - 11:g} {by_hand_y:g}L{by_hand_x + 11:g} {by_hand_y:g}"
        f"M{by_hand_x:g} {by_hand_y - 11:g}L{by_hand_x:g} {by_hand_y + 11:g}"
    )


def test_kinds_of_line_differ_without_colour() -> None:
    marks = [LineMark(start=(110, 300), end=(200, 300), role=role) for role in Role]
    lines = _parsed(film_drawing(WINDOW, marks, side="LEFT foot")).findall(
        ".//svg:g/svg:path", NAMES
    )
    looks = {(line.get("stroke-dasharray"), line.get("stroke-width")) for line in lines[1::2]}
    assert len(looks) == len(Role)


def test_each_light_stroke_lies_on_a_dark_one_that_is_wider() -> None:
    lines = _parsed(film_drawing(WINDOW, _every_mark(""), side="LEFT foot")).findall(
        ".//svg:g/svg:path", NAMES
    )
    drawn = [line for line in lines if not (line.get("d") or "").endswith("Z")]
    for dark, light in zip(drawn[::2], drawn[1::2], strict=True):
        assert dark.get("d") == light.get("d")
        assert float(dark.get("stroke-width", 0)) > float(light.get("stroke-width", 0))


def test_the_scale_bar_has_the_length_it_names() -> None:
    window = Window(left=0, top=0, width=300, height=400)
    svg = film_drawing(window, [ScaleBar(length_mm=10, mm_per_px=0.2)], side="LEFT foot")
    # by hand: 10 mm are 50 pixels, drawn at 2 units a pixel
    assert any("H100" in (path.get("d") or "") for path in _parsed(svg).iter())
    assert "10 mm at the bones" in _texts(svg)


def test_labels_do_not_cover_each_other_and_stay_in_their_order() -> None:
    labels = [Label(text=f"label {count} of some length", anchor=(0, 300)) for count in range(9)]
    column = placed(labels, width=200, size=20, top=0, bottom=400)
    assert [label.text for label in column] == [label.text for label in labels]
    for upper, lower in pairwise(column):
        assert upper.bottom <= lower.top
    assert column[0].top >= 0


def test_labels_stand_at_what_they_name_where_there_is_room() -> None:
    label = placed([Label(text="tip", anchor=(0, 100))], width=200, size=20, top=0, bottom=400)[0]
    assert label.middle == pytest.approx(100)
    low = placed([Label(text="tip", anchor=(0, 399))], width=200, size=20, top=0, bottom=400)[0]
    assert low.bottom == pytest.approx(400)


def test_the_picture_is_the_same_each_time_and_grey() -> None:
    assert film_jpeg(_film(), WINDOW) == film_jpeg(_film(), WINDOW)
    image = Image.open(BytesIO(film_jpeg(_film(), WINDOW)))
    assert (image.format, image.mode, image.size) == ("JPEG", "L", (300, 500))


def test_a_large_film_is_made_smaller_in_its_shape() -> None:
    film = np.zeros((3000, 2000), dtype=np.uint8)
    window = Window(left=0, top=0, width=2000, height=3000)
    image = Image.open(BytesIO(film_jpeg(film, window)))
    assert image.size == (round(2000 * LONGEST_PX / 3000), LONGEST_PX)


@pytest.mark.parametrize(
    "window",
    [
        Window(left=-1, top=0, width=10, height=10),
        Window(left=695, top=0, width=10, height=10),
        Window(left=0, top=0, width=0, height=10),
    ],
)
def test_a_window_over_the_edge_is_refused(window: Window) -> None:
    with pytest.raises(FilmError, match="allowed is a window inside the film of 700 by 900"):
        film_jpeg(_film(), window)


points = st.tuples(st.floats(0, 1999), st.floats(0, 1499))


@given(st.lists(points, min_size=1, max_size=8))
def test_the_window_holds_all_points_and_lies_in_the_film(
    places: list[tuple[float, float]],
) -> None:
    window = window_around(places, film_width=2000, film_height=1500)
    assert 0 <= window.left <= window.left + window.width <= 2000
    assert 0 <= window.top <= window.top + window.height <= 1500
    for column, row in places:
        assert window.left - 0.5 <= column <= window.left + window.width
        assert window.top - 0.5 <= row <= window.top + window.height


def test_without_points_the_whole_film_is_shown() -> None:
    assert window_around((), film_width=20, film_height=30) == Window(
        left=0, top=0, width=20, height=30
    )


def test_the_drawing_to_scale_names_each_bone_with_its_length() -> None:
    toe = ScaleColumn(
        title="LEFT second toe",
        offset_mm=-20,
        bones=(
            ScaleBone(name="second metatarsal", label="metatarsal", length_mm=70.5),
            ScaleBone(name="proximal phalanx", label="proximal phalanx", length_mm=26.0),
        ),
        cut_mm=44.0,
        cut_low_mm=42.0,
        cut_high_mm=46.0,
    )
    stump = ScaleColumn(
        title="RIGHT stump",
        bones=(ScaleBone(name="stretch", label="missing", length_mm=54.0, missing=True),),
    )
    svg = scale_drawing([stump, toe], title="to scale")
    assert {"LEFT second toe", "metatarsal", "70.5 mm", "26.0 mm", "cut"} <= set(_texts(svg))
    assert "second metatarsal 70.5 mm, proximal phalanx 26.0 mm; cut at 44.0 mm" in (
        scale_picture([stump, toe]).alt
    )
    band = _parsed(svg).find(".//svg:rect", NAMES)
    assert band is not None
    # by hand: a band of 4 mm at 4.2 units for a millimetre
    assert float(band.get("height", 0)) == pytest.approx(16.8)


def test_a_bar_is_as_long_as_its_probability() -> None:
    shares = [LevelShare(level="level 3", prob=printed_share(share)) for share in (0.25, 1.0)]
    bars = _parsed(level_bars(shares, title="levels")).findall(".//svg:rect", NAMES)
    widths = [float(bar.get("width", 0)) for bar in bars]
    assert widths[1] == pytest.approx(0.25 * widths[0])
    assert widths[3] == pytest.approx(widths[2])
