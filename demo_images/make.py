"""Make demo sittings: `python -m demo_images.make --blender-python PATH [name ...]`.

Run from the top of the checkout in the environment that has the body model; the renderer runs in
its own environment, and both exchange files through a temporary folder.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from pathlib import Path

import numpy as np

from demo_images.figures import Figure, figure_of
from demo_images.jobs import Person, Scene, render
from demo_images.layout import Layout, Shot, lay_out
from demo_images.people import Woman
from demo_images.photos import as_taken, write_photo
from demo_images.truth import truth_of
from demo_images.women import WOMEN

SITTINGS = Path(__file__).with_name("sittings")


def sitting_layout(woman: Woman, figure: Figure) -> Layout:
    """Draw the set-up of a sitting from the vertices that faces use."""
    used = np.unique(figure.rest.faces)
    return lay_out(
        woman, figure.posed["front"].vertices_mm[used], figure.posed["side"].vertices_mm[used]
    )


def sitting_scene(woman: Woman, figure: Figure, layout: Layout, view: str) -> Scene:
    """Give the scene of one photo of a sitting."""
    shot: Shot = getattr(layout, view)
    person = Person(figure.rest, shot.to_wall(figure.posed[view].vertices_mm), woman.outfit)
    return Scene(
        people=(person,),
        room=woman.room,
        camera=shot.camera,
        sheets=layout.sheets,
        own_plane=woman.set_up.own_plane,
        seed=woman.seed,
    )


def make_sitting(
    woman: Woman, figure: Figure, folder: Path, blender_python: str, core: int, views: list[str]
) -> None:
    """Render both photos of a sitting and write them with the truth file into a folder."""
    layout = sitting_layout(woman, figure)
    folder.mkdir(parents=True, exist_ok=True)
    hair_top_mm = {}
    for index, view in enumerate(("front", "side")):
        scene = sitting_scene(woman, figure, layout, view)
        with tempfile.TemporaryDirectory() as exchange:
            picture, hair_top_mm[view] = render(
                scene, Path(exchange), blender_python, core, draw=view in views
            )
        if picture is not None:
            shot: Shot = getattr(layout, view)
            write_photo(
                as_taken(picture, woman.seed + 1000 * index),
                folder / f"{view}.jpg",
                shot.view.f35_exif,
                woman.orientations[index],
            )
    truth = truth_of(woman, layout, figure.body, figure.measured, hair_top_mm, figure.joints_mm)
    text = json.dumps(truth, indent=1)
    (folder / "truth.json").write_text(text + "\n", encoding="utf-8")


def main() -> None:
    """Make the sittings named, or all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="sittings to make; none for all")
    parser.add_argument("--blender-python", required=True, help="interpreter that has bpy")
    parser.add_argument("--core", type=int, default=0, help="processor core for the renderer")
    parser.add_argument(
        "--views", default="front,side", help="photos to render; the truth is always written"
    )
    chosen = parser.parse_args()
    views = [view for view in chosen.views.split(",") if view]
    for woman in WOMEN:
        if not chosen.names or woman.name in chosen.names:
            figure = figure_of(woman.recipe, woman.arm_deg)
            folder = SITTINGS / woman.name
            make_sitting(woman, figure, folder, chosen.blender_python, chosen.core, views)
            print(f"{woman.name}: done", flush=True)


if __name__ == "__main__":
    main()
