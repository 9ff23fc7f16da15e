"""How the photos were taken: what the customer types beside them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ellwand.geometry.sighting import Known, View
from ellwand.photo import sheets
from ellwand.photo.reference import ReferenceKind

# Half-width of the 95 % interval over the standard uncertainty of a normal distribution.
NORMAL_95 = 1.96

# Standoff: none typed means beside her, in her own plane (judged; taken as 95 % bounds).
UNTYPED_STANDOFF_BOUND_MM, TYPED_STANDOFF_BOUND_MM = 40.0, 20.0
# Height as typed: rounded, measured alone, and not quite upright in a photo (judged).
STATURE_U_MM = 9.0
# Focal length: a whole number is written, and the lens differs from its name (judged); typed from
# the phone's description it is as good. Not known: phones' main cameras lie at 23-28 mm (judged).
FOCAL_U, UNKNOWN_FOCAL_35MM, UNKNOWN_FOCAL_U = 0.012, 26.0, 0.08
# A check bar read to half a millimetre (rectangular) over its length; not measured: printers that
# were told "actual size" are off by this much (judged).
CHECK_BAR_U_MM, UNCHECKED_PRINT_U = 0.29, 0.005
# ID-1: 0.15 % (from memory), rectangular.
CARD_U = 0.0015 / np.sqrt(3)


@dataclass(frozen=True)
class SetUp:
    """What the customer says about her photos.

    Args:
        stature_mm: her height.
        reference: kind of the reference object.
        paper: key of `sheets.PAPERS`.
        check_bars_mm: measured lengths of the printed check bars, across and up; None where not
            measured.
        standoffs_mm: value and half-width of its 95 % interval by view; a view that is absent has
            the sheet beside her.
        focal_35mm: typed focal length; None takes what the camera wrote.
        mass_kg: her weight, where she told it; None leaves the prior as wide as the public.
    """

    stature_mm: float
    reference: ReferenceKind
    paper: str = "a4"
    check_bars_mm: tuple[float | None, float | None] = (None, None)
    standoffs_mm: Mapping[View, tuple[float, float]] = field(default_factory=dict)
    focal_35mm: float | None = None
    mass_kg: float | None = None

    def standoff(self, view: View) -> tuple[float, float]:
        """Value and standard uncertainty of a view's standoff, mm."""
        value, bound = self.standoffs_mm.get(view, (0.0, UNTYPED_STANDOFF_BOUND_MM))
        return value, bound / NORMAL_95

    def known(self, written_focal_35mm: float | None, sure: bool = True) -> Known:
        """What is known for both photos together.

        Args:
            written_focal_35mm: what the camera wrote, or None.
            sure: whether it holds for both photos.
        """
        focal = self.focal_35mm or written_focal_35mm
        sure = sure or self.focal_35mm is not None
        across, up, paper_u = self._paper()
        return Known(
            focal_35mm=focal or UNKNOWN_FOCAL_35MM,
            focal_u=FOCAL_U if focal and sure else UNKNOWN_FOCAL_U,
            paper_across=across,
            paper_up=up,
            paper_u=paper_u,
            stature_mm=self.stature_mm,
            stature_u_mm=STATURE_U_MM,
        )

    def _paper(self) -> tuple[float, float, float]:
        """True over nominal size across and up, and its relative standard uncertainty."""
        if self.reference == "id-card":
            return 1.0, 1.0, float(CARD_U)
        if self.reference == "plain-sheets":
            paper = sheets.PAPERS[self.paper]
            return 1.0, 1.0, paper.tolerance_mm / np.sqrt(3) / paper.height_mm
        across, up = self.check_bars_mm
        nominal_across, nominal_up = sheets.CHECK_BAR_ACROSS_MM, sheets.CHECK_BAR_UP_MM
        ratios = (
            across / nominal_across if across else None,
            up / nominal_up if up else None,
        )
        known = [ratio for ratio in ratios if ratio is not None]
        if not known:
            return 1.0, 1.0, UNCHECKED_PRINT_U
        # One bar alone speaks for both directions.
        return (
            ratios[0] or known[0],
            ratios[1] or known[0],
            CHECK_BAR_U_MM / min(nominal_across, nominal_up),
        )
