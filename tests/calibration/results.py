"""Made-up results of the report, from made-up trials and women."""

import json
from functools import cache

import numpy as np

from calibration import outside, people, survey
from calibration.fit import MODEL
from calibration.report import BEHAVIOUR, _about, by_height, figures_of, thinned
from calibration.sightings import LEVEL_CODES
from calibration.trial import CODES, trial_of
from ellwand.girth.model import WIDTHS
from tests.calibration.test_outside import bodies_file, weights_file
from tests.calibration.women import made_up


def tried(count, sd_mm=10.0, wide_mm=10.0, seed=1):
    """A trial whose errors are normal and whose bounds claim `wide_mm`."""
    rng = np.random.default_rng(seed)
    entries = []
    for number in range(count):
        true = rng.normal(950.0, 80.0, len(CODES))
        value = true + rng.normal(0.0, sd_mm, len(CODES))
        entries.append(
            {
                "name": str(number),
                "true_mm": true,
                "value_mm": value,
                "u_mm": np.full(len(CODES), wide_mm),
                "outline_share": np.full(len(LEVEL_CODES), 0.8),
                "bounds_mm": value[:, None] + wide_mm * np.array([-1.96, 1.96, -0.994, 0.994]),
                "true_widths_mm": np.full(len(WIDTHS), 300.0),
                "widths_mm": 300.0 + rng.normal(0.5, 3.0, len(WIDTHS)),
                "after_mm": true[: len(LEVEL_CODES)] + rng.normal(0.0, 5.0, len(LEVEL_CODES)),
                "after_u_mm": np.full(len(LEVEL_CODES), 5.0),
                "height_off_mm": np.full(len(LEVEL_CODES), 3.0),
                "waist_shown": number % 8 > 0,
                "outside": number % 50 == 0,
                "marker_sheets": number % 2 == 0,
            }
        )
    return trial_of([*entries, {"name": "none", "refused": "outline-not-seen"}])


def sittings():
    """Two rendered sittings, of which one was refused."""
    levels = {code: {"girth_mm": 900.0 + 10.0 * k} for k, code in enumerate(LEVEL_CODES)}
    estimated = {code: [920.0, 880.0, 960.0] for code in LEVEL_CODES}
    estimated["bust_difference"] = [13.0, 0.0, 30.0]
    return [
        {"name": "held00", "levels": levels, "estimated": estimated},
        {"name": "held01", "levels": levels, "refused": "outline-not-seen"},
    ]


@cache
def _text(folder):
    table = made_up(400)
    exact, rendered = tried(1000), tried(60, seed=2)
    looks = json.loads(BEHAVIOUR.read_text("utf-8"))
    results = {
        "model": _about(json.loads(MODEL.read_text("utf-8"))),
        "simulated": figures_of(exact, 0.8 * exact.off_mm),
        "simulated_living": figures_of(tried(200, wide_mm=20.0), None),
        "rendered": figures_of(rendered, 0.8 * rendered.off_mm),
        "plotted": thinned(exact),
        "taper_mm_per_10_mm": {"p5": 3.5, "p50": 9.25, "p95": 14.5},
        "high_hip_over": {"count": 1040, "bias_mm": 1.25, "sd_mm": 6.75, "mae_mm": 5.0},
        "high_hip_by_height": by_height(exact, np.linspace(-40.0, 40.0, 1000)),
        "looks": looks,
        "survey": survey.five_fold(table),
        "caliper": {
            "full_bust": {"bias_mm": 41.5, "sd_mm": 22.25},
            "waist": {"bias_mm": 37.0, "sd_mm": 18.0},
            "full_hip": {"bias_mm": -5.0, "sd_mm": 15.0},
        },
        "people": people.check(table),
        "outside": outside.report(
            table,
            outside.read_bodies(bodies_file(folder / "bodies.csv")),
            outside.read_weights(weights_file(folder / "weights.csv")),
        ),
    }
    return json.dumps(results)


def results(folder):
    """Results as they are read from their file, fresh each time.

    Args:
        folder: for the files of made-up women.
    """
    return json.loads(_text(folder))
