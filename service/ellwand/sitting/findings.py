"""What the photos gave, to and from the record; numbers are rounded once, on the way in."""

from dataclasses import asdict, fields
from typing import TYPE_CHECKING

from ellwand.girth.joint import Joint
from ellwand.measurements import Estimate
from ellwand.sitting.record import (
    BudgetEntry,
    EstimateEntry,
    FindingsEntry,
    JointEntry,
    PointPx,
    ProblemEntry,
    ScaleEntry,
    ScaleSourceEntry,
    Setup,
    Sitting,
    View,
)
from ellwand.sitting.traced_entry import TracedEntry

if TYPE_CHECKING:
    from ellwand.girth.result import Findings, Scale, ViewFindings
    from ellwand.photo.traced import Traced

# Far below any bound: a hundredth of a millimetre and of a pixel, a millionth of a scale.
MM_PLACES = 2
MM2_PLACES = 3
PX_PLACES = 2
SCALE_PLACES = 6
SHARE_PLACES = 4


def entry_of(findings: "Findings", setup: Setup | None = None) -> FindingsEntry:
    """Findings as the file holds them.

    Args:
        findings: what the photos gave.
        setup: how they were taken.
    """
    difference = findings.bust_difference
    return FindingsEntry(
        estimates={code: _estimate_entry(one) for code, one in findings.estimates.items()},
        front=_view_entry(findings.front),
        side=_view_entry(findings.side),
        scale=_scale_entry(findings.scale),
        joint=_joint_entry(findings.joint),
        bust_difference=_estimate_entry(difference) if difference else None,
        outside=findings.outside,
        # The weight stands in one place, from which it can be taken back.
        setup=setup.model_copy(update={"weight": None}) if setup else None,
    )


def without_outline(record: Sitting) -> Sitting:
    """The sitting as others than she may see it: no outline of her body, and no point on it.

    What follows from them stays: estimates with their doubt, and what was said of the photos.
    """
    found = record.findings
    if found is None:
        return record
    bare: dict[str, object] = {
        "outline_px": (), "landmarks_px": {}, "levels_px": {}, "traced": None,
    }  # fmt: skip
    views = {"front": found.front, "side": found.side}
    blank = {name: view.model_copy(update=bare) for name, view in views.items()}
    blank_findings = found.model_copy(update={**blank, "corrections": ()})
    return record.model_copy(update={"findings": blank_findings})


def findings_of(entry: FindingsEntry) -> "Findings":
    """Findings as the rest of the package takes them."""
    # Imported here because it brings the image libraries along, which `read` and `keep` do without.
    from ellwand.girth.result import Findings, Scale, ScaleSource

    sources = (
        ScaleSource(one.view, one.source, one.mm_per_px, one.u_mm_per_px)
        for one in entry.scale.sources
    )
    return Findings(
        estimates={code: one.estimate(code) for code, one in entry.estimates.items()},
        front=_view_of(entry.front),
        side=_view_of(entry.side),
        scale=Scale(tuple(sources), entry.scale.disagreement_z, entry.scale.agree),
        joint=entry.together(),
        outside=entry.outside,
    )


def _estimate_entry(one: Estimate) -> EstimateEntry:
    return EstimateEntry(
        value_mm=round(one.value_mm, MM_PLACES),
        u_mm=round(one.u_mm, MM_PLACES),
        low_mm=round(one.low_mm, MM_PLACES),
        high_mm=round(one.high_mm, MM_PLACES),
        budget=tuple(
            BudgetEntry(source=part.source, share=round(part.share, SHARE_PLACES))
            for part in one.budget
        ),
        breadth_mm=_round_mm(one.breadth_mm),
        depth_mm=_round_mm(one.depth_mm),
        height_mm=_round_mm(one.height_mm),
    )


def _joint_entry(joint: Joint) -> JointEntry:
    return JointEntry(
        codes=joint.codes,
        mean_mm=tuple(round(mean, MM_PLACES) for mean in joint.mean_mm),
        covariance_mm2=tuple(
            tuple(round(one, MM2_PLACES) for one in row) for row in joint.covariance_mm2
        ),
    )


def _view_entry(view: "ViewFindings") -> View:
    return View(
        width_px=view.width_px,
        height_px=view.height_px,
        outline_px=tuple(_round_px(point) for point in view.outline_px),
        landmarks_px={
            name: (*_round_px((x, y)), round(float(seen), SHARE_PLACES))
            for name, (x, y, seen) in view.landmarks_px.items()
        },
        references_px=tuple(
            tuple(_round_px(point) for point in corners) for corners in view.references_px
        ),
        levels_px={
            code: (_round_px(left), _round_px(right))
            for code, (left, right) in view.levels_px.items()
        },
        problems=tuple(
            ProblemEntry(code=one.code, severity=one.severity, advice=one.advice)
            for one in view.problems
        ),
        traced=_traced_entry(view.traced) if view.traced else None,
    )


def _traced_entry(traced: "Traced") -> TracedEntry:
    """The same fields by the same names; what was traced is rounded already."""
    return TracedEntry.model_validate(asdict(traced))


def _traced_of(entry: TracedEntry) -> "Traced":
    from ellwand.photo.traced import Traced, TracedReference

    kept = {field.name: getattr(entry, field.name) for field in fields(Traced)}
    references = (
        TracedReference(one.name, one.width_mm, one.height_mm, one.u_px) for one in entry.references
    )
    return Traced(**{**kept, "references": tuple(references)})


def _view_of(view: View) -> "ViewFindings":
    from ellwand.girth.result import ViewFindings
    from ellwand.photo.problems import Problem

    return ViewFindings(
        width_px=view.width_px,
        height_px=view.height_px,
        outline_px=view.outline_px,
        landmarks_px=dict(view.landmarks_px),
        references_px=view.references_px,
        levels_px=dict(view.levels_px),
        problems=tuple(Problem(one.code, one.severity, one.advice) for one in view.problems),
        traced=_traced_of(view.traced) if view.traced else None,
    )


def _scale_entry(scale: "Scale") -> ScaleEntry:
    z = scale.disagreement_z
    return ScaleEntry(
        sources=tuple(
            ScaleSourceEntry(
                view=one.view,
                source=one.source,
                mm_per_px=round(one.mm_per_px, SCALE_PLACES),
                u_mm_per_px=round(one.u_mm_per_px, SCALE_PLACES),
            )
            for one in scale.sources
        ),
        disagreement_z=None if z is None else round(z, MM_PLACES),
        agree=scale.agree,
    )


def _round_mm(mm: float | None) -> float | None:
    """A length that may be missing, rounded."""
    return None if mm is None else round(mm, MM_PLACES)


def _round_px(point: PointPx) -> PointPx:
    """A point, rounded; plain floats whatever number type it came in."""
    return round(float(point[0]), PX_PLACES), round(float(point[1]), PX_PLACES)
