"""The workroom's base pattern: what sizes there are and which body each is drafted for."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from ellwand.sizing.cups import CUP_LETTERS

Fabric = Literal["woven", "drapey-woven", "knit"]
FABRICS: tuple[Fabric, ...] = ("woven", "drapey-woven", "knit")

LengthName = Literal["petite", "regular", "tall"]
LENGTH_NAMES: tuple[LengthName, ...] = ("petite", "regular", "tall")

Seam = Literal["plain", "french"]
SEAMS: tuple[Seam, ...] = ("plain", "french")

Cuff = Literal["none", "opens", "closed"]
CUFFS: tuple[Cuff, ...] = ("none", "opens", "closed")

# The levels that ease is counted at, from the top; a garment has those down to its hem.
EaseLevel = Literal["full_bust", "waist", "high_hip", "full_hip"]
EASE_LEVELS: tuple[EaseLevel, ...] = ("full_bust", "waist", "high_hip", "full_hip")
HEM_LEVELS: tuple[EaseLevel, ...] = ("waist", "high_hip", "full_hip")


@dataclass(frozen=True)
class Size:
    """One size of a block: the body that it is drafted for.

    Args:
        name: what the workroom calls it.
        high_bust_mm: high bust of that body.
        full_bust_mm: full bust of that body, in the block's cup.
        waist_mm: waist of that body.
        full_hip_mm: full hip of that body.
        high_hip_mm: high hip of that body, None if the block does not say.
        shoulder_width_mm: across the shoulders, None if the block does not say.
        back_waist_length_mm: nape to waist in the regular length, None if it does not say.
    """

    name: str
    high_bust_mm: float
    full_bust_mm: float
    waist_mm: float
    full_hip_mm: float
    high_hip_mm: float | None = None
    shoulder_width_mm: float | None = None
    back_waist_length_mm: float | None = None

    def body_mm(self, level: EaseLevel) -> float:
        """The body girth that this size is drafted for at a level.

        Raises:
            ValueError: the block does not say; no garment of such a block has that level.
        """
        girths: dict[EaseLevel, float | None] = {
            "full_bust": self.full_bust_mm,
            "waist": self.waist_mm,
            "high_hip": self.high_hip_mm,
            "full_hip": self.full_hip_mm,
        }
        girth = girths[level]
        if girth is None:
            raise ValueError(f"size without {level}")
        return girth

    def fuller(self, amount_mm: float) -> "Size":
        """The same size for a fuller bust, or for a smaller one where the amount is below zero."""
        return replace(self, full_bust_mm=self.full_bust_mm + amount_mm)


@dataclass(frozen=True)
class LengthClass:
    """One length class of a block.

    Args:
        name: petite, regular or tall.
        from_mm: shortest stature, None where the class has no lower end.
        up_to_mm: tallest stature (that stature itself belongs to the next class), None where
            the class has no upper end.
        back_waist_change_mm: how much longer than regular its back waist length is; below zero
            in petite, as are the other changes.
        hem_change_mm: how much longer than regular a garment is between waist and hem.
        sleeve_change_mm: how much longer than regular a long sleeve is.
    """

    name: LengthName
    from_mm: float | None
    up_to_mm: float | None
    back_waist_change_mm: float = 0.0
    hem_change_mm: float = 0.0
    sleeve_change_mm: float = 0.0


@dataclass(frozen=True)
class EaseRange:
    """Ease at one level: finished garment girth minus body girth.

    Args:
        least_mm: with less than this the garment strains.
        drafted_mm: what the garment is drafted with.
    """

    least_mm: float
    drafted_mm: float


@dataclass(frozen=True)
class Garment:
    """One garment of a block.

    Args:
        name: what the workroom calls it.
        fabric: what it is cut in unless another fabric is asked for.
        hem: the level at which it ends.
        ease: by fabric, the ease at each level down to the hem.
        under_layer_mm: what a layer worn underneath adds to each body girth.
        seam: how the side seams are sewn.
        side_seams: how many side seams can be let out.
        allowance_mm: seam allowance of one edge of a side seam.
        allowance_kept_mm: what must stay of it.
        hem_allowance_mm: allowance at the hem.
        cuff: none (no long sleeve), opens, or closed (must pass the hand).
        cuff_girth_mm: finished girth of a closed cuff, None for others.
        stretch: share of its own girth by which its knit can stretch, such as 0.25; None where
            it is cut in no knit.
    """

    name: str
    fabric: Fabric
    hem: EaseLevel
    ease: Mapping[Fabric, Mapping[EaseLevel, EaseRange]]
    under_layer_mm: float
    seam: Seam
    side_seams: int
    allowance_mm: float
    allowance_kept_mm: float
    hem_allowance_mm: float
    cuff: Cuff
    cuff_girth_mm: float | None = None
    stretch: float | None = None

    @property
    def levels(self) -> tuple[EaseLevel, ...]:
        """The levels that the garment covers, from the top."""
        return EASE_LEVELS[: EASE_LEVELS.index(self.hem) + 1]


@dataclass(frozen=True)
class Block:
    """A base pattern of the workroom.

    Args:
        name: what the workroom calls it.
        note: a sentence about where its numbers come from, may be empty.
        cup: the sewing cup of the sizes' full bust.
        drafted_cups: all cups that it is drafted in, ascending, without a gap; `cup` is one.
        cup_step_mm: full bust minus high bust from one cup to the next.
        sizes: ascending.
        length_classes: petite, regular, tall.
        garments: by name, in the file's order.
        fingerprint: of all that its file says, by which a decision knows whether it has changed
            since; empty for a block of no file.
    """

    name: str
    note: str
    cup: str
    drafted_cups: tuple[str, ...]
    cup_step_mm: float
    sizes: tuple[Size, ...]
    length_classes: tuple[LengthClass, ...]
    garments: Mapping[str, Garment]
    # The file's, and no part of the pattern.
    fingerprint: str = field(default="", compare=False)

    def nearest_cup(self, steps: int) -> str:
        """The drafted cup that is nearest to a customer's.

        Args:
            steps: number of her cup steps, 0 for AA; it may lie past the letters.

        Returns:
            Its letter.
        """
        return min(self.drafted_cups, key=lambda cup: abs(CUP_LETTERS.index(cup) - steps))

    def in_cup(self, cup: str) -> "Block":
        """The block as it is cut in one of its drafted cups.

        Args:
            cup: one of the drafted cups.

        Returns:
            The same block, its sizes with the full bust of that cup.
        """
        wider_mm = (CUP_LETTERS.index(cup) - CUP_LETTERS.index(self.cup)) * self.cup_step_mm
        return replace(self, cup=cup, sizes=tuple(size.fuller(wider_mm) for size in self.sizes))
