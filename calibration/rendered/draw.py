"""Draws sittings for rendering: a woman, her clothes, room and phone, from one random stream."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calibration.recipe import BodyRecipe
from calibration.sections import LevelError
from demo_images.clothes import Outfit
from demo_images.figures import Figure, figure_of
from demo_images.people import Phones, Rgb, Room, SetUp, Woman

# Wall and clothes or skin differ at least by this in one of the linear colours: told to customers.
_LEAST_CONTRAST = 0.14
# White paper wants a wall that is no brighter than this.
_DARK_WALL = 0.40


@dataclass(frozen=True)
class Wardrobe:
    """What a generator chooses from.

    Args:
        walls, floors: of rooms.
        skins, hairs, cloths: of women and what they wear.
        lights: keys of `demo_images.rooms.LIGHTS`.
    """

    walls: tuple[Rgb, ...]
    floors: tuple[Rgb, ...]
    skins: tuple[Rgb, ...]
    hairs: tuple[Rgb, ...]
    cloths: tuple[Rgb, ...]
    lights: tuple[str, ...]


@dataclass(frozen=True)
class Generator:
    """Where one set of rendered sittings comes from.

    Args:
        prefix: of the names.
        seed: of the whole set.
        recipe: draws a body.
        wardrobe: rooms and clothes.
        phones: cameras.
        arm_deg: least and greatest angle of the arms in the front photo.
    """

    prefix: str
    seed: int
    recipe: Callable[[np.random.Generator, str], BodyRecipe]
    wardrobe: Wardrobe
    phones: Phones
    arm_deg: tuple[float, float] = (50.0, 60.0)


def drawn(generator: Generator, number: int) -> tuple[Woman, Figure]:
    """Draw one sitting; even numbers have marker sheets, odd ones blank sheets.

    Args:
        generator: what to draw from.
        number: of the sitting; each has a random stream of its own.
    """
    rng = np.random.default_rng([generator.seed, number])
    name = f"{generator.prefix}{number:02d}"
    while True:
        recipe = generator.recipe(rng, name)
        arm_deg = float(rng.uniform(*generator.arm_deg))
        try:
            figure = figure_of(recipe, arm_deg)
        except LevelError:
            continue
        break
    blank = number % 2 == 1
    room, outfit = _look(rng, generator.wardrobe, blank)
    front, side = (_standoff_cm(rng, figure, view) for view in ("front", "side"))
    woman = Woman(
        name=name,
        seed=int(rng.integers(1, 2**31)),
        description="drawn",
        recipe=recipe,
        outfit=outfit,
        room=room,
        set_up=SetUp(
            "plain-sheets" if blank else "marker-sheets",
            "letter" if blank and rng.random() < 0.4 else "a4",
            (float(rng.uniform(1400.0, 1500.0)), float(rng.uniform(400.0, 480.0))),
            side=int(rng.choice([-1, 1])),
        ),
        standoff_front_cm=front,
        standoff_side_cm=side,
        facing=str(rng.choice(["left", "right"])),
        arm_deg=arm_deg,
        phones=generator.phones,
    )
    return woman, figure


def _look(rng: np.random.Generator, wardrobe: Wardrobe, blank: bool) -> tuple[Room, Outfit]:
    """Draw a room and clothes that stand out from its wall."""

    def one(colours: tuple[Rgb, ...]) -> Rgb:
        return colours[int(rng.integers(len(colours)))]

    while True:
        wall, skin, top, bottom = (
            one(which)
            for which in (wardrobe.walls, wardrobe.skins, wardrobe.cloths, wardrobe.cloths)
        )
        if blank and max(wall) > _DARK_WALL:
            continue
        if min(_contrast(wall, other) for other in (skin, top, bottom)) >= _LEAST_CONTRAST:
            break
    room = Room(
        wall,
        one(wardrobe.floors),
        str(rng.choice(wardrobe.lights)),
        boards_mm=float(rng.choice([0.0, 90.0, 120.0, 150.0])),
        wall_grain=float(rng.uniform(0.05, 0.3)),
        skirting=bool(rng.random() < 0.8),
    )
    outfit = Outfit(
        str(rng.choice(["tank", "tee", "long"])),
        str(rng.choice(["briefs", "shorts", "leggings"])),
        str(rng.choice(["bun", "topknot", "short", "crop"])),
        skin,
        top,
        bottom,
        one(wardrobe.hairs),
    )
    return room, outfit


def _contrast(one: Rgb, other: Rgb) -> float:
    return max(abs(a - b) for a, b in zip(one, other, strict=True))


def _standoff_cm(rng: np.random.Generator, figure: Figure, view: str) -> int:
    """As she would type it: her body clear of the wall by some centimetres."""
    points = figure.posed[view].vertices_mm
    behind = -points[:, 2].min() if view == "front" else np.abs(points[:, 0]).max()
    return math.ceil(float(behind) / 10.0 + rng.uniform(3.0, 12.0))
