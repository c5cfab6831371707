"""What is written in a file, value by value, with its line."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.spec.typed import leaves, typed
from rillwright.spec.yaml_source import parse

TEXT = """\
job: x
plates:
  upper:
    holes:
      - {name: a, at: [[1, 2],
          [3, 4]]}
      - name: b
        depth: 5 mm
    size: [1, 2]
"""
NESTED = st.recursive(
    st.integers(), lambda i: st.lists(i, max_size=4) | st.dictionaries(st.text("abc", min_size=1), i, max_size=4)
)


def test_each_value_has_its_line_and_members_their_names() -> None:
    assert {k: (w["value"], w["line"]) for k, w in typed(parse(TEXT, "x.yaml")).items()} == {
        "job": ("x", 1), "plates.upper.holes.a.name": ("a", 5), "plates.upper.holes.a.at.0": ([1, 2], 5),
        "plates.upper.holes.a.at.1": ([3, 4], 6), "plates.upper.holes.b.name": ("b", 7),
        "plates.upper.holes.b.depth": ("5 mm", 8), "plates.upper.size": ([1, 2], 9),
    }  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(NESTED)
def test_every_leaf_is_found_again_by_its_path(data: object) -> None:
    for _, loc, value in leaves(data):
        here: object = data
        for step in loc:
            here = here[step]  # type: ignore[index]
        assert here == value
