"""Measuring again from what was kept of the photos, with lines put right by hand."""

from collections.abc import Sequence

from ellwand.geometry.sighting import VIEWS, View
from ellwand.girth.move import Move
from ellwand.girth.posterior import REMARKS, estimate
from ellwand.girth.result import Findings, ViewFindings
from ellwand.girth.setup import SetUp
from ellwand.photo.look import Look
from ellwand.photo.traced import look_again


def estimate_again(findings: Findings, setup: SetUp, moves: Sequence[Move]) -> Findings:
    """Estimate as the photos of some findings do, with what the hand has put right.

    Args:
        findings: of the photos; only what was seen in them counts, not what was estimated.
        setup: how they were taken.
        moves: what was moved, in order; none gives what the photos gave at first.

    Raises:
        EntryProblem: a line cannot lie where it was moved to.
        ValueError: too little was kept of the photos.
    """
    views: dict[View, ViewFindings] = {"front": findings.front, "side": findings.side}
    return estimate({view: _look(views[view]) for view in VIEWS}, setup, moves=moves)


def _look(view: ViewFindings) -> Look:
    if view.traced is None:
        raise ValueError("too little was kept of the photos")
    return look_again(
        (view.width_px, view.height_px),
        view.traced,
        view.landmarks_px,
        view.references_px,
        view.outline_px,
        tuple(one for one in view.problems if one.code not in REMARKS),
    )
