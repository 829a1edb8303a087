"""A soak as the text that is kept with it: whole again, or refused, whatever became of the text."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appliance.activities.soak_plan import Soak
from appliance.activities.soak_text import read_soak, write_soak
from appliance.soaks import find_soak, soak_names
from tests.activities.soaked import SOAK

TEXT = write_soak(SOAK)


@pytest.mark.parametrize("name", soak_names())
def test_every_soak_comes_back_whole(name: str) -> None:
    """As it was."""
    assert read_soak(write_soak(find_soak(name))) == find_soak(name)


def test_a_pretended_one_too() -> None:
    """With rests and cautions."""
    assert read_soak(TEXT) == SOAK


@given(st.integers(0, len(TEXT)), st.integers(0, len(TEXT)), st.text(max_size=5))
def test_a_damaged_text_is_refused_or_is_a_soak(start: int, end: int, other: str) -> None:
    """Never another error, and never a soak without time."""
    _refused_or_whole(TEXT[:start] + other + TEXT[end:])


@given(st.sampled_from([*json.loads(TEXT)]), st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats() | st.text(max_size=3),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3), max_leaves=5,
))  # fmt: skip
def test_another_value_is_refused_or_is_a_soak(key: str, value: Any) -> None:
    """As above."""
    _refused_or_whole(json.dumps({**json.loads(TEXT), key: value}))


def _refused_or_whole(text: str) -> None:
    try:
        soak = read_soak(text)
    except ValueError:
        return
    assert isinstance(soak, Soak)
    assert soak.total > 0
    assert all(isinstance(phase.seconds, int) for phase in soak.phases)
