"""From two looked-at photos to estimates with bounds: the whole chain in one function."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ellwand.errors import EntryProblem, PhotoProblem
from ellwand.geometry.camera import focal_px, principal_point
from ellwand.geometry.levels import Level, find_levels
from ellwand.geometry.obliquity import seen_square, true_heights
from ellwand.geometry.pose import least_oblique_deg
from ellwand.geometry.scene import Scene, reconstruct
from ellwand.geometry.sighting import VIEWS, View
from ellwand.girth.hand import Hand, placed
from ellwand.girth.inference import Inferred, infer
from ellwand.girth.joint import joint_of
from ellwand.girth.lengths import estimate_lengths
from ellwand.girth.model import WIDTHS, load_model
from ellwand.girth.move import Move
from ellwand.girth.result import Findings, Scale, ViewFindings
from ellwand.girth.scale import compare, widened
from ellwand.girth.setup import SetUp
from ellwand.girth.shape import Shape, read_shape
from ellwand.language import Noun
from ellwand.measurements import KINDS, LEVELS, Estimate, LevelCode
from ellwand.photo.look import Look
from ellwand.photo.problems import PhotosRefused, Problem, problem
from ellwand.photo.traced import traced

FloatArray = NDArray[np.float64]

# What is said of both photos together, beside what each look says.
REMARKS = ("scale-disagreement", "focal-unknown")
# Farthest from straight ahead that the phone may look at the wall, in the joint solution and by one
# flat object alone, which says it less surely (judged).
_MOST_OBLIQUE_DEG, _MOST_OBLIQUE_ALONE_DEG = 15.0, 22.0


@dataclass(frozen=True, eq=False)
class Worked:
    """What the chain comes to.

    Args:
        scene: cameras and profiles.
        scale: sources of scale.
        levels: where the outlines show the levels.
        shape: what the outlines show there.
        inferred: girths with doubt.
    """

    scene: Scene
    scale: Scale
    levels: Mapping[LevelCode, Level]
    shape: Shape
    inferred: Inferred


@dataclass(frozen=True)
class Written:
    """Focal lengths that the camera wrote into both photos.

    A photo without one may have been taken with another lens, or be a part of what the lens saw;
    the other photo's is then the best guess, and no more.

    Args:
        focal_35mm: of the front photo, or of the side photo when that is the only one; None when
            neither is known.
        zooms: each photo's focal length over it.
        whole: whether both are known.
    """

    focal_35mm: float | None
    zooms: Mapping[View, float]
    whole: bool

    @classmethod
    def of(cls, looks: Mapping[View, Look]) -> "Written":
        """What is written into two photos."""
        front, side = looks["front"].focal_35mm, looks["side"].focal_35mm
        whole = front is not None and side is not None
        return cls(front or side, {"side": side / front} if front and side else {}, whole)


def estimate(
    looks: Mapping[View, Look],
    setup: SetUp,
    progress: Callable[[str], None] = lambda _: None,
    moves: Sequence[Move] = (),
) -> Findings:
    """Estimate girths and lengths.

    Args:
        looks: both photos, neither refused.
        setup: what the customer typed beside them.
        progress: is told each step, in words.
        moves: what she has put right by hand, in the order in which she did.

    Returns:
        Estimates with bounds and budgets, what each photo holds, and the sources of scale.

    Raises:
        PhotosRefused: the phone looked at the wall too obliquely.
        PhotoProblem: an outline is not seen at a level.
        EntryProblem: a level or an end cannot lie where it was moved to.
    """
    worked = work_out(looks, setup, progress, moves=moves)
    heights = _heights(worked.levels, worked.shape.hand)
    inferred, scene = worked.inferred, worked.scene
    remarks = _remarks(worked.scale, setup, Written.of(looks))
    return Findings(
        estimates={
            **{code: _estimate(code, inferred, heights) for code in LEVELS},
            **estimate_lengths(scene, looks, heights),
        },
        joint=joint_of(LEVELS, inferred.found.value, inferred.found.covariance),
        outside=inferred.outside,
        front=_view("front", looks["front"], worked.shape, remarks),
        side=_view("side", looks["side"], worked.shape, remarks),
        scale=worked.scale,
    )


def _heights(levels: Mapping[LevelCode, Level], hand: Hand) -> dict[LevelCode, tuple[float, float]]:
    """Where the levels lie on her, and how surely, mm.

    What lines lie off the levels on average was learnt of lines as they are found; for one that a
    hand has placed it is taken along as doubt.
    """
    tried = load_model().likelihood.tried(levels["waist"].shown).heights
    heights = {}
    for code, level in levels.items():
        off, u = tried[code]
        if code in hand.levels:
            u = float(np.hypot(hand.levels[code], off))
        heights[code] = level.height_mm + off, u
    return heights


def work_out(
    looks: Mapping[View, Look],
    setup: SetUp,
    progress: Callable[[str], None] = lambda _: None,
    living: bool = True,
    moves: Sequence[Move] = (),
) -> Worked:
    """The chain up to the girths.

    Args:
        looks: both photos, neither refused.
        setup: what the customer typed beside them.
        progress: is told each step, in words.
        living: whether she is a woman, who breathes, wears clothes, stands a little turned, and is
            no body of the model; False for bodies, on which the model is tried.
        moves: see `estimate`.

    Raises:
        PhotosRefused: the phone looked at the wall too obliquely.
        PhotoProblem: an outline is not seen at a level.
        EntryProblem: a level or an end cannot lie where it was moved to.
    """
    written = Written.of(looks)
    zooms = {} if setup.focal_35mm else written.zooms
    progress("solving where the phone stood")
    standoffs: dict[View, tuple[float, float]] = {view: setup.standoff(view) for view in VIEWS}
    known = setup.known(written.focal_35mm, written.whole)
    scene = reconstruct(looks, standoffs, known, zooms)
    _refuse_oblique(scene, looks)
    scale = compare(scene)
    scene = widened(scene, scale)
    stature = float(scene.solution.value("stature"))
    model = load_model()
    square = seen_square(scene, model.obliquity)
    found = find_levels(*square, stature, scene.armpit_mm)
    levels = true_heights(found, scene, square, model.obliquity)
    _require(scene, levels)
    levels, hand = placed(levels, moves)
    if moves:
        _require_placed(scene, levels)
    shape = read_shape(scene, square, looks, levels, hand)
    if not living:
        shape = replace(shape, turn_u_deg=0.0)
    progress("estimating girths and their bounds")
    inferred = infer(shape, model, setup.mass_kg, living)
    return Worked(scene, scale, levels, shape, inferred)


def looks_oblique(look: Look, setup: SetUp) -> bool:
    """Whether a photo on its own shows that the phone looked at the wall from far aside.

    Args:
        look: the photo.
        setup: what the customer typed beside it.
    """
    size = look.width_px, look.height_px
    focal = focal_px(setup.known(look.focal_35mm).focal_35mm, *size)
    least = least_oblique_deg(look.references, focal, principal_point(*size))
    return least > _MOST_OBLIQUE_ALONE_DEG


def _unseen(scene: Scene, levels: Mapping[LevelCode, Level]) -> list[LevelCode]:
    """Levels that are not seen in both photos; the high bust need be seen from the side only."""
    unseen = []
    for code, level in levels.items():
        seen_from = (scene.side,) if code == "high_bust" else (scene.front, scene.side)
        if not all(np.isfinite(seen.at(level.height_mm)).all() for seen in seen_from):
            unseen.append(code)
    return unseen


def _require(scene: Scene, levels: Mapping[LevelCode, Level]) -> None:
    """Every level must be seen."""
    if _unseen(scene, levels):
        raise PhotoProblem(
            "outline-not-seen",
            "Your outline is not seen at every level.",
            "Wear something close to the body in another colour than the wall, put your arms "
            "as on the sheet, and take both photos again.",
        )


def _require_placed(scene: Scene, levels: Mapping[LevelCode, Level]) -> None:
    """Every level must be seen where the hand has put it."""
    for code in _unseen(scene, levels):
        raise EntryProblem(
            "level-outside-outline",
            "Your outline is not seen where the {level} would lie.",
            "Move its line by less, to where the outline has both of its ends.",
            level=Noun(KINDS[code].name),
        )


def _refuse_oblique(scene: Scene, looks: Mapping[View, Look]) -> None:
    model, theta = scene.solution.model, scene.solution.theta
    found: dict[View, tuple[Problem, ...]] = {}
    for view in VIEWS:
        yaw, pitch = model.pick(theta, f"{view}.yaw", f"{view}.pitch")
        oblique = np.degrees(np.hypot(yaw, pitch)) > _MOST_OBLIQUE_DEG
        found[view] = looks[view].problems + ((problem("too-oblique"),) if oblique else ())
    if any(p.severity == "refused" for problems in found.values() for p in problems):
        raise PhotosRefused(found)


def _remarks(scale: Scale, setup: SetUp, written: Written) -> tuple[Problem, ...]:
    unknown = setup.focal_35mm is None and not written.whole
    told = dict(zip(REMARKS, (not scale.agree, unknown), strict=True))
    return tuple(problem(code, "warned") for code, holds in told.items() if holds)


def _estimate(
    code: LevelCode, inferred: Inferred, heights: Mapping[LevelCode, tuple[float, float]]
) -> Estimate:
    widths = dict(zip(WIDTHS, inferred.widths_mm, strict=True))

    def width(kind: str) -> float | None:
        return float(widths[code, kind]) if (code, kind) in widths else None

    return replace(
        inferred.found.estimate(LEVELS.index(code), code),
        breadth_mm=width("breadth"),
        depth_mm=width("depth"),
        height_mm=heights[code][0],
    )


def _view(view: View, look: Look, shape: Shape, remarks: tuple[Problem, ...]) -> ViewFindings:
    return ViewFindings(
        width_px=look.width_px,
        height_px=look.height_px,
        outline_px=_points(look.silhouette.polygon_px),
        landmarks_px={
            name: (x, y, look.body.visibility[name])
            for name, (x, y) in look.body.landmarks_px.items()
        },
        references_px=tuple(_points(reference.corners_px) for reference in look.references),
        levels_px={
            code: (_point(ends[0]), _point(ends[1]))
            for code in LEVELS
            if (view, code) != ("front", "high_bust")
            for ends in (shape.ends_px(code, view),)
        },
        problems=look.problems + remarks,
        traced=traced(look),
    )


def _point(xy: FloatArray) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])


def _points(array: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple(_point(xy) for xy in array)
