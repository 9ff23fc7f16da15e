"""What of a photo measuring again needs, as the record holds it."""

from typing import ClassVar

from ellwand.sitting.part import Part

PointPx = tuple[float, float]


class TracedReferenceEntry(Part):
    """A reference object, but for its corners."""

    named_by: ClassVar[tuple[str, ...]] = ("name",)

    name: str
    """What it is."""
    width_mm: float
    """Extent across, as it hangs."""
    height_mm: float
    """Extent up, as it hangs."""
    u_px: float
    """Standard uncertainty of a corner."""


class TracedEntry(Part):
    """Edges of the trunk row by row, and what else places them."""

    focal_35mm: float | None = None
    """As the camera wrote it."""
    first_row_px: float
    """First row of the edges."""
    row_step_px: float
    """From row to row, downwards."""
    left_px: tuple[float | None, ...]
    """Left edge by row; null where it is not seen."""
    right_px: tuple[float | None, ...]
    """Right edge by row, likewise."""
    unclear_left: tuple[int, ...] = ()
    """Numbers of the rows, from 0, in which the left edge is no step of colour."""
    unclear_right: tuple[int, ...] = ()
    """The same of the right edge."""
    armpits_px: tuple[PointPx, ...] = ()
    """Armpits seen from the front."""
    foot_px: PointPx
    """Lowest point of the feet."""
    references: tuple[TracedReferenceEntry, ...] = ()
    """Each reference object, in the order of `references_px`."""
