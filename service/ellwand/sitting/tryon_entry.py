"""A try-on as the record holds it: what was seen, and what that says of the next pattern."""

from ellwand.sitting.part import Part
from ellwand.sitting.typed import Typed
from ellwand.sizing.block import EaseLevel
from ellwand.sizing.learnt import Known, Way
from ellwand.sizing.tryon import Finding, FindingCode, TryOnLevel
from ellwand.sizing.worn import Made, Sewn


class TryOnFinding(Part):
    """What was seen at a try-on."""

    code: FindingCode
    """Kind of finding."""
    level: TryOnLevel | None = None
    """Where, for the kinds that have a level."""
    by: Typed | None = None
    """Girth that was pinched or is lacking, where it was measured."""

    def finding(self) -> Finding:
        """The finding as the size engine takes it."""
        return Finding(self.code, self.level, None if self.by is None else self.by.mm)


class TryOnGirth(Part):
    """What the garment had at one level, and what the try-on showed of it."""

    added_mm: float
    """Girth beyond the size as drafted when it was tried on, in millimetres."""
    let_out_mm: float = 0.0
    """How much of that had come out of the seam allowance."""
    gain_mm: float = 0.0
    """Girth that its seams were asked to give then, below zero to take in."""
    way: Way | None = None
    """How it sat, None where the try-on said nothing of the level."""
    girth_mm: float | None = None
    """Body girth that the pattern should be drafted for, None where nothing was said."""
    known: Known | None = None
    """Where that comes from; what was not measured is a least where snug, a most where loose."""
    taped_mm: float | None = None
    """Her girth by tape at that time, None where there was none."""

    def altered(self) -> Sewn:
        """What the garment has once its seams gave what they were asked for."""
        return Sewn(self.added_mm + self.gain_mm, self.let_out_mm + self.gain_mm)


class TryOnEntry(Part):
    """One try-on; it is never removed, and a later one stands behind it."""

    garment: str
    """The garment's name in its block."""
    block: str
    """The block that it was cut from."""
    size: str
    """The size that it was cut in at the bust."""
    made: Made
    """Cut by the size decision, in the chosen size without its changes, altered, or untold."""
    over: str | None = None
    """What it was worn over, in her words."""
    findings: tuple[TryOnFinding, ...]
    """What was seen."""
    girths: dict[EaseLevel, TryOnGirth]
    """By level, what it had and what was shown."""
