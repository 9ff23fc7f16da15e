"""Invented sittings with known truth: two cameras, sheets on a wall, a stick for a body."""

from dataclasses import dataclass

import numpy as np

from ellwand.geometry.camera import focal_px, principal_point, project
from ellwand.geometry.sighting import Known, Sighting
from ellwand.photo.reference import ReferenceObject

WIDTH, HEIGHT = 1500, 2000
EYES_OVER_STATURE = 0.066
FOOT_REACH_MM = 170.0


@dataclass(frozen=True, eq=False)
class Truth:
    """What is true of an invented sitting.

    Args:
        sightings: what the photos would show.
        known: what would be typed.
        cameras: by view, what `project` takes before the points.
        standoff_mm: by view.
        floor_mm: height of the floor in the frame of the first sheet.
    """

    sightings: dict
    known: Known
    cameras: dict
    standoff_mm: dict
    floor_mm: float

    def pixels(self, view, points):
        """Pixels of points: x, height over the floor, reach before the standoff plane."""
        points = np.add(points, [0, self.floor_mm, self.standoff_mm[view]])
        return project(*self.cameras[view], points)


def sitting(rng, sheets=2, noise=1.0, standoff_mm=150.0, corner_u_px=0.2, side_zoom=1.0):
    """Draw a sitting from the very priors that the solution assumes.

    Args:
        rng: random numbers.
        sheets: how many A4 sheets hang on the wall, 0 to 2.
        noise: 0 = everything typed and seen is exactly true, 1 = as doubtful as stated.
        standoff_mm: typed distance from the wall.
        corner_u_px: how well a corner is seen.
        side_zoom: focal length of the side photo over that of the front photo.
    """
    focal_35mm, stature = 26.0, 1650.0
    known = Known(focal_35mm, 0.012, 1.0, 1.0, 0.003, stature, 8.0)
    focal = focal_px(focal_35mm, WIDTH, HEIGHT) * np.exp(noise * rng.normal() * known.focal_u)
    paper = np.exp(noise * rng.normal(size=2) * known.paper_u)
    true_stature = stature + noise * rng.normal() * known.stature_u_mm
    eye_height = (1 - EYES_OVER_STATURE) * true_stature - noise * rng.normal() * 8.0
    floor = -1450.0
    sightings, cameras, standoffs = {}, {}, {}
    for view in ("front", "side"):
        angles = noise * rng.normal(size=3) * np.radians([5.0, 5.0, 3.0])
        position = np.array([-400.0, floor + 1150.0, 2750.0]) + noise * rng.normal(size=3) * 60
        zoom = side_zoom if view == "side" else 1.0
        camera = angles, position, np.array(focal * zoom), principal_point(WIDTH, HEIGHT)
        standoff = standoff_mm + noise * rng.normal() * 10.0
        references = []
        for k in range(sheets):
            hung = noise * rng.normal() * np.radians(1.2)
            corners = np.array([[-105, 148.5], [105, 148.5], [105, -148.5], [-105, -148.5]]) * paper
            turn = np.array([[np.cos(hung), -np.sin(hung)], [np.sin(hung), np.cos(hung)]])
            corners = corners @ turn.T + [12.0 * k, -950.0 * k]
            seen = project(*camera, np.column_stack([corners, np.zeros(4)]))
            seen = seen + noise * rng.normal(size=(4, 2)) * corner_u_px
            references.append(ReferenceObject(f"sheet {k + 1}", 210, 297, seen, corner_u_px))
        eyes = np.array([-450.0, floor + eye_height + noise * rng.normal() * 5.0, standoff])
        foot = np.array([-450.0, floor + noise * rng.normal() * 9, standoff + FOOT_REACH_MM])
        upright = noise * rng.normal() * np.radians(1.2)
        middle = np.array([[-450.0, floor + 80, standoff],
                           [-450.0 + 1250 * np.tan(upright), floor + 1330, standoff]])  # fmt: skip
        seen = project(*camera, np.vstack([eyes, foot, middle]))
        sightings[view] = Sighting(
            width_px=WIDTH,
            height_px=HEIGHT,
            references=tuple(references),
            eye_px=seen[0],
            eye_above_mm=0.0,
            eye_u_mm=5.0,
            eye_reach_mm=0.0,
            foot_px=seen[1],
            foot_reach_mm=FOOT_REACH_MM,
            foot_reach_u_mm=15.0,
            middle_px=seen[2:] if view == "front" else None,
            standoff_mm=standoff_mm,
            standoff_u_mm=10.0,
            zoom=zoom,
        )
        cameras[view], standoffs[view] = camera, standoff
    return Truth(sightings, known, cameras, standoffs, floor)
