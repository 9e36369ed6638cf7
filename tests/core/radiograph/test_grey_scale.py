"""From stored numbers to grey: the standard's own statements, and no step taken twice."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.grey_scale import (
    GreyPath,
    LookUp,
    Rescale,
    StoredNumbers,
    Window,
    WindowFunction,
    grey_tables,
    look_up,
    looked_up,
    whole_range,
    windowed,
)

LINEAR, EXACT, SIGMOID = WindowFunction
UNSIGNED_12 = StoredNumbers(bits=12, signed=False)


def grey(value: float, centre: float, width: float, function: WindowFunction = LINEAR) -> float:
    window = Window(centre=centre, width=width, function=function)
    return float(windowed(np.array([value]), window, lowest=0, highest=255)[0])


def test_a_window_of_width_1_is_a_step_just_below_its_centre() -> None:
    # PS3.3 C.11.2.1.2.1: centre 0, width 1 gives the lowest output at or below -0.5, else highest.
    published_steps = {-1.0: 0.0, -0.5: 0.0, -0.49: 255.0, 0.0: 255.0}
    assert {value: grey(value, 0, 1) for value in published_steps} == published_steps


def test_a_linear_window_of_width_100_around_0_covers_minus_50_to_49() -> None:
    # PS3.3 C.11.2.1.2.1, second statement.
    published_ends = {-51.0: 0.0, -50.0: 0.0, 49.0: 255.0, 50.0: 255.0}
    assert {value: grey(value, 0, 100) for value in published_ends} == published_ends
    assert grey(-49, 0, 100) > 0
    assert grey(48, 0, 100) < 255


@pytest.mark.parametrize(
    ("centre", "width", "function", "value", "by_hand_grey"),
    [
        # The three formulas of PS3.3 C.11.2.1.2.1 and C.11.2.1.3 worked out to four decimals.
        (2048, 4096, LINEAR, 0, 0.0),
        (2048, 4096, LINEAR, 1, 0.0623),
        (2048, 4096, LINEAR, 2047, 127.4689),
        (2048, 4096, LINEAR, 2048, 127.5311),
        (2048, 4096, LINEAR, 4095, 255.0),
        (2048, 4096, EXACT, 2047, 127.4377),
        (2048, 4096, EXACT, 2048, 127.5),
        (2048, 4096, EXACT, 4095, 254.9377),
        (2048, 4096, SIGMOID, 0, 30.3967),
        (2048, 4096, SIGMOID, 2048, 127.5),
        (0, 100, LINEAR, -49, 2.5758),
        (0, 100, LINEAR, 0, 128.7879),
        (0, 100, LINEAR, 48, 252.4242),
        (0, 100, EXACT, -49, 2.55),
        (0, 100, EXACT, 0, 127.5),
        (0, 100, EXACT, 49, 252.45),
        (0, 100, SIGMOID, -49, 31.4841),
        (300, 1500, LINEAR, -450, 0.0),
        (300, 1500, LINEAR, 0, 76.5510),
        (300, 1500, LINEAR, 300, 127.5851),
        (300, 1500, LINEAR, 1000, 246.6644),
        (300, 1500, LINEAR, 1049, 255.0),
        (300, 1500, EXACT, 0, 76.5),
        (300, 1500, SIGMOID, 0, 79.0565),
    ],
)
def test_windows_agree_with_the_formulas_of_the_standard(
    centre: float, width: float, function: WindowFunction, value: float, by_hand_grey: float
) -> None:
    assert grey(value, centre, width, function) == pytest.approx(by_hand_grey, abs=0.00005)


@pytest.mark.parametrize(
    ("width", "function"),
    [(0.5, LINEAR), (0, EXACT), (-1, SIGMOID), (float("nan"), LINEAR), (float("inf"), LINEAR)],
)
def test_a_window_that_the_standard_forbids_is_refused(
    width: float, function: WindowFunction
) -> None:
    with pytest.raises(FilmError, match=r"allowed is a finite centre and a width"):
        Window(centre=0, width=width, function=function)


@given(
    st.floats(-1e300, 1e300),
    st.floats(1, 1e300),
    st.sampled_from(WindowFunction),
)
def test_every_window_rises_from_black_to_white(
    centre: float, width: float, function: WindowFunction
) -> None:
    values = np.linspace(-5000.0, 5000.0, 101)
    window = Window(centre=centre, width=width, function=function)
    shades = windowed(values, window, lowest=0, highest=255)
    assert shades.min() >= 0
    assert shades.max() <= 255
    assert np.all(np.diff(shades) >= 0)


def test_a_table_gives_its_end_entries_outside_its_range() -> None:
    table = LookUp(first=-2, outputs=np.array([9, 8, 7], dtype=np.uint16), bits=8)
    by_hand_outputs = [9.0, 9.0, 8.0, 7.0, 7.0]
    assert looked_up(np.array([-99.0, -2.0, -1.0, 0.0, 99.0]), table).tolist() == by_hand_outputs


@pytest.mark.parametrize(("entries", "bits"), [(0, 8), (4, 7), (4, 17)])
def test_a_table_that_is_none_is_refused(entries: int, bits: int) -> None:
    with pytest.raises(FilmError, match="allowed are 1 to 65,536 entries of 8 to 16 bits"):
        LookUp(first=0, outputs=np.zeros(entries, dtype=np.uint16), bits=bits)


@pytest.mark.parametrize("slope", [0.0, float("nan"), float("inf"), 1e300])
def test_a_slope_that_makes_pixels_alike_or_no_numbers_is_refused(slope: float) -> None:
    with pytest.raises(FilmError, match="allowed are a slope other than 0"):
        Rescale(slope=slope)


def test_signed_numbers_are_read_as_twos_complement() -> None:
    by_hand_numbers = [0, 1, 2, 3, -4, -3, -2, -1]
    assert StoredNumbers(bits=3, signed=True).all.tolist() == by_hand_numbers


def test_monochrome1_is_turned_round_exactly_once_in_both_grids() -> None:
    seen = whole_range(0, 4095)
    plain = grey_tables(GreyPath(stored=UNSIGNED_12, display=seen))
    turned = grey_tables(GreyPath(stored=UNSIGNED_12, display=seen, lowest_is_white=True))
    assert (plain.values[0], plain.values[4095]) == (0, 4095)
    assert (turned.values[0], turned.values[4095]) == (4095, 0)
    assert (plain.shown[0], plain.shown[4095]) == (0, 255)
    assert (turned.shown[0], turned.shown[4095]) == (255, 0)


def test_a_falling_modality_step_and_monochrome1_cancel_out() -> None:
    # Slope -1 makes large stored numbers low values; MONOCHROME1 shows low values light.
    path = GreyPath(
        stored=UNSIGNED_12,
        modality=Rescale(slope=-1, intercept=4095),
        display=whole_range(0, 4095),
        lowest_is_white=True,
    )
    tables = grey_tables(path)
    assert np.array_equal(tables.values[:4096], np.arange(4096))
    assert tables.shown[4095] == 255


def test_padding_is_darkest_whichever_way_round_the_film_is() -> None:
    for turned in (False, True):
        tables = grey_tables(
            GreyPath(
                stored=UNSIGNED_12,
                display=whole_range(0, 4095),
                lowest_is_white=turned,
                padding=(5, 3),
            )
        )
        assert tables.values[3:6].tolist() == [0, 0, 0]
        assert tables.shown[3:6].tolist() == [0, 0, 0]
        assert max(tables.values[2], tables.values[6]) > 0


def test_unused_upper_bits_change_nothing() -> None:
    tables = grey_tables(GreyPath(stored=UNSIGNED_12, display=whole_range(0, 4095)))
    assert tables.values.size == tables.shown.size == 65_536
    assert tables.values[0xF123] == tables.values[0x0123] == 0x123


def test_negative_values_are_shifted_and_keep_their_steps() -> None:
    path = GreyPath(
        stored=StoredNumbers(bits=12, signed=True), display=Window(centre=0, width=4096)
    )
    tables = grey_tables(path)
    assert (tables.values[0x800], tables.values[0], tables.values[0x7FF]) == (0, 2048, 4095)
    assert not tables.squeezed


def test_fractions_and_wide_ranges_are_squeezed_and_that_is_said() -> None:
    for slope in (0.5, 1000.0):
        path = GreyPath(
            stored=UNSIGNED_12, modality=Rescale(slope=slope), display=whole_range(0, 4095)
        )
        tables = grey_tables(path)
        assert tables.squeezed
        assert (tables.values[0], tables.values[4095]) == (0, 65_535)
        assert np.all(np.diff(tables.values[:4096].astype(int)) > 0)


def test_a_voi_table_of_10_bits_fills_the_screens_range() -> None:
    steps = np.array([0, 341, 682, 1023], dtype=np.uint16)
    path = GreyPath(
        stored=StoredNumbers(bits=2, signed=False), display=LookUp(first=0, outputs=steps, bits=10)
    )
    by_hand_shades = [0, 85, 170, 255]
    assert grey_tables(path).shown[:4].tolist() == by_hand_shades


def test_a_film_is_looked_up_pixel_by_pixel() -> None:
    table = np.arange(65_536, dtype=np.uint16)[::-1].copy()
    patterns = np.random.default_rng(7).integers(0, 65_536, (130, 7)).astype(np.uint16)
    assert np.array_equal(look_up(table, patterns), 65_535 - patterns)
