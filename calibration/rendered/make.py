"""Render sittings: `python -m calibration.rendered.make held --count 60 --out DIR ...`.

Run from the top of the checkout in the environment that has the body model; the renderer has an
environment of its own. A sitting that is there already is left alone, and `--part 0/2` makes every
second one, so that two runs can share the work.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from calibration.rendered.draw import drawn
from calibration.rendered.fitting import FITTING
from calibration.rendered.held import HELD
from demo_images.make import make_sitting

GENERATORS = {"fitting": FITTING, "held": HELD}


def main() -> None:
    """Make the sittings that are not there yet."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", choices=sorted(GENERATORS))
    parser.add_argument("--count", type=int, required=True)
    parser.add_argument("--part", default="0/1", help="as 0/2 and 1/2 for two runs")
    parser.add_argument("--out", type=Path, required=True, help="outside the checkout")
    parser.add_argument("--blender-python", required=True, help="interpreter that has bpy")
    parser.add_argument("--core", type=int, default=0, help="processor core for the renderer")
    asked = parser.parse_args()
    part, parts = (int(number) for number in asked.part.split("/"))
    for number in range(part, asked.count, parts):
        folder = asked.out / f"{asked.which}{number:02d}"
        if (folder / "truth.json").exists():
            continue
        try:
            woman, figure = drawn(GENERATORS[asked.which], number)
            make_sitting(woman, figure, folder, asked.blender_python, asked.core, ["front", "side"])
        except ValueError as error:
            print(f"{folder.name}: {error}", flush=True)
        else:
            print(f"{folder.name}: done", flush=True)


if __name__ == "__main__":
    main()
