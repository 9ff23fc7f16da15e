"""Rendered sittings from which the behaviour of outlines and landmarks is learnt."""

from calibration.recipe import random_recipe
from calibration.rendered.draw import Generator, Wardrobe
from demo_images import women
from demo_images.people import Phones

FITTING = Generator(
    prefix="fitting",
    seed=20261126,
    recipe=random_recipe,
    wardrobe=Wardrobe(
        walls=tuple(woman.room.wall_rgb for woman in women.WOMEN),
        floors=tuple(woman.room.floor_rgb for woman in women.WOMEN),
        skins=(women.FAIR, women.LIGHT, women.TAN, women.BROWN, women.DARK),
        hairs=(women.BLOND, women.CHESTNUT, women.RAVEN, women.RED, women.SILVER),
        cloths=(women.NAVY, women.BLACK, women.WINE, women.TEAL, women.ROYAL, women.ROSE,
                women.OLIVE, women.SAND, women.WHITE, women.PLUM, women.GREY, women.ORANGE),
        lights=("ceiling", "window-left", "window-right", "behind-phone", "two-lamps"),
    ),
    phones=Phones(tilt_deg=4.0),
)  # fmt: skip
