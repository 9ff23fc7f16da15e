"""What is kept of a look makes the same look again, to the last figure."""

import json
from dataclasses import asdict

import numpy as np
import pytest

from ellwand.photo.traced import PX_PLACES, as_kept, traced

from ..elliptic_body import EllipticBody, looks

BOTH = looks(EllipticBody())


@pytest.mark.parametrize("view", ["front", "side"])
def test_a_kept_look_is_kept_as_it_is(view):
    once = as_kept(BOTH[view])
    assert traced(as_kept(once)) == traced(once)
    for name in ("rows_px", "left_px", "right_px", "armpits_px", "foot_px", "polygon_px", "clear"):
        again = getattr(as_kept(once).silhouette, name)
        np.testing.assert_array_equal(again, getattr(once.silhouette, name))


@pytest.mark.parametrize("view", ["front", "side"])
def test_keeping_moves_nothing_by_more_than_its_last_figure(view):
    look, kept = BOTH[view], as_kept(BOTH[view])
    for name in ("rows_px", "left_px", "right_px", "foot_px"):
        before, after = (getattr(one.silhouette, name) for one in (look, kept))
        np.testing.assert_allclose(after, before, atol=0.51 * 10.0**-PX_PLACES, equal_nan=True)
    np.testing.assert_array_equal(kept.silhouette.clear, look.silhouette.clear)
    assert kept.focal_35mm == look.focal_35mm
    assert [one.name for one in kept.references] == [one.name for one in look.references]


def test_a_row_without_an_edge_stays_one():
    look = as_kept(BOTH["front"])
    look.silhouette.left_px[3] = np.nan
    look.silhouette.clear[5, 1] = False
    kept = traced(look)
    assert kept.left_px[3] is None
    assert 5 in kept.unclear_right
    # Plain numbers alone, as a file takes them.
    assert json.loads(json.dumps(asdict(kept), allow_nan=False))["left_px"][3] is None
