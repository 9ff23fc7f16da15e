"""How far estimates of the demo photos are from the truth, as the tables of the README.

Run by hand: python -m tests.benchmarks.accuracy
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ellwand.girth.result import Findings
from ellwand.measurements import KINDS, LEVELS
from ellwand.sitting.estimating import estimate_photos
from ellwand.sitting.photo_setup import TypedSetup, set_up_of, with_typed_setup
from ellwand.sitting.record import Sitting

SITTINGS = Path(__file__).parents[2] / "demo_images" / "sittings"
LENGTHS = ("shoulder_width", "back_waist_length", "arm_length", "waist_to_hip", "inside_leg")
TWO_SHEETS = ("full_bust", "waist", "full_hip")


@dataclass(frozen=True)
class Miss:
    """One estimate against the truth, mm."""

    code: str
    sheets: int
    off: float
    width: float
    covered: bool
    breadth_off: float
    depth_off: float


def estimated(folder: Path) -> tuple[Findings, dict]:
    """Findings of a demo sitting from what its customer types, and its truth."""
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    typed = truth["typed"]
    setup = TypedSetup(
        stature=typed["stature"],
        reference=typed["reference"],
        paper=typed.get("paper") or "a4",
        check_bars=(),
        standoff_front=typed.get("standoff_front"),
        standoff_side=typed.get("standoff_side"),
        focal_35mm=None,
    )
    noted = with_typed_setup(Sitting(), setup).setup
    photos = [(folder / f"{view}.jpg").read_bytes() for view in ("front", "side")]
    return estimate_photos(*photos, set_up_of(noted), lambda _: None), truth


def misses(folders: Iterable[Path]) -> list[Miss]:
    """All estimates of all sittings against the truth."""
    found = []
    for folder in folders:
        findings, truth = estimated(folder)
        sheets = min(len(findings.front.references_px), len(findings.side.references_px))
        for code, estimate in findings.estimates.items():
            level = truth["levels"].get(code, {})
            true = level.get("girth_mm", truth["lengths"].get(code))
            sides = {
                kind: (getattr(estimate, f"{kind}_mm") or np.nan) - level.get(f"{kind}_mm", np.nan)
                for kind in ("breadth", "depth")
            }
            found.append(
                Miss(
                    code=code,
                    sheets=sheets,
                    off=estimate.value_mm - true,
                    width=estimate.high_mm - estimate.low_mm,
                    covered=estimate.low_mm <= true <= estimate.high_mm,
                    breadth_off=sides["breadth"],
                    depth_off=sides["depth"],
                )
            )
    return found


def main() -> None:
    """Print the tables."""
    found = misses(sorted(path for path in SITTINGS.iterdir() if path.is_dir()))
    print("| measurement | mean error | standard deviation | within the bound | median bound |")
    print("| --- | --- | --- | --- | --- |")
    for code in (*LEVELS, *LENGTHS):
        of_code = [one for one in found if one.code == code]
        off = np.array([one.off for one in of_code])
        covered = sum(one.covered for one in of_code)
        bound = np.median([one.width for one in of_code]) / 2
        print(f"| {KINDS[code].name} | {off.mean():+.0f} mm | {off.std(ddof=1):.0f} mm "
              f"| {covered} of {len(of_code)} | ± {bound:.0f} mm |")  # fmt: skip
    girths = [one for one in found if one.code in LEVELS]
    print(f"\ngirths within their bounds: {sum(one.covered for one in girths)} of {len(girths)}")
    print("\nwith two sheets: breadth and depth, error mean and standard deviation")
    together: list[float] = []
    for code in TWO_SHEETS:
        of_code = [one for one in found if one.code == code and one.sheets == 2]
        for kind in ("breadth_off", "depth_off"):
            off = np.array([getattr(one, kind) for one in of_code])
            together += off.tolist()
            print(f"{code} {kind}: {off.mean():+.1f} mm, {off.std(ddof=1):.1f} mm (n {len(off)})")
        width = np.median([one.width for one in of_code])
        print(f"{code}: median full width of the girth's 95 % interval {width:.0f} mm")
    print(f"all together: {np.mean(together):+.1f} mm, {np.std(together, ddof=1):.1f} mm "
          f"(n {len(together)})")  # fmt: skip


if __name__ == "__main__":
    main()
