"""The chart is well-formed, inside its frame, and tells its lines apart without colour."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.sheet.picture import HEIGHT, WIDTH, svg
from assistant.sheet.record import Chart, Line

NAMES = st.text(max_size=60)
SHARES = st.one_of(st.none(), st.floats(0, 1))


@st.composite
def charts(draw):
    """Any chart that could come up, and some that could not."""
    count = draw(st.integers(1, 40))
    lines = draw(st.lists(st.tuples(NAMES, st.lists(SHARES, min_size=count, max_size=count)), max_size=7))
    return Chart("c", tuple(str(i) for i in range(count)), tuple(Line(n, tuple(s)) for n, s in lines), ((count // 2, "repair"),))


@given(charts())
def test_any_chart_is_well_formed_and_stays_inside(chart):
    """It parses as XML, uses only drawing elements, and every point lies inside the frame."""
    made = svg(chart)
    if not chart.lines:
        assert made == ""
        return
    root = ElementTree.fromstring(made)
    assert {e.tag.rsplit("}", 1)[-1] for e in root.iter()} <= {"svg", "line", "text", "polyline", "polygon", "circle"}
    for element in root.iter():
        for key in ("x", "x1", "x2", "cx"):
            assert 0 <= float(element.get(key, 0)) <= WIDTH
        for key in ("y", "y1", "y2", "cy"):
            assert 0 <= float(element.get(key, 0)) <= HEIGHT
        for pair in element.get("points", "").split():
            x, y = map(float, pair.split(","))
            assert 0 <= x <= WIDTH and 0 <= y <= HEIGHT
        assert not any(k.startswith("on") or "href" in k for k in element.keys())


def test_names_never_stand_on_one_another():
    """Five lines that end at the same place have their names one under the other."""
    chart = Chart("c", ("start", "1"), tuple(Line(f"fault {i}", (0.1, 0.2)) for i in range(5)))
    texts = [e for e in ElementTree.fromstring(svg(chart)).iter() if e.tag.endswith("text") and "fault" in (e.text or "")]
    heights = sorted(float(e.get("y")) for e in texts)
    assert len(heights) == 5 and all(b - a >= 13.9 for a, b in zip(heights, heights[1:]))


def test_lines_differ_in_more_than_colour():
    """Each of the five has its own dash or point, so that a copy in black and white can be read."""
    chart = Chart("c", ("start", "1"), tuple(Line(f"fault {i}", (0.1 * i, 0.2 * i)) for i in range(5)))
    dashes = re.findall(r"<polyline[^>]*?stroke-width=\"2\"( stroke-dasharray=\"[^\"]+\")?/>", svg(chart))
    assert len(set(dashes)) == 5


def test_a_fault_that_falls_off_breaks_its_line():
    """Where a fault did not exist on the machine there is no line, and it is not drawn as nought."""
    made = svg(Chart("c", ("start", "1", "2", "3"), (Line("a", (0.5, 0.4, None, 0.3)),)))
    assert made.count("<polyline") == 1 and made.count("<circle") == 4  # three points and the one beside the name


@pytest.mark.parametrize(("highest", "top"), [(0.07, "8"), (0.23, "25"), (0.42, "50"), (0.97, "100")])
def test_the_scale_ends_at_a_round_number(highest, top):
    """The upper end is the next grid line above the highest point, never more than 100."""
    labels = re.findall(r'text-anchor="end"[^>]*>(\d+)<', svg(Chart("c", ("start", "1"), (Line("a", (0.01, highest)),))))
    assert labels[-1] == top and len(labels) <= 6
