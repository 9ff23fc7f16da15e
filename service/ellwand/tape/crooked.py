"""What a tape reads too much when it drops at the back: why level matters.

Two things add up. *The tilt*: a level is taken as an ellipse, the body near it as a cylinder. A
plane that is as high as the level in front and x lower at the back cuts that in an ellipse of the
same breadth and of depth sqrt(D^2 + x^2). Exact for the cylinder; a body's section is no ellipse,
which changes this small term little. *The growth*: the tape then lies x/2 lower on average, and
where the body grows wider below, its girth there is larger, to first order by growth times x/2.
Front and back are taken to grow alike, so that this is told at waist and high hip alone: at the
bust it is the front that changes, and there the tape stays. A waist is a narrow place, next to
which the body grows more slowly than on the whole way to the high hip: there it is an upper figure.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ellwand.language import gettext
from ellwand.measurements import Estimate
from ellwand.shown import in_both_units

# Drops that are told: from what nobody notices to what a mirror shows at once (judged).
DROPS_MM = (10.0, 20.0, 30.0, 50.0)
# The drop that the words take as their example.
_EXAMPLE_MM = 30.0
# Girths that grow below, and the next level below.
_BELOW = {"waist": "high_hip", "high_hip": "full_hip"}


@dataclass(frozen=True)
class Section:
    """A level of a body as far as a crooked tape concerns it.

    Args:
        breadth_mm: extent seen from the front.
        depth_mm: extent seen from the side.
        growth: mm of girth for each mm further down, None where it is not told.
        own: whether it is her own, from photos, and not a usual one.
    """

    breadth_mm: float
    depth_mm: float
    growth: float | None
    own: bool = False


@dataclass(frozen=True)
class Crooked:
    """What a tape adds to a girth when it drops at the back.

    Args:
        drop_mm: how much lower it lies at the back than in front.
        tilt_mm: what the tilt adds.
        growth_mm: what the body's growth adds, below 0 where it narrows; None where not told.
    """

    drop_mm: float
    tilt_mm: float
    growth_mm: float | None

    @property
    def together_mm(self) -> float:
        """All that is added."""
        return self.tilt_mm + (self.growth_mm or 0.0)


# Breadth and depth: high bust from `bdims` women (just above the breast), bust, waist and hip from
# ANSUR II women (means, rounded), the two between judged. Growth: the middle of the girth model's
# prior at a height of 162 cm, over 90 mm from waist to high hip by definition and 124 mm from there
# to the full hip (median of the demo photos' women); a test compares.
USUAL = {
    "high_bust": Section(261.0, 177.0, None),
    "full_bust": Section(269.0, 247.0, None),
    "underbust": Section(265.0, 205.0, None),
    "waist": Section(300.0, 213.0, 1.15),
    "high_hip": Section(335.0, 225.0, 1.3),
    "full_hip": Section(354.0, 233.0, None),
}


def section_of(code: str, estimates: Mapping[str, Estimate]) -> Section | None:
    """The section of a level: hers from photos, or a usual one.

    Args:
        code: key of `KINDS`.
        estimates: what photos gave, by code; may be empty.

    Returns:
        The section; None for what is no girth of the trunk.
    """
    usual, here = USUAL.get(code), estimates.get(code)
    if usual is None or here is None or not here.breadth_mm or not here.depth_mm:
        return usual
    growth = usual.growth
    below = estimates.get(_BELOW.get(code, ""))
    if below is not None and here.height_mm and below.height_mm:
        growth = (below.value_mm - here.value_mm) / (here.height_mm - below.height_mm)
    return Section(here.breadth_mm, here.depth_mm, growth, own=True)


def tilt_adds_mm(breadth_mm: float, depth_mm: float, drop_mm: float) -> float:
    """What the tilt of a tape round an elliptic cylinder adds to the girth.

    Args:
        breadth_mm: of the level section.
        depth_mm: of the level section, along which the tape drops.
        drop_mm: from front to back, at least 0.

    >>> round(tilt_adds_mm(300.0, 213.0, 30.0), 2)
    3.0
    """
    # Only here, so that a sitting opens without numpy.
    import numpy as np

    from ellwand.girth.ellipse import ellipse_perimeter

    depths = np.array([math.hypot(depth_mm, drop_mm), depth_mm])
    tilted, level = ellipse_perimeter(np.full(2, breadth_mm), depths)
    return float(tilted - level)


def crooked(section: Section, drop_mm: float) -> Crooked:
    """What a tape adds that drops at the back.

    Args:
        section: of the level.
        drop_mm: from front to back.
    """
    tilt_mm = tilt_adds_mm(section.breadth_mm, section.depth_mm, drop_mm)
    growth = section.growth
    return Crooked(drop_mm, tilt_mm, None if growth is None else growth * drop_mm / 2)


def crooked_words(section: Section) -> str:
    """Say what the additions of a section are worked out for, and where they come from.

    Args:
        section: of the level.
    """
    one = crooked(section, _EXAMPLE_MM)
    whose = (
        gettext("Worked out for the breadth and depth that your photos show.")
        if section.own
        else gettext("Worked out for a usual figure.")
    )
    return f"{whose} {_additions(one)}"


def _additions(one: Crooked) -> str:
    """Say what the tilt adds, and what lying lower does."""
    drop, tilt = in_both_units(one.drop_mm), in_both_units(one.tilt_mm)
    if one.growth_mm is None:
        return gettext(
            "At {drop} the tilt of the tape alone adds {tilt}; besides, the tape then lies in the "
            "wrong place at the back, which can add or take more than that.",
            drop=drop,
            tilt=tilt,
        )
    growth = in_both_units(one.growth_mm)
    if one.growth_mm >= 0:
        return gettext(
            "At {drop} the tilt of the tape alone adds {tilt}; the rest, up to about {growth}, "
            "comes from lying lower, where the body is wider.",
            drop=drop,
            tilt=tilt,
            growth=growth,
        )
    return gettext(
        "At {drop} the tilt of the tape alone adds {tilt}; the rest, up to about {growth}, comes "
        "from lying lower, where the body is narrower.",
        drop=drop,
        tilt=tilt,
        growth=growth,
    )
