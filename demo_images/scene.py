"""Render one job in Blender's Cycles: `python scene.py job.json`, in the environment with bpy.

Knows nothing of bodies or of the project: it gets triangles with painting numbers, flat pictures,
boxes, lights and a pinhole, all in the wall frame in mm, and writes a PNG.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import bpy
import mathutils
import numpy as np
import numpy.typing as npt

MM = 0.001
# Wall frame (x right, y up, z out of the wall) to Blender's (z up).
TO_BLENDER = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])


def to_blender(points_mm: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Turn wall-frame millimetres into Blender metres."""
    return np.asarray(np.asarray(points_mm, dtype=np.float64) @ TO_BLENDER.T * MM)


def material(name: str, rough: float) -> tuple[Any, Any, Any]:
    """Make a material; give it, its node tree and its surface shader."""
    made = bpy.data.materials.new(name)
    made.use_nodes = True
    shader = made.node_tree.nodes["Principled BSDF"]
    shader.inputs["Roughness"].default_value = rough
    shader.inputs["Specular IOR Level"].default_value = 0.25
    return made, made.node_tree, shader


def socket(sockets: Any, identifier: str) -> Any:
    """Find a socket by identifier: a mix node has several of the same name."""
    return next(each for each in sockets if each.identifier == identifier)


def colour_mix(tree: Any, blend: str) -> tuple[Any, Any, Any, Any]:
    """Add a colour mix; give its factor, both colours and its result."""
    mix = tree.nodes.new("ShaderNodeMix")
    mix.data_type, mix.blend_type = "RGBA", blend
    factor = socket(mix.inputs, "Factor_Float")
    ends = (socket(mix.inputs, "A_Color"), socket(mix.inputs, "B_Color"))
    return factor, *ends, socket(mix.outputs, "Result_Color")


def colour_value(rgb: list[float]) -> tuple[float, float, float, float]:
    """Give a colour as Blender wants it."""
    return (rgb[0], rgb[1], rgb[2], 1.0)


def mottled(tree: Any, rgb: list[float], scale: float, amount: float) -> Any:
    """Give a socket with a colour that noise makes a little lighter and darker."""
    place = tree.nodes.new("ShaderNodeTexCoord")
    noise = tree.nodes.new("ShaderNodeTexNoise")
    noise.inputs["Scale"].default_value = scale
    noise.inputs["Detail"].default_value = 4.0
    ramp = tree.nodes.new("ShaderNodeMapRange")
    ramp.inputs["To Min"].default_value = 1.0 - amount
    ramp.inputs["To Max"].default_value = 1.0 + amount
    factor, first, second, result = colour_mix(tree, "MULTIPLY")
    factor.default_value = 1.0
    first.default_value = colour_value(rgb)
    tree.links.new(place.outputs["Object"], noise.inputs["Vector"])
    tree.links.new(noise.outputs["Fac"], ramp.inputs["Value"])
    tree.links.new(ramp.outputs["Result"], second)
    return result


def plain_material(name: str, look: dict[str, Any]) -> Any:
    """Make a one-coloured material with a light texture."""
    made, tree, shader = material(name, look.get("rough", 0.8))
    colour = mottled(tree, look["rgb"], look.get("scale", 8.0), look.get("amount", 0.03))
    tree.links.new(colour, shader.inputs["Base Color"])
    if look.get("boards_mm"):
        boards(tree, shader, look)
    if look.get("bump"):
        bump(tree, shader, look)
    return made


def bump(tree: Any, shader: Any, look: dict[str, Any]) -> None:
    """Give the surface the grain of plaster or wallpaper."""
    place = tree.nodes.new("ShaderNodeTexCoord")
    noise = tree.nodes.new("ShaderNodeTexNoise")
    noise.inputs["Scale"].default_value = look.get("bump_scale", 120.0)
    raised = tree.nodes.new("ShaderNodeBump")
    raised.inputs["Strength"].default_value = look["bump"]
    raised.inputs["Distance"].default_value = 0.002
    tree.links.new(place.outputs["Object"], noise.inputs["Vector"])
    tree.links.new(noise.outputs["Fac"], raised.inputs["Height"])
    tree.links.new(raised.outputs["Normal"], shader.inputs["Normal"])


def boards(tree: Any, shader: Any, look: dict[str, Any]) -> None:
    """Paint floor boards: a brick pattern whose two colours differ a little."""
    place = tree.nodes.new("ShaderNodeTexCoord")
    brick = tree.nodes.new("ShaderNodeTexBrick")
    light, dark = ([channel * factor for channel in look["rgb"]] for factor in (1.1, 0.9))
    for socket, rgb in (("Color1", light), ("Color2", dark), ("Mortar", [0.3 * c for c in dark])):
        brick.inputs[socket].default_value = colour_value(rgb)
    brick.inputs["Scale"].default_value = 1.0
    brick.inputs["Mortar Size"].default_value = 0.002
    brick.inputs["Brick Width"].default_value = 1.2
    brick.inputs["Row Height"].default_value = look["boards_mm"] * MM
    tree.links.new(place.outputs["Object"], brick.inputs["Vector"])
    tree.links.new(brick.outputs["Color"], shader.inputs["Base Color"])


def painted_material(name: str, layers: list[dict[str, Any]], skin: list[float]) -> Any:
    """Make skin with layers painted over it where their vertex number is above zero."""
    made, tree, shader = material(name, 0.55)
    below = mottled(tree, skin, 6.0, 0.05)
    for layer in layers:
        number = tree.nodes.new("ShaderNodeAttribute")
        number.attribute_name = layer["name"]
        worn = tree.nodes.new("ShaderNodeMath")
        worn.operation = "GREATER_THAN"
        worn.inputs[1].default_value = 0.0
        factor, first, second, result = colour_mix(tree, "MIX")
        tree.links.new(number.outputs["Fac"], worn.inputs[0])
        tree.links.new(worn.outputs[0], factor)
        tree.links.new(below, first)
        second.default_value = colour_value(layer["rgb"])
        below = result
    tree.links.new(below, shader.inputs["Base Color"])
    return made


def add_mesh(name: str, points_mm: npt.ArrayLike, faces: npt.ArrayLike, look: Any) -> Any:
    """Add a triangle or quad mesh."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(to_blender(points_mm).tolist(), [], np.asarray(faces).tolist())
    mesh.materials.append(look)
    thing = bpy.data.objects.new(name, mesh)
    bpy.context.scene.collection.objects.link(thing)
    return thing


def add_person(number: int, person: dict[str, Any], folder: Path) -> None:
    """Add a body with painted clothes, and its hair."""
    stored = np.load(folder / person["file"])
    look = painted_material(f"person{number}", person["layers"], person["skin_rgb"])
    body = add_mesh(f"body{number}", stored["vertices_mm"], stored["faces"], look)
    for layer in person["layers"]:
        numbers = body.data.attributes.new(layer["name"], "FLOAT", "POINT")
        numbers.data.foreach_set("value", stored[f"paint_{layer['name']}"].astype(np.float32))
    body.data.shade_smooth()
    hair = plain_material(
        f"hair{number}", {"rgb": person["hair_rgb"], "rough": 0.6, "scale": 60.0, "amount": 0.25}
    )
    for index in range(person["hair_count"]):
        part = add_mesh(
            f"hair{number}.{index}", stored[f"hair{index}_mm"], stored[f"hair{index}_faces"], hair
        )
        part.data.shade_smooth()


def add_picture(number: int, picture: dict[str, Any], folder: Path) -> None:
    """Add a flat picture; corners in the order top left, top right, bottom right, bottom left."""
    made, tree, shader = material(f"picture{number}", 0.9)
    shader.inputs["Specular IOR Level"].default_value = 0.1
    image = tree.nodes.new("ShaderNodeTexImage")
    image.image = bpy.data.images.load(str(folder / picture["file"]))
    image.interpolation, image.extension = "Linear", "EXTEND"
    tree.links.new(image.outputs["Color"], shader.inputs["Base Color"])
    tree.links.new(image.outputs["Alpha"], shader.inputs["Alpha"])
    thing = add_mesh(f"picture{number}", picture["corners_mm"], [[3, 2, 1, 0]], made)
    layer = thing.data.uv_layers.new(name="UVMap")
    for index, uv in enumerate([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]):
        layer.data[index].uv = uv


def add_box(number: int, box: dict[str, Any]) -> None:
    """Add an upright box between two corners in the wall frame."""
    low, high = np.array(box["low_mm"]), np.array(box["high_mm"])
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)])
    faces = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    look = plain_material(f"box{number}", box["look"])
    add_mesh(f"box{number}", low + corners * (high - low), faces, look)


def add_light(number: int, light: dict[str, Any]) -> None:
    """Add a square lamp that points at a target."""
    lamp = bpy.data.lights.new(f"lamp{number}", "AREA")
    lamp.energy, lamp.size = light["watt"], light["size_mm"] * MM
    lamp.color = light["rgb"]
    thing = bpy.data.objects.new(f"lamp{number}", lamp)
    place, target = (mathutils.Vector(to_blender(light[key])) for key in ("at_mm", "target_mm"))
    thing.location = place
    thing.rotation_euler = (target - place).to_track_quat("-Z", "Y").to_euler()
    bpy.context.scene.collection.objects.link(thing)


def add_camera(camera: dict[str, Any]) -> None:
    """Add the pinhole. The sensor is as tall as the picture has rows, in micrometres."""
    scene = bpy.context.scene
    pinhole = bpy.data.cameras.new("camera")
    pinhole.sensor_fit = "VERTICAL"
    pinhole.sensor_height = 24.0
    pinhole.lens = camera["f_px"] * 24.0 / camera["height_px"]
    pinhole.clip_start, pinhole.clip_end = 0.05, 50.0
    rotation = np.array(camera["rotation"])
    centre = -rotation.T @ np.array(camera["translation_mm"])
    axes = TO_BLENDER @ rotation.T @ np.diag([1.0, -1.0, -1.0])
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = axes, to_blender(centre)
    thing = bpy.data.objects.new("camera", pinhole)
    thing.matrix_world = mathutils.Matrix(pose.tolist())
    scene.collection.objects.link(thing)
    scene.camera = thing
    scene.render.resolution_x, scene.render.resolution_y = camera["width_px"], camera["height_px"]
    scene.render.resolution_percentage = 100
    scene.render.pixel_aspect_x = scene.render.pixel_aspect_y = 1.0


def set_rendering(job: dict[str, Any]) -> None:
    """Few samples, fast denoiser, one thread, AgX."""
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.cycles.device = "CPU"
    scene.cycles.samples = job["samples"]
    scene.cycles.seed = job["seed"]
    scene.cycles.use_adaptive_sampling = False
    scene.cycles.use_denoising = True
    scene.cycles.denoiser = "OPENIMAGEDENOISE"
    scene.cycles.denoising_quality = "FAST"
    scene.cycles.denoising_prefilter = "FAST"
    scene.cycles.max_bounces = 4
    scene.cycles.caustics_reflective = scene.cycles.caustics_refractive = False
    scene.render.threads_mode, scene.render.threads = "FIXED", 1
    scene.view_settings.view_transform = "AgX"
    scene.view_settings.exposure = job["exposure"]
    scene.render.image_settings.file_format = "PNG"
    scene.render.image_settings.color_mode = "RGB"


def set_sky(job: dict[str, Any]) -> None:
    """Even light from all around, standing for a bright room."""
    world = bpy.data.worlds.new("room")
    bpy.context.scene.world = world
    world.use_nodes = True
    sky = world.node_tree.nodes["Background"]
    sky.inputs["Color"].default_value = colour_value(job["sky_rgb"])
    sky.inputs["Strength"].default_value = job["sky_strength"]


def render_patch(patch: dict[str, Any], job: dict[str, Any], folder: Path) -> None:
    """Render a part of the picture again with more samples: four leave the ink ragged."""
    scene, camera = bpy.context.scene, job["camera"]
    left, top, right, bottom = patch["box_px"]
    width, height = camera["width_px"], camera["height_px"]
    scene.render.use_border = scene.render.use_crop_to_border = True
    # A quarter pixel more: the renderer truncates, and 781 / 1500 * 1500 may fall below 781.
    scene.render.border_min_x = (left + 0.25) / width
    scene.render.border_max_x = (right + 0.25) / width
    scene.render.border_min_y = (height - bottom + 0.25) / height
    scene.render.border_max_y = (height - top + 0.25) / height
    scene.cycles.samples = patch["samples"]
    scene.cycles.use_denoising = False
    scene.render.filepath = str(folder / patch["output"])
    bpy.ops.render.render(write_still=True)


def render(job_path: Path) -> None:
    """Render the job and write the PNG that it names."""
    job = json.loads(job_path.read_text(encoding="utf-8"))
    folder = job_path.parent
    bpy.ops.wm.read_factory_settings(use_empty=True)
    set_rendering(job)
    set_sky(job)
    for number, box in enumerate(job["boxes"]):
        add_box(number, box)
    for number, person in enumerate(job["people"]):
        add_person(number, person, folder)
    for number, picture in enumerate(job["pictures"]):
        add_picture(number, picture, folder)
    for number, light in enumerate(job["lights"]):
        add_light(number, light)
    add_camera(job["camera"])
    bpy.context.scene.render.filepath = str(folder / job["output"])
    bpy.ops.render.render(write_still=True)
    for patch in job["patches"]:
        render_patch(patch, job, folder)


if __name__ == "__main__":
    for argument in sys.argv[1:]:
        render(Path(argument))
