"""Photos without anybody in them, and findings as a worker might note them, for what is around."""

import io
from functools import cache
from typing import Any

from PIL import Image

from ellwand.sitting.record import (
    BudgetEntry,
    EstimateEntry,
    FindingsEntry,
    JointEntry,
    ScaleEntry,
    ScaleSourceEntry,
    View,
)

TYPED = {"stature": "168 cm", "reference": "marker-sheets", "paper": "a4"}
REFUSED = {
    "type": "about:blank", "title": "The front photo can't be used.", "status": 422,
    "detail": "Take it again.", "code": "dark",
    "problems": {"front": [{"code": "dark", "severity": "refused", "advice": "it is too dark."}]},
}  # fmt: skip


@cache
def _grey() -> bytes:
    kept = io.BytesIO()
    Image.new("L", (1200, 1600), 128).save(kept, "JPEG")
    return kept.getvalue()


def grey_pair() -> dict[str, tuple[str, bytes, str]]:
    """Two photos that are taken in; a worker would find nobody in them."""
    return {view: (f"{view}.jpg", _grey(), "image/jpeg") for view in ("front", "side")}


def findings(waist_mm: float = 745.0) -> dict[str, Any]:
    """Findings with one estimate, as JSON."""
    view = View(
        width_px=1200,
        height_px=1600,
        outline_px=((500.0, 100.0), (700.0, 100.0), (600.0, 1500.0)),
        landmarks_px={"nose": (600.0, 150.0, 0.99)},
        references_px=(((10.0, 10.0), (60.0, 10.0), (60.0, 80.0), (10.0, 80.0)),),
        levels_px={"waist": ((520.0, 700.0), (680.0, 700.0))},
    )
    waist = EstimateEntry(
        value_mm=waist_mm,
        u_mm=22.0,
        low_mm=waist_mm - 44,
        high_mm=waist_mm + 44,
        budget=(BudgetEntry(source="shape", share=1.0),),
    )
    scale = ScaleSourceEntry(view="front", source="reference", mm_per_px=1.2, u_mm_per_px=0.01)
    found = FindingsEntry(
        estimates={"waist": waist},
        front=view,
        side=view,
        scale=ScaleEntry(sources=(scale,), agree=True),
        # A hip that goes with the waist, and that no table shows.
        joint=JointEntry(
            codes=("waist", "full_hip"),
            mean_mm=(waist_mm, 1000.0),
            covariance_mm2=((484.0, 300.0), (300.0, 400.0)),
        ),
        outside=("height",),
    )
    return found.model_dump(mode="json")
