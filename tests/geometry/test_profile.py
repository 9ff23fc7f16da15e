"""Edges seen as scattered points become extents at even heights."""

import numpy as np
import pytest

from ellwand.geometry.profile import STEP_MM, Profile, profile


def edge(x, heights):
    return np.column_stack([np.full(len(heights), x), heights])


def test_two_upright_edges_give_their_distance_at_every_height():
    heights = np.arange(100.0, 400.0, 3.0)
    found = profile(edge(-150.0, heights), edge(170.0, heights[::-1]), 500.0)
    seen = np.isfinite(found.extent_mm)
    assert found.heights_mm[seen].min() == 100.0
    assert found.extent_mm[seen] == pytest.approx(320.0)
    assert found.middle_mm[seen] == pytest.approx(10.0)
    assert found.at(251.0) == (pytest.approx(-150.0), pytest.approx(170.0))
    assert np.isnan(found.at(90.0)).all()


def test_a_short_gap_is_bridged_and_a_long_one_is_not():
    heights = np.arange(0.0, 600.0, 3.0)
    short = np.delete(heights, [50, 51])
    long = heights[(heights < 300) | (heights > 340)]
    assert np.isfinite(profile(edge(0, short), edge(1, short), 590.0).extent_mm).all()
    gap = profile(edge(0, long), edge(1, long), 590.0)
    inside = (gap.heights_mm > 302) & (gap.heights_mm < 338)
    assert np.isnan(gap.extent_mm[inside]).all()


def test_a_single_stray_point_does_not_show():
    heights = np.arange(0.0, 300.0, 2.0)
    low = edge(-100.0, heights)
    low[70, 0] = -400.0
    found = profile(low, edge(100.0, heights), 290.0)
    assert found.extent_mm == pytest.approx(200.0)


def test_between_gives_only_heights_that_are_seen():
    heights = np.arange(0.0, 20.0, STEP_MM)
    seen = Profile(heights, np.where(heights < 10, np.nan, 0.0), np.ones(len(heights)))
    assert heights[seen.between(6.0, 14.0)].tolist() == [10.0, 12.0, 14.0]
