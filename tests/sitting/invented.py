"""An invented woman's sitting for tests."""

from ellwand.girth.joint import joint_of
from ellwand.girth.result import Findings, Scale, ScaleSource, ViewFindings
from ellwand.measurements import BudgetShare, Estimate
from ellwand.photo.quality import Problem
from ellwand.quantity import parse_length
from ellwand.sitting import Setup, Typed

GIRTHS_MM = {
    "high_bust": 900.0,
    "full_bust": 950.0,
    "underbust": 800.0,
    "waist": 760.0,
    "high_hip": 920.0,
    "full_hip": 1010.0,
}
SETUP = Setup(
    reference="marker-sheets",
    paper="a4",
    check_bar_across=Typed.of(parse_length("149.6 mm", "cm")),
    standoff_front=Typed.of(parse_length("30", "cm")),
)


def estimate(code: str, value_mm: float, u_mm: float = 20.0) -> Estimate:
    """An estimate of a girth with a normal bound."""
    bound = 1.96 * u_mm
    budget = (BudgetShare("girth model", 0.75), BudgetShare("standoff", 0.25))
    return Estimate(
        code, value_mm, u_mm, value_mm - bound, value_mm + bound, budget, 300.0, 220.0, 1200.0
    )


def findings(
    u_mm: float = 20.0,
    correlation: float = 0.0,
    outside: tuple[str, ...] = (),
    **changed_mm: float,
) -> Findings:
    """What the photos of this woman gave, with some girths changed."""
    girths = {code: estimate(code, mm, u_mm) for code, mm in (GIRTHS_MM | changed_mm).items()}
    length = Estimate("arm_length", 561.2345678, 12.0, 537.5, 584.9, ())
    return Findings(
        estimates={**girths, "arm_length": length},
        front=_view({"waist": ((300.123456, 900.0), (600.0, 900.0))}, ()),
        side=_view({}, (Problem("leaning", "warned", "Stand upright."),)),
        scale=Scale(
            sources=(
                ScaleSource("front", "reference", 0.98765432, 0.0012345678),
                ScaleSource("front", "stature", 0.99, 0.004),
            ),
            disagreement_z=0.5678,
            agree=True,
        ),
        joint=joint_of(
            girths,
            (one.value_mm for one in girths.values()),
            ([u_mm**2 * (1.0 if a == b else correlation) for b in girths] for a in girths),
        ),
        outside=outside,
    )


def _view(
    levels: dict[str, tuple[tuple[float, float], tuple[float, float]]],
    problems: tuple[Problem, ...],
) -> ViewFindings:
    return ViewFindings(
        width_px=3000,
        height_px=4000,
        outline_px=((1.0, 2.0), (3.005, 4.0), (5.55555, 6.0)),
        landmarks_px={"nose": (1500.5, 400.25, 0.999987)},
        references_px=(((1.0, 1.0), (2.0, 1.0), (2.0, 2.0), (1.0, 2.0)),),
        levels_px=levels,
        problems=problems,
    )
