"""Shares on a common scale, and what was first seen when."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.drawing import PHONE, draw_first_seen, draw_intervals, wrapped
from registry.methods.drawing.text import LETTER, MARGIN


def test_each_tenth_is_the_same_step_to_the_left():
    chart = draw_intervals([("a", "", (0.001, 0.01, 0.1))])
    (row,) = chart.rows
    assert [tick.text for tick in chart.ticks] == ["1 in 1,000", "1 in 100", "1 in 10", "all"]
    assert (row.x_low, row.x_mark, row.x_high) == pytest.approx([tick.x for tick in chart.ticks[:3]])
    steps = [b.x - a.x for a, b in zip(chart.ticks, chart.ticks[1:], strict=False)]
    assert steps == pytest.approx([steps[0]] * 3)
    assert (chart.ticks[0].x, chart.ticks[-1].x) == (MARGIN, PHONE - MARGIN)


def test_labels_of_the_scale_never_touch_and_its_ends_are_always_told():
    chart = draw_intervals([("a", "", (0.0001, 0.001, 0.1))], width=360)
    assert [tick.text for tick in chart.ticks] == ["1 in 10,000", "", "1 in 100", "1 in 10", "all"]
    shown = [tick.span for tick in chart.ticks if tick.text]
    assert all(left[1] < right[0] for left, right in zip(shown, shown[1:], strict=False))


def test_an_interval_down_to_none_is_open_on_the_left():
    chart = draw_intervals([("a", "", (0.0, 1 / 270, 0.06)), ("b", "", (0.1, 0.2, 0.3))])
    assert [row.open_low for row in chart.rows] == [True, False]
    assert chart.rows[0].x_low == chart.ticks[0].x


def test_without_an_estimate_only_the_words_are_drawn():
    chart = draw_intervals([("a", "no estimate, only finds (3)", None)])
    (row,) = chart.rows
    assert (row.x_low, row.x_mark, row.x_high) == (None, None, None)
    assert row.text == "no estimate, only finds (3)"
    assert len(chart.ticks) == 2


@given(st.lists(st.tuples(*[st.floats(0, 1)] * 3).map(sorted), min_size=1, max_size=8))
def test_every_bar_lies_inside_the_drawing_and_about_its_mark(shares):
    chart = draw_intervals([(str(n), "", tuple(share)) for n, share in enumerate(shares)])
    for row in chart.rows:
        assert MARGIN - 1e-6 <= row.x_low <= row.x_mark <= row.x_high <= PHONE - MARGIN + 1e-6
        assert row.y < row.bar_y < chart.axis_y < chart.height


@pytest.mark.parametrize(
    "share", [(0.2, 0.1, 0.3), (0.1, 0.2, 1.1), (-0.1, 0.2, 0.3), (0.1, float("nan"), 0.3)]
)
def test_numbers_out_of_order_are_refused(share):
    with pytest.raises(ValueError, match="chrome wheels: low, estimate and high"):
        draw_intervals([("chrome wheels", "", share)])


def day(*ymd: int) -> int:
    return date(*ymd).toordinal()


def test_what_was_seen_first_stands_first_and_furthest_left():
    chart = draw_first_seen(
        [
            ("Kelp Runner", day(2025, 2, 1), day(2025, 6, 1)),
            ("Brinewagon", day(2024, 1, 10), day(2024, 9, 1)),
            ("Little Gannet", day(2024, 3, 3), day(2024, 3, 3)),
        ]
    )
    assert [row.label for row in chart.rows] == [("Brinewagon",), ("Little Gannet",), ("Kelp Runner",)]
    assert [row.x_first for row in chart.rows] == sorted(row.x_first for row in chart.rows)
    assert chart.rows[1].x_first == chart.rows[1].x_last
    assert [tick.text for tick in chart.ticks] == ["Jan 2024", "Jul 2024", "Jan 2025", "Jul 2025"]
    assert chart.rows[0].first == date(2024, 1, 10)


def test_months_that_would_touch_on_a_phone_are_named_every_other_one():
    chart = draw_first_seen([("Brinewagon", day(2024, 11, 2), day(2025, 2, 20))], width=360)
    assert [tick.text for tick in chart.ticks] == ["Nov 2024", "", "Jan 2025", "", "Mar 2025"]
    shown = [tick.span for tick in chart.ticks if tick.text]
    assert all(span[1] - span[0] >= 8 * 0.636 * 12 for span in shown), "figures of a wide font at 12 pixels"


@given(st.lists(st.tuples(st.integers(700_000, 750_000), st.integers(0, 9000)), min_size=1, max_size=6))
def test_every_row_lies_between_the_ends_of_the_axis(spans):
    chart = draw_first_seen([(str(n), first, first + more) for n, (first, more) in enumerate(spans)])
    assert 2 <= len(chart.ticks) <= 5
    for row in chart.rows:
        assert chart.ticks[0].x <= row.x_first <= row.x_last <= chart.ticks[-1].x
    assert (chart.ticks[0].anchor, chart.ticks[-1].anchor) == ("start", "end")


def test_nothing_seen_and_a_backward_row():
    assert draw_first_seen([]).rows == ()
    with pytest.raises(ValueError, match="Brinewagon: last seen"):
        draw_first_seen([("Brinewagon", 9, 8)])


@given(st.text(st.sampled_from("ab ,é"), max_size=60), st.integers(30, 200), st.integers(1, 4))
def test_wrapped_text_fits_and_loses_nothing_unsaid(text, width, most):
    lines = wrapped(text, width, most)
    assert len(lines) <= most
    assert all(len(line) * LETTER <= max(width, 2 * LETTER) for line in lines)
    kept = "".join(lines).replace(" ", "")
    everything = "".join(text.split())
    assert kept == everything or (kept.endswith("…") and everything.startswith(kept[:-1]))
