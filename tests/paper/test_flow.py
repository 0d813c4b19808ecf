"""Pages: nothing lost, nothing over the edge, nothing torn that should hold together."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.paper.flow import Pages, Strip, StripGroup

HEIGHT = 100.0


def strip(height: float) -> Strip:
    return Strip(height, lambda painter, x, y: None)


items = st.lists(
    st.builds(
        lambda heights, space, keep, whole, head: StripGroup(
            [strip(h) for h in heights],
            space=space,
            keep_next=keep,
            whole=whole,
            head=[strip(7.0)] if head else [],
        ),
        st.lists(st.floats(1, 30), min_size=1, max_size=12),
        st.floats(0, 10),
        st.booleans(),
        st.booleans(),
        st.booleans(),
    ),
    max_size=20,
)


@given(items)
def test_every_strip_is_placed_once_in_order_and_on_the_page(flow: list[StripGroup]) -> None:
    pages = Pages(HEIGHT).place_all(flow)
    wanted = [id(s) for item in flow for s in item.strips]
    heads = {id(s) for item in flow for s in item.head}
    placed = [one for page in pages for one in page]
    assert [id(one.strip) for one in placed if id(one.strip) not in heads] == wanted
    for page in pages:
        bottom = 0.0
        for one in page:
            assert one.y >= bottom - 1e-6
            bottom = one.y + one.strip.height
            assert bottom <= HEIGHT + 1e-6
    assert all(pages) or not flow


def test_a_heading_goes_with_what_follows() -> None:
    heading = StripGroup([strip(10)], keep_next=True)
    body = StripGroup([strip(10)] * 5, whole=True)
    pages = Pages(HEIGHT).place_all([StripGroup([strip(80)]), heading, body])
    assert [len(page) for page in pages] == [1, 6]


def test_no_line_is_left_alone() -> None:
    lines = StripGroup([strip(10) for _ in range(8)])
    pages = Pages(HEIGHT).place_all([StripGroup([strip(30)]), lines])
    # Seven lines would fit and leave the eighth alone on the next page: six stay.
    assert [len(page) for page in pages] == [7, 2]


def test_the_head_of_a_table_comes_again_and_the_margin_says_so() -> None:
    head, again = strip(8.0), strip(0.0)
    rows = [StripGroup([strip(20)], head=[head], again=again) for _ in range(6)]
    pages = Pages(HEIGHT).place_all(rows)
    assert len(pages) == 2
    assert pages[1][0].strip is again
    assert pages[1][1].strip is head
    assert pages[1][2].y == 8.0


def test_what_is_higher_than_a_page_is_cut_and_not_lost() -> None:
    tall = StripGroup([strip(30) for _ in range(9)], whole=True)
    pages = Pages(HEIGHT).place_all([StripGroup([strip(50)]), tall])
    assert sum(len(page) for page in pages) == 10


def test_a_picture_is_squeezed_into_what_is_left_but_not_too_far() -> None:
    def picture() -> StripGroup:
        return StripGroup([strip(50)], whole=True, squeeze=strip, squeezed=35.0)

    one = Pages(HEIGHT).place_all([StripGroup([strip(60)]), picture()])
    assert [placed.strip.height for placed in one[0]] == [60, 40]
    two = Pages(HEIGHT).place_all([StripGroup([strip(70)]), picture()])
    assert [len(page) for page in two] == [1, 1]
    assert two[1][0].strip.height == 50


@given(
    st.lists(
        st.tuples(st.floats(2, 30), st.floats(5, 28), st.floats(1, 10), st.integers(1, 8)),
        min_size=1,
        max_size=20,
    )
)
def test_no_label_in_the_margin_touches_the_next(
    sections: list[tuple[float, float, float, int]],
) -> None:
    """Each section: height of a line, of its label, space before it, lines. A label that says that it
    goes on is higher than the few lines that may be left beside it."""
    flow: list[StripGroup] = []
    labels: set[int] = set()
    for line, tall, space, count in sections:
        label, again = strip(tall), strip(2 * tall)
        labels |= {id(label), id(again)}
        for n in range(count):
            first = n == 0
            flow.append(
                StripGroup(
                    [strip(line)],
                    space=space if first else 1.0,
                    label=label if first else None,
                    again=again,
                )
            )
    for page in Pages(HEIGHT).place_all(flow):
        bottom = -1.0
        for one in page:
            if id(one.strip) in labels:
                assert one.y > bottom
                bottom = one.y + one.strip.height
