"""Places of a drawing, by hand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from witnessmark.desk.machines.plots import HEIGHT, WIDTH, Bound, Point, readings_plot
from witnessmark.forecast.course import Along

WORN = [Point(0, 4.0, "4"), Point(10_000, 2.0, "2")]


def drawn(
    points: list[Point], bounds: list[Bound] | None = None, line: list[Along] | None = None, **more: str
):  # type: ignore[no-untyped-def]
    way = more.get("way", "km on the clock")
    return readings_plot("p", "tread", "words", points, bounds or [], line or [], "mm", way)


def test_readings_stand_where_their_values_are() -> None:
    """Up from 0 to 4 mm over 152 units from 176; across from -400 to 10 400 km over 268 units from 40."""
    plot = drawn(WORN)
    assert [(mark.x, mark.y) for mark in plot.marks] == [
        (round(40 + 268 * 400 / 10_800, 1), 24.0),
        (round(40 + 268 * 10_400 / 10_800, 1), 100.0),
    ]
    assert plot.through == " ".join(f"{mark.x},{mark.y}" for mark in plot.marks)
    assert [label.text for label in plot.up] == ["0", "1", "2", "3", "4"]


def test_a_limit_stands_at_its_value_with_whose_it_is() -> None:
    plot = drawn(WORN, [Bound(1.0, "at least 1 mm: law")])
    assert plot.limits == (176 - 152 / 4,)
    assert "at least 1 mm: law" in [label.text for label in plot.labels]


def test_the_forecast_goes_from_the_last_reading_into_its_band() -> None:
    line = [Along(10_000, 2.0, 1.8, 2.2), Along(15_000, 1.0, 0.6, 1.4)]
    plot = drawn(WORN, [Bound(1.0, "at least 1 mm: law")], line)
    first, last = plot.ahead.split()
    assert first == f"{plot.marks[-1].x},{plot.marks[-1].y}"
    assert last.endswith(f",{plot.limits[0]}")
    assert len(plot.band.split()) == 4


def test_a_forecast_far_ahead_is_cut_and_never_makes_the_readings_small() -> None:
    """Limit met at 20 000; measured over 10 000, so nothing is drawn beyond 25 000."""
    line = [Along(10_000 + 1000 * n, 2.0 - n / 10, 1.5 - n / 5, 2.5) for n in range(91)]
    plot = drawn(WORN, [Bound(1.0, "law")], line)
    assert [label.text for label in plot.up] == ["0", "1", "2", "3", "4"]
    assert len(plot.ahead.split()) == 16


def test_only_what_was_found_on_the_part_now_is_joined() -> None:
    points = [Point(0, 1, "1", "before"), Point(5, 4, "4"), Point(5, 5, "5", "left"), Point(9, 3, "3")]
    plot = drawn(points)
    assert plot.through == f"{plot.marks[1].x},{plot.marks[1].y} {plot.marks[3].x},{plot.marks[3].y}"


def test_the_last_readings_figure_is_there_even_where_others_have_no_room() -> None:
    crowd = [Point(100 + n, 3 + n / 1000, f"3.00{n}") for n in range(30)]
    texts = [label.text for label in drawn([*crowd, Point(5000, 2.5, "2.5")]).labels]
    assert "2.5" in texts
    assert len(texts) < 30


def test_without_distance_the_axis_has_days() -> None:
    points = [Point(739_000, 12.8, "12.8"), Point(739_400, 12.2, "12.2")]
    plot = drawn(points, way="")
    assert [label.text for label in plot.across] == ["Jul 2024", "Jan 2025"]


@given(
    st.lists(
        st.tuples(st.floats(0, 1e6), st.floats(-1e4, 1e4), st.sampled_from(["found", "left", "before"])),
        min_size=1,
        max_size=25,
    ),
    st.lists(st.floats(-1e4, 1e4), max_size=3),
)
def test_nothing_is_drawn_outside_and_labels_never_overlap(
    values: list[tuple[float, float, str]], limits: list[float]
) -> None:
    points = [Point(x, y, f"{y:.3g}", kind) for x, y, kind in values]  # type: ignore[arg-type]
    plot = drawn(points, [Bound(y, "law") for y in limits])
    left, top, right, bottom = plot.frame
    assert all(left <= mark.x <= right and top <= mark.y <= bottom for mark in plot.marks)
    assert all(top <= y <= bottom for y in plot.limits)
    figures = [label for label in plot.labels if label.text != "law"]
    assert all(0 <= label.x <= WIDTH and 0 <= label.y <= HEIGHT for label in figures)
    at = [(label.x, label.y) for label in figures]
    assert len(set(at)) == len(at)
