"""Rendering jobs: what the renderer is told, how it is run, and how its pictures come together."""

from __future__ import annotations

import json
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from demo_images.camera import HEIGHT_PX, WIDTH_PX, Camera, Floats
from demo_images.clothes import Outfit, paint
from demo_images.hair import hair_meshes
from demo_images.meshes import RestFigure
from demo_images.people import Room
from demo_images.rooms import PAPER_GAP_MM, boxes, lights, stand
from demo_images.sheets import BACKING_GAP_MM, Sheet, backing_of, corners_mm, write_texture

SAMPLES = 4
PATCH_SAMPLES = 48
PATCH_BORDER_PX = 12
EXPOSURE = -0.35
# Room behind a sheet that stands beside her, from the sheet's plane to the wall.
STAND_TO_WALL_MM = 480.0
FACE_RGB = {
    "white": (0.62, 0.60, 0.57),
    "pupil": (0.006, 0.006, 0.006),
}


@dataclass(frozen=True, eq=False)
class Person:
    """A posed body in the wall frame.

    Args:
        rest: the same body at rest, for clothes and hair.
        vertices_mm: (n, 3) posed vertices in the wall frame.
    """

    rest: RestFigure
    vertices_mm: Floats
    outfit: Outfit


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that one photo shows."""

    people: tuple[Person, ...]
    room: Room
    camera: Camera
    sheets: tuple[Sheet, ...]
    own_plane: bool
    seed: int
    extra_boxes: tuple[dict[str, Any], ...] = ()
    light_scale: float = 1.0


def render(
    scene: Scene, folder: Path, blender_python: str, core: int, draw: bool = True
) -> tuple[Image.Image | None, float]:
    """Render a scene.

    Args:
        scene: what the photo shows.
        folder: an empty folder for the exchange with the other environment.
        blender_python: interpreter of the environment that has bpy.
        core: processor core to pin the renderer to.
        draw: False to learn the height of the hair only.

    Returns:
        The picture if drawn, and the height of the highest point of the first person's hair in mm.
    """
    persons, tops = zip(
        *(_store_person(number, person, folder) for number, person in enumerate(scene.people)),
        strict=True,
    )
    if not draw:
        return None, tops[0]
    patches = [_patch(scene.camera, sheet) for sheet in scene.sheets]
    job = {**_setting(scene), "people": list(persons), "patches": patches}
    job["pictures"] = _store_pictures(scene.sheets, folder)
    path = folder / "job.json"
    path.write_text(json.dumps(job), encoding="utf-8")
    script = Path(__file__).with_name("scene.py")
    command = [
        "taskset",
        "-c",
        str(core),
        "nice",
        "-n",
        "10",
        blender_python,
        str(script),
        str(path),
    ]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    picture = Image.open(folder / job["output"]).convert("RGB")
    for patch in patches:
        left, top = patch["box_px"][:2]
        picture.paste(Image.open(folder / patch["output"]).convert("RGB"), (left, top))
    return picture, tops[0]


def _setting(scene: Scene) -> dict[str, Any]:
    """The part of a job that is no person and no sheet."""
    wall_z = -STAND_TO_WALL_MM if scene.own_plane else -PAPER_GAP_MM
    built = boxes(scene.room, wall_z) + list(scene.extra_boxes)
    if scene.own_plane:
        for sheet in scene.sheets:
            built += stand(sheet)
    middle = float(scene.people[0].vertices_mm[:, 0].mean())
    strength, lamps = lights(scene.room, middle)
    for lamp in lamps:
        lamp["watt"] *= scene.light_scale
    return {
        "samples": SAMPLES,
        "seed": scene.seed,
        "exposure": EXPOSURE,
        "sky_rgb": [1.0, 1.0, 1.0],
        "sky_strength": strength * scene.light_scale,
        "output": "picture.png",
        "boxes": built,
        "lights": lamps,
        "camera": {
            "f_px": scene.camera.f_px,
            "rotation": scene.camera.rotation.tolist(),
            "translation_mm": scene.camera.translation_mm.tolist(),
            "width_px": WIDTH_PX,
            "height_px": HEIGHT_PX,
        },
    }


def _store_person(number: int, person: Person, folder: Path) -> tuple[dict[str, Any], float]:
    """Write a person's arrays; give the job's entry and the height of the hair."""
    layers = paint(person.rest, person.outfit)
    parts = hair_meshes(person.rest, person.vertices_mm, person.outfit.hair)
    arrays: dict[str, Any] = {f"paint_{name}": values for name, values in layers.items()}
    for index, part in enumerate(parts):
        arrays[f"hair{index}_mm"], arrays[f"hair{index}_faces"] = part.vertices_mm, part.faces
    name = f"person{number}.npz"
    np.savez(folder / name, vertices_mm=person.vertices_mm, faces=person.rest.faces, **arrays)
    top = max(float(part.vertices_mm[np.unique(part.faces), 1].max()) for part in parts)
    return {
        "file": name,
        "skin_rgb": person.outfit.skin_rgb,
        "hair_rgb": person.outfit.hair_rgb,
        "hair_count": len(parts),
        "layers": [{"name": layer, "rgb": _rgb(layer, person.outfit)} for layer in layers],
    }, top


def _rgb(layer: str, outfit: Outfit) -> tuple[float, float, float]:
    red, green, blue = outfit.skin_rgb
    hair_red, hair_green, hair_blue = outfit.hair_rgb
    own = {
        "lips": (red * 0.85, green * 0.45, blue * 0.5),
        "brows": (0.6 * hair_red, 0.6 * hair_green, 0.6 * hair_blue),
        "bottom": outfit.bottom_rgb,
        "top": outfit.top_rgb,
        "hair": outfit.hair_rgb,
        "iris": outfit.eye_rgb,
        **FACE_RGB,
    }
    return own[layer]


def _store_pictures(sheets: tuple[Sheet, ...], folder: Path) -> list[dict[str, Any]]:
    pictures = []
    for sheet in sheets:
        layers = [(sheet, 0.0)]
        if sheet.kind == "card":
            layers.append((backing_of(sheet), -BACKING_GAP_MM))
        for layer, z_mm in layers:
            name = f"{layer.kind}{sheet.id}.png"
            write_texture(layer, folder / name)
            corners = corners_mm(layer) + np.array([0.0, 0.0, z_mm])
            pictures.append({"file": name, "corners_mm": corners.tolist()})
    return pictures


def _patch(camera: Camera, sheet: Sheet) -> dict[str, Any]:
    """The part of the picture around a sheet, to be rendered with more samples."""
    corners = camera.project(corners_mm(sheet))
    left, top = np.floor(corners.min(axis=0)).astype(int) - PATCH_BORDER_PX
    right, bottom = np.ceil(corners.max(axis=0)).astype(int) + PATCH_BORDER_PX
    box = [
        max(int(left), 0),
        max(int(top), 0),
        min(int(right), WIDTH_PX),
        min(int(bottom), HEIGHT_PX),
    ]
    return {"box_px": box, "samples": PATCH_SAMPLES, "output": f"patch{sheet.id}.png"}
