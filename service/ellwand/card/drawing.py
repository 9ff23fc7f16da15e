"""Her outline as a drawing for the card: neck to thighs, smoothed, like a tailor's dummy.

Only the customer decides whether it is on her card. There is no head in it: it ends below the chin.
Lengths are in spans, the distance from the full bust to the full hip, so that both views have one
scale whatever the photos' was.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ellwand.measurements import LEVELS, LevelCode
from ellwand.sitting import FindingsEntry, View

Point = tuple[float, float]

# All of these are judged by eye on the demo photos. The chin is about a third of the way from the
# nose down to the shoulders; the cut is well below it.
_NECK_SHARE = 0.6
_THIGH_SPANS = 0.35
# Beside the shoulders: upper arms are in it, hands are not.
_BESIDE_SHARE = 0.25
_BESIDE_SPANS = 0.35
# A span is about 45 cm; the smoothing takes folds of cloth of a few centimetres.
_STEP_SPANS, _SMOOTH_SPANS = 0.01, 0.02
_FEWEST_POINTS = 5
_PLACES = 3


@dataclass(frozen=True)
class DrawnLevel:
    """A level in a drawing.

    Args:
        code: the level.
        y: its height, downwards from the neck.
        ends: both ends on the outline, from the left.
    """

    code: LevelCode
    y: float
    ends: tuple[float, float]


@dataclass(frozen=True)
class DrawnView:
    """Her outline from one side, in spans.

    Args:
        width: of the drawing.
        strokes: lines to be drawn, x from the left and y downwards from the neck.
        levels: from the top.
    """

    width: float
    strokes: tuple[tuple[Point, ...], ...]
    levels: tuple[DrawnLevel, ...]


@dataclass(frozen=True)
class BodyDrawing:
    """Her outline from the front and from the side.

    Args:
        height: of both, in spans.
        front: from the front.
        side: from the side.
    """

    height: float
    front: DrawnView
    side: DrawnView


def body_drawing(findings: FindingsEntry) -> BodyDrawing | None:
    """Draw her outline.

    Args:
        findings: of both photos.

    Returns:
        The drawing; None where a photo lacks a level or a landmark that it needs.
    """
    frames = [_frame(view) for view in (findings.front, findings.side)]
    if frames[0] is None or frames[1] is None:
        return None
    front, side = frames[0], frames[1]
    # Both begin at the same height over the full bust, the lower of the two cuts.
    above = min(front.above, side.above)
    height = round(above + 1 + _THIGH_SPANS, _PLACES)
    return BodyDrawing(
        height,
        _drawn(findings.front, front, above, _beside_shoulders(findings.front, front)),
        _drawn(findings.side, side, above, _beside_levels(findings.side, side)),
    )


@dataclass(frozen=True)
class _Frame:
    """How a photo's pixels become spans.

    Args:
        span_px: from the full bust to the full hip.
        bust_px: height of the full bust in the photo, downwards.
        above: how far the cut through the neck is above the full bust, in spans.
    """

    span_px: float
    bust_px: float
    above: float


def _frame(view: View) -> _Frame | None:
    marks = view.landmarks_px
    needed = {"nose", "left_shoulder", "right_shoulder"}
    if not needed <= marks.keys() or not {"full_bust", "full_hip"} <= view.levels_px.keys():
        return None
    bust, hip = (_middle(view.levels_px[code]) for code in ("full_bust", "full_hip"))
    shoulders = (marks["left_shoulder"][1] + marks["right_shoulder"][1]) / 2
    nose = marks["nose"][1]
    if not nose < shoulders < bust < hip:
        return None
    cut = nose + _NECK_SHARE * (shoulders - nose)
    return _Frame(hip - bust, bust, (bust - cut) / (hip - bust))


def _middle(ends: tuple[Point, Point]) -> float:
    return (ends[0][1] + ends[1][1]) / 2


def _beside_shoulders(view: View, frame: _Frame) -> tuple[float, float]:
    """Left and right end of the drawing from the front, in pixels."""
    ends = sorted(view.landmarks_px[f"{side}_shoulder"][0] for side in ("left", "right"))
    levels = _beside_levels(view, frame)
    beside = _BESIDE_SHARE * (ends[1] - ends[0])
    return min(ends[0] - beside, levels[0]), max(ends[1] + beside, levels[1])


def _beside_levels(view: View, frame: _Frame) -> tuple[float, float]:
    """Left and right end of a drawing that holds every level, in pixels."""
    ends = [end[0] for pair in view.levels_px.values() for end in pair]
    beside = _BESIDE_SPANS * frame.span_px
    return min(ends) - beside, max(ends) + beside


def _drawn(view: View, frame: _Frame, above: float, between: tuple[float, float]) -> DrawnView:
    left, right = between
    top = frame.bust_px - above * frame.span_px
    bottom = frame.bust_px + (1 + _THIGH_SPANS) * frame.span_px
    ring = np.asarray(view.outline_px, float).reshape(-1, 2)
    inside = (
        (ring[:, 0] >= left) & (ring[:, 0] <= right) & (ring[:, 1] >= top) & (ring[:, 1] <= bottom)
    )
    origin = np.array([left, top])
    strokes = [_smooth((run - origin) / frame.span_px) for run in _runs(ring, inside)]
    return DrawnView(
        round((right - left) / frame.span_px, _PLACES),
        tuple(stroke for stroke in strokes if stroke),
        _levels(view.levels_px, origin, frame.span_px),
    )


def _levels(
    found: Mapping[str, tuple[Point, Point]], origin: NDArray[np.float64], span_px: float
) -> tuple[DrawnLevel, ...]:
    levels = []
    for code in LEVELS:
        if code in found:
            y = (_middle(found[code]) - origin[1]) / span_px
            low, high = sorted((end[0] - origin[0]) / span_px for end in found[code])
            ends = (round(low, _PLACES), round(high, _PLACES))
            levels.append(DrawnLevel(code, round(y, _PLACES), ends))
    return tuple(levels)


def _runs(ring: NDArray[np.float64], inside: NDArray[np.bool_]) -> list[NDArray[np.float64]]:
    """The parts of a closed polygon that lie inside, each in one piece."""
    if inside.all() or not inside.any():
        return []
    # Begin outside, so that no part goes over the end.
    begin = int(np.flatnonzero(~inside)[0])
    ring, inside = np.roll(ring, -begin, axis=0), np.roll(inside, -begin)
    edges = np.flatnonzero(np.diff(inside.astype(int), append=0))
    return [ring[start + 1 : end + 1] for start, end in edges.reshape(-1, 2)]


def _smooth(points: NDArray[np.float64]) -> tuple[Point, ...]:
    """A line without the photo's steps and small folds of cloth."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if len(points) < _FEWEST_POINTS or along[-1] < _SMOOTH_SPANS:
        return ()
    even = np.linspace(0, along[-1], max(_FEWEST_POINTS, round(along[-1] / _STEP_SPANS)))
    pair = np.stack([np.interp(even, along, points[:, axis]) for axis in (0, 1)], axis=1)
    smoothed = gaussian_filter1d(pair, _SMOOTH_SPANS / _STEP_SPANS, axis=0, mode="nearest")
    return tuple((round(float(x), _PLACES), round(float(y), _PLACES)) for x, y in smoothed)
