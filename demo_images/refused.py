"""Make the photos that must be refused: `python -m demo_images.refused --blender-python PATH`.

Each replaces the front or the side photo of a good sitting: same woman, clothes, room, reference
object; one thing is wrong. `python -m demo_images.make` comes first: two are made of its photos.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageFilter, ImageOps

from calibration.bodies import pose
from demo_images.bad_poses import forearm_forward, leaning
from demo_images.camera import HEIGHT_PX, Floats, camera_of
from demo_images.figures import Figure, figure_of, rest_figure
from demo_images.jobs import Person, Scene, render
from demo_images.layout import Layout
from demo_images.make import SITTINGS, sitting_layout, sitting_scene
from demo_images.people import Woman
from demo_images.photos import as_taken, write_photo
from demo_images.sheets import SIZES_MM
from demo_images.women import WOMEN

REFUSED = Path(__file__).with_name("refused")
CURTAIN_RGB = (0.25, 0.07, 0.06)
DARK_LIGHT = 0.03
SMALL_PX = (300, 400)


@dataclass(frozen=True, eq=False)
class Good:
    """A good sitting that a bad photo is derived from."""

    woman: Woman
    figure: Figure
    layout: Layout

    def scene(self, view: str) -> Scene:
        """Give the scene of its good photo."""
        return sitting_scene(self.woman, self.figure, self.layout, view)

    def with_body(self, view: str, body_mm: Floats) -> Scene:
        """Give the scene of its good photo with another pose, in the body frame."""
        scene = self.scene(view)
        shot = self.layout.front if view == "front" else self.layout.side
        person = replace(scene.people[0], vertices_mm=shot.to_wall(body_mm))
        return replace(scene, people=(person,))


def body_cropped(good: Good) -> Scene:
    """Tip the phone up until the ankles are out of the picture."""
    scene, shot = good.scene("front"), good.layout.front
    ankles = np.array(
        [good.figure.joints_mm["front"][f"ankle_{side}"] for side in ("left", "right")]
    )
    view, camera = shot.view, shot.camera
    while camera.project(shot.to_wall(ankles))[:, 1].min() < HEIGHT_PX + 60:
        view = replace(view, pitch_deg=view.pitch_deg + 0.5)
        camera = camera_of(view)
    return replace(scene, camera=camera)


def dark(good: Good) -> Scene:
    """Take the photo with hardly any light."""
    return replace(good.scene("front"), light_scale=DARK_LIGHT)


def turned(good: Good) -> Scene:
    """Turn her by 40 degrees, a step away from the wall, so that no hand is in it."""
    scene = good.scene("front")
    # Towards the sheets: the other way the nearer arm would cover one.
    shot = replace(good.layout.front, angle_deg=40.0 * good.woman.set_up.side)
    placed = shot.to_wall(good.figure.posed["front"].vertices_mm)
    step = max(0.0, 30.0 - float(placed[:, 2].min()))
    placed = placed + np.array([0.0, 0.0, step])
    return replace(scene, people=(replace(scene.people[0], vertices_mm=placed),))


def several_people(good: Good) -> Scene:
    """Put a second woman beside her, away from the sheets."""
    scene, shot = good.scene("front"), good.layout.front
    other = next(woman for woman in WOMEN if woman.name == "hilma")
    view = replace(
        shot.view,
        distance_mm=3150.0,
        aim_x_mm=float(shot.place_mm[0]) - 180.0 * good.woman.set_up.side,
        yaw_deg=0.0,
        pitch_deg=-1.0,
    )
    beside = replace(
        shot, place_mm=shot.place_mm + np.array([-1000.0 * good.woman.set_up.side, 0.0, 60.0])
    )
    second = Person(
        rest_figure(pose(other.recipe, "rest")),
        beside.to_wall(pose(other.recipe, "side").vertices_mm),
        other.outfit,
    )
    return replace(scene, people=(*scene.people, second), camera=camera_of(view))


def arms_against_torso(good: Good) -> Scene:
    """Let the arms hang at 12 degrees."""
    return good.with_body("front", pose(good.woman.recipe, "front", 12.0).vertices_mm)


def leaning_over(good: Good) -> Scene:
    """Lean by 10 degrees, away from the sheets."""
    lean = -10.0 if good.woman.set_up.side < 0 else 10.0
    return good.with_body("front", leaning(good.figure.posed["front"], lean))


def reference_missing(good: Good) -> Scene:
    """Take the sheets off the wall."""
    return replace(good.scene("front"), sheets=())


def reference_partly_hidden(good: Good) -> Scene:
    """Hang a curtain over the outer third of every sheet."""
    scene = good.scene("front")
    side, sheet = good.woman.set_up.side, scene.sheets[0]
    edge = sheet.centre_mm[0] + side * SIZES_MM[sheet.size][0] / 6.0
    low, high = sorted((edge, edge + side * 420.0))
    curtain = {
        "low_mm": [low, 30.0, 6.0],
        "high_mm": [high, 2300.0, 40.0],
        "look": {"rgb": CURTAIN_RGB, "rough": 0.9, "amount": 0.15, "scale": 14.0},
    }
    return replace(scene, extra_boxes=(curtain,))


def too_oblique(good: Good) -> Scene:
    """Carry the phone around her by 37 degrees."""
    shot = good.layout.front
    view = replace(
        shot.view,
        aim_x_mm=float(shot.place_mm[0]),
        orbit_z_mm=float(shot.place_mm[2]),
        orbit_deg=37.0 * good.woman.set_up.side,
        yaw_deg=0.0,
        pitch_deg=-1.0,
        distance_mm=2900.0,
    )
    return replace(good.scene("front"), camera=camera_of(view))


def hand_outside_outline(good: Good) -> Scene:
    """Hold a forearm forward, the one nearer to the phone."""
    near = "left" if good.woman.facing == "left" else "right"
    return good.with_body("side", forearm_forward(good.figure.posed["side"], near, 62.0))


def blurred(photo: Image.Image) -> Image.Image:
    """Smear a photo by moving the phone, out of focus as well."""
    values = np.asarray(photo, dtype=np.float64)
    steps = [np.roll(values, (step // 3, step), axis=(0, 1)) for step in range(-16, 17)]
    smeared = Image.fromarray(np.mean(steps, axis=0).round().astype(np.uint8))
    return smeared.filter(ImageFilter.GaussianBlur(6.0))


def upside_down(photo: Image.Image) -> Image.Image:
    """Turn a photo by 180 degrees."""
    return photo.transpose(Image.Transpose.ROTATE_180)


def too_small(photo: Image.Image) -> Image.Image:
    """Scale a photo down to 300 x 400."""
    return photo.resize(SMALL_PX, Image.Resampling.LANCZOS)


@dataclass(frozen=True)
class Refusal:
    """One bad photo: what is wrong with it, and how it comes about."""

    code: str
    sitting: str
    why: str
    stage: Callable[[Good], Scene] | None = None
    spoil: Callable[[Image.Image], Image.Image] | None = None
    view: str = "front"
    upright_known: bool = True


REFUSALS = (
    Refusal("body-cropped", "adela", "the feet are out of the picture", body_cropped),
    Refusal("dark", "carmen", "there is hardly any light", dark),
    Refusal("turned", "edda", "she is turned by 40 degrees", turned),
    Refusal("several-people", "greta", "a second woman is in the picture", several_people),
    Refusal("arms-against-torso", "adela", "the arms hang at 12 degrees", arms_against_torso),
    Refusal("leaning", "fenja", "she leans by 10 degrees", leaning_over),
    Refusal("reference-missing", "carmen", "no sheet is in the picture", reference_missing),
    Refusal(
        "reference-partly-hidden",
        "dunja",
        "a curtain covers a third of each sheet",
        reference_partly_hidden,
    ),
    Refusal("too-oblique", "greta", "the wall is seen at 37 degrees", too_oblique),
    Refusal("blurred", "dunja", "the phone moved and was out of focus", spoil=blurred),
    Refusal(
        "upside-down",
        "adela",
        "the picture stands on its head and EXIF does not say so",
        spoil=upside_down,
        upright_known=False,
    ),
    Refusal("too-small", "birgit", "300 x 400 pixels", spoil=too_small),
    Refusal(
        "hand-outside-outline",
        "adela",
        "a forearm is held forward at waist height",
        hand_outside_outline,
        view="side",
    ),
)


def good_sitting(name: str) -> Good:
    """Build a good sitting again."""
    woman = next(each for each in WOMEN if each.name == name)
    figure = figure_of(woman.recipe, woman.arm_deg)
    return Good(woman, figure, sitting_layout(woman, figure))


def make_refusal(refusal: Refusal, blender_python: str, core: int) -> None:
    """Render or spoil one photo and write it."""
    good = good_sitting(refusal.sitting)
    if refusal.stage is not None:
        with tempfile.TemporaryDirectory() as exchange:
            scene = refusal.stage(good)
            rendered, _ = render(scene, Path(exchange), blender_python, core)
        if rendered is None:
            raise RuntimeError(f"{refusal.code}: nothing rendered")
        photo = as_taken(rendered, good.woman.seed + 5000)
    else:
        path = SITTINGS / refusal.sitting / f"{refusal.view}.jpg"
        photo = ImageOps.exif_transpose(Image.open(path)).convert("RGB")
    if refusal.spoil is not None:
        photo = refusal.spoil(photo)
    shot = good.layout.front if refusal.view == "front" else good.layout.side
    orientation = 1 if refusal.upright_known else None
    write_photo(photo, REFUSED / f"{refusal.code}.jpg", shot.view.f35_exif, orientation)


def write_list() -> None:
    """Write refused.json."""
    entries: list[dict[str, Any]] = [
        {
            "file": f"{refusal.code}.jpg",
            "view": refusal.view,
            "sitting": refusal.sitting,
            "code": refusal.code,
            "why": refusal.why,
        }
        for refusal in REFUSALS
    ]
    REFUSED.mkdir(exist_ok=True)
    (REFUSED / "refused.json").write_text(json.dumps(entries, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    """Make the refused photos named, or all, and their list."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("codes", nargs="*", help="photos to make; none for all")
    parser.add_argument("--blender-python", required=True, help="interpreter that has bpy")
    parser.add_argument("--core", type=int, default=0, help="processor core for the renderer")
    chosen = parser.parse_args()
    for refusal in REFUSALS:
        if not chosen.codes or refusal.code in chosen.codes:
            make_refusal(refusal, chosen.blender_python, chosen.core)
            print(f"{refusal.code}: done", flush=True)
    write_list()


if __name__ == "__main__":
    main()
