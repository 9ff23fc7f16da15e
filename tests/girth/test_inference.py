"""All girths at once, on made-up relations whose answer stands in every textbook."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ellwand.geometry.levels import Level
from ellwand.girth.budget import DRAWS, Input
from ellwand.girth.inference import (
    BREATHING,
    CLOTHING,
    OUTLINE,
    POPULATION,
    _wider,
    infer,
)
from ellwand.girth.model import WIDTHS, GirthModel, Likelihood, Prior, Tried
from ellwand.measurements import LEVELS, PEOPLE

STATURE, USUAL = 1600.0, 1000.0
EDGE, HEIGHT = "outline edge", "height as typed"
# Features: one as large as each girth, and two that no girth moves.
STILL = 2
COUNT = len(LEVELS) + STILL
# So many degrees of freedom that a t is a normal distribution.
NORMAL = 1e9
# A prior on the logarithm is one on the girth as long as it is narrow against the girth.
LOG_MM = 0.3
# 4000 draws give a deviation to 1 / sqrt(8000) = 1.1 %; four times that.
DRAWN = 4 / np.sqrt(2 * DRAWS)


@dataclass(frozen=True)
class Outlines:
    """What outlines show: numbers, each off by its own error, and a stature.

    Args:
        seen: (f) features.
        u: of each.
        stature_u: of the stature.
        follow: how far each feature moves with an error of the stature.
        waist_shown: whether the waist shows a place of its own.
    """

    seen: np.ndarray
    u: float
    stature_u: float = 0.0
    follow: float = 0.0
    waist_shown: bool = True

    @property
    def levels(self):
        return {"waist": Level(1000.0, self.waist_shown)}

    @property
    def inputs(self):
        edges = [Input(EDGE, 0.0, self.u) for _ in self.seen]
        return [*edges, Input(HEIGHT, 0.0, self.stature_u)]

    def inputs_of_photos(self):
        return self.inputs

    def inputs_of_hand(self, found_u_mm):
        return []

    def without_bends(self):
        return self

    def widened_mm(self, code, view):
        return 0.0

    def __call__(self, inputs):
        off, taller = inputs[:, :-1], inputs[:, -1:]
        return np.hstack([self.seen + off + self.follow * taller, STATURE + taller])


def outlines(girth, u, still=(0.0, 0.0), **kwargs):
    return Outlines(np.array([*(girth * np.ones(6)), *still]), u, **kwargs)


def relations(residual, offset=0.0, per_stature=0.0, degrees=NORMAL):
    per_girth = np.vstack([np.eye(6), np.zeros((STILL, 6))])
    return Likelihood(
        offset * np.ones(COUNT) - per_stature * STATURE,
        per_girth,
        per_stature * np.ones(COUNT),
        residual**2 * np.eye(COUNT),
        degrees,
        Tried(np.ones(6), {}),
        Tried(np.ones(6), {}),
    )


def made_up(prior_u, residual, per_log_mass=0.0, usual=USUAL, **kwargs):
    """A model in which girths are known beforehand to `prior_u` mm, and outlines are the girths."""
    prior = Prior(
        at_stature_mm=STATURE,
        at_mass_kg=70.0,
        log_mean=np.log(usual) * np.ones(6),
        per_log_stature=np.zeros(6),
        per_log_mass=per_log_mass * np.ones(6),
        log_covariance=(prior_u / usual) ** 2 * np.eye(6),
        mass_log_mean=np.log(70.0),
        mass_per_log_stature=0.0,
        mass_log_sd=0.2,
    )
    return GirthModel(
        likelihood=relations(residual, **kwargs),
        growth=0.0,
        mean_size_mm=USUAL,
        prior=prior,
        widths=np.zeros((len(WIDTHS), COUNT + 2)),
        people_sd_mm=24.0 * np.ones(6),
        girths_mm=dict.fromkeys(LEVELS, (500.0, 2000.0)),
        stature_mm=(1400.0, 1900.0),
        obliquity=None,
    )


def shares(inferred, k=0):
    return {share.source: share.share for share in inferred.found.budget(k)}


@pytest.mark.parametrize(
    ("prior_u", "photo_u", "residual", "value", "u"),
    [
        # Alike: the middle, and a deviation less by sqrt(2).
        (20, 20, 1e-3, 1010, 14.142),
        # 12 and 16 make 20.
        (20, 12, 16, 1010, 14.142),
        # Weights 1/100 and 1/400: a fifth of the way; 1 / sqrt(0.0125).
        (10, 20, 1e-3, 1004, 8.944),
        (20, 10, 1e-3, 1016, 8.944),
    ],
)
def test_prior_and_outline_are_weighted_by_their_inverse_variances(
    prior_u, photo_u, residual, value, u
):
    found = infer(outlines(1020.0, photo_u), made_up(prior_u, residual), None, living=False).found
    assert found.value == pytest.approx(value * np.ones(6), abs=LOG_MM)
    assert found.u_first_order == pytest.approx(u * np.ones(6), rel=0.02)
    assert found.u == pytest.approx(found.u_first_order, rel=DRAWN)


def test_very_vague_photos_fall_back_to_what_is_known_of_women():
    inferred = infer(outlines(1300.0, 1e5), made_up(30.0, 16.0), None, living=False)
    assert inferred.found.value == pytest.approx(USUAL * np.ones(6), abs=LOG_MM)
    assert inferred.found.u_first_order == pytest.approx(30.0 * np.ones(6), rel=1e-3)
    assert shares(inferred)[POPULATION] == pytest.approx(1.0, abs=1e-3)
    assert inferred.outside == ()


@pytest.mark.parametrize("girth", [700.0, 1000.0, 1500.0])
def test_sharp_photos_with_sharp_relations_ignore_what_is_usual(girth):
    inferred = infer(outlines(girth, 0.3), made_up(200.0, 0.4), None, living=False)
    assert inferred.found.value == pytest.approx(girth * np.ones(6), abs=0.02)
    assert inferred.found.u_first_order == pytest.approx(0.5 * np.ones(6), rel=1e-3)
    assert shares(inferred)[POPULATION] < 1e-4


def test_each_cause_has_its_share_and_all_make_the_whole():
    """Half of 12 and of 16 from the outline, half of 20 from people: 36, 64 and 100 of 200."""
    found = shares(infer(outlines(USUAL, 12.0), made_up(20.0, 16.0), None, living=False))
    assert found == pytest.approx({EDGE: 0.18, OUTLINE: 0.32, POPULATION: 0.5, HEIGHT: 0}, abs=1e-6)


def test_a_living_woman_breathes_is_clothed_and_is_no_body_of_the_model():
    """200 from before, and at the waist 6^2, 2^2 and 24^2."""
    shape, model = outlines(USUAL, 12.0), made_up(20.0, 16.0)
    body, woman = (infer(shape, model, None, living) for living in (False, True))
    k = LEVELS.index("waist")
    added = 6**2 + 2**2 + 24**2
    assert woman.found.u_first_order[k] == pytest.approx(np.sqrt(200 + added))
    assert woman.found.value == pytest.approx(body.found.value)
    found = shares(woman, k)
    assert sum(found.values()) == pytest.approx(1.0)
    for cause, part in {BREATHING: 36, CLOTHING: 4, PEOPLE: 576, POPULATION: 100}.items():
        assert found[cause] == pytest.approx(part / (200 + added), abs=1e-6)
    wider = (woman.found.high - woman.found.low) / (body.found.high - body.found.low)
    assert (wider > 1.5).all()
    # Clothes go around all of her, breath does not: what girths share is 2^2.
    assert woman.found.covariance_first_order[0, 5] == pytest.approx(4.0)


def test_a_told_weight_moves_and_narrows_what_vague_photos_leave_open():
    """0.5 of the logarithm of the weight: 1.21 times as heavy is 1.1 times as large."""
    model = made_up(30.0, 16.0, per_log_mass=0.5)
    shape = outlines(USUAL, 1e5)
    untold, told = (infer(shape, model, mass, living=False).found for mass in (None, 70.0 * 1.21))
    assert untold.value == pytest.approx(USUAL * np.ones(6), abs=LOG_MM)
    assert told.value == pytest.approx(1.1 * USUAL * np.ones(6), abs=LOG_MM)
    # Without it, 0.5 * 0.2 of 1000 beside the 30.
    assert untold.u_first_order == pytest.approx(np.hypot(100.0, 30.0) * np.ones(6), rel=1e-3)
    assert told.u_first_order == pytest.approx(1.1 * 30.0 * np.ones(6), rel=1e-3)


def test_doubt_of_the_stature_is_one_error_of_all_that_is_expected_of_the_outline():
    """Outlines that grow with the stature, known to 12 mm: 16^2 each and 12^2 in common."""
    model = made_up(20.0, 16.0, per_stature=1.0)
    still = infer(outlines(USUAL, 1e-3, stature_u=12.0), model, None, living=False)
    spread = 16.0**2 * np.eye(COUNT) + 12.0**2
    per_girth = model.likelihood.per_girth
    precision = per_girth.T @ np.linalg.inv(spread) @ per_girth + np.eye(6) / 20.0**2
    u = np.sqrt(np.diag(np.linalg.inv(precision)))
    assert still.found.u_first_order == pytest.approx(u, rel=1e-3)
    assert shares(still)[HEIGHT] > 0.02
    # Where the outline is seen larger by as much, nothing is left of it.
    moving = infer(outlines(USUAL, 1e-3, stature_u=12.0, follow=1.0), model, None, living=False)
    assert shares(moving)[HEIGHT] == pytest.approx(0.0, abs=1e-9)


def test_residuals_grow_with_the_body():
    model = replace(made_up(300.0, 10.0, usual=1500.0), growth=1.0)
    large = infer(outlines(1500.0, 1e-3), model, None, living=False).found
    # 10 mm at 1000 mm are 15 at 1500; a prior of 300 mm takes 0.1 % off.
    assert large.u_first_order == pytest.approx(15.0 * np.ones(6), rel=2e-3)


@pytest.mark.parametrize(
    ("off", "wider", "outside"),
    [
        # One deviation of 20 in both make 2, which is usual: (10 - 2 + 2) / (10 - 2 + 2).
        (20.0, 1.0, ()),
        # A body that follows the relations closely: (8 + 0) / 10.
        (0.0, np.sqrt(0.8), ()),
        # 4 deviations in both make 32: (8 + 32) / 10.
        (80.0, 2.0, ("shape of the outline",)),
        # 2.5 in both make 12.5. 1 in 100 have more than 2 * 0.8 * 7.56 = 12.1 (F of 2 and 10, 1 %,
        # from a table), and half as large again is then the least.
        (50.0, 1.5, ("shape of the outline",)),
    ],
)
def test_an_outline_is_as_unsure_as_it_surprises(off, wider, outside):
    model = made_up(200.0, 16.0, degrees=10.0)
    found = infer(outlines(USUAL, 12.0, still=(off, off)), model, None, living=False)
    assert found.outside == outside
    # Beside 12 from the photo, and a prior of 200.
    u = 1 / np.sqrt(1 / ((wider * 16.0) ** 2 + 12**2) + 1 / 200**2)
    assert found.found.u_first_order == pytest.approx(u * np.ones(6), rel=1e-3)


@pytest.mark.parametrize(("free", "degrees"), [(67, 9.5), (2, 5.0)])
def test_the_variance_of_a_body_is_told_by_how_far_its_outline_is_off(free, degrees):
    """Bodies drawn with variances of their own, sorted by their sums of squares."""
    rng = np.random.default_rng(8)
    variance = (degrees - 2) / rng.chisquare(degrees, 200_000)
    surprise = variance * rng.chisquare(free, len(variance))
    for group in np.array_split(np.argsort(surprise), 5):
        said = np.mean([_wider(one, free, degrees) ** 2 for one in surprise[group]])
        # 40,000 bodies; at 5 degrees even single variances scatter by 1.4 of themselves.
        assert said == pytest.approx(variance[group].mean(), rel=0.03)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"girths_mm": {"waist": (1100.0, 2000.0)}}, "waist"),
        ({"girths_mm": {"full_hip": (500.0, 900.0)}}, "full hip"),
        ({"stature_mm": (1650.0, 1900.0)}, "height"),
    ],
)
def test_what_lies_beyond_the_models_bodies_is_told_by_name_and_widens(change, name):
    model = made_up(200.0, 16.0)
    shape = outlines(USUAL, 12.0)
    girths = {**model.girths_mm, **change.get("girths_mm", {})}
    narrow = replace(model, **{**change, "girths_mm": girths})
    inside, beyond = (infer(shape, one, None, living=False) for one in (model, narrow))
    assert inside.outside == ()
    assert beyond.outside == (name,)
    # 1.5 * 16 = 24 beside 12, and a prior of 200 takes 1 % off.
    assert beyond.found.u_first_order == pytest.approx(np.hypot(24, 12) * np.ones(6), rel=0.02)
    assert (beyond.found.high - beyond.found.low > inside.found.high - inside.found.low).all()


def test_a_girth_whose_residual_was_found_larger_is_less_sure_and_no_other():
    model = made_up(1e4, 16.0)
    spread = np.array([1.0, 1.0, 1.0, 1.0, 1.5, 1.0])
    likelihood = replace(model.likelihood, waist_shown=Tried(spread, {}))
    wider = infer(outlines(USUAL, 12.0), replace(model, likelihood=likelihood), None, living=False)
    # 1.5 * 16 = 24 beside 12.
    u = np.hypot(16.0 * spread, 12.0)
    assert wider.found.u_first_order == pytest.approx(u, rel=1e-3)


def test_a_waist_that_the_bust_holds_down_is_less_sure_and_so_is_the_high_hip():
    model = made_up(1e4, 16.0)
    wider = np.array([1.0, 1.0, 1.0, 1.5, 1.25, 1.0])
    likelihood = replace(model.likelihood, waist_held_down=Tried(wider, {}))
    shape = outlines(USUAL, 12.0, waist_shown=False)
    found = infer(shape, replace(model, likelihood=likelihood), None, living=False).found
    assert found.u_first_order == pytest.approx(np.hypot(16.0 * wider, 12.0), rel=1e-3)


def test_breadths_and_depths_are_linear_in_what_is_read():
    model = made_up(20.0, 16.0)
    widths = model.widths.copy()
    k = WIDTHS.index(("waist", "breadth"))
    # Constant, one feature, the stature.
    widths[k, [0, 1 + 3, -1]] = 5.0, 0.3, 0.01
    shape = outlines(USUAL, 12.0)
    found = infer(shape, replace(model, widths=widths), None, living=False).widths_mm
    assert found[k] == pytest.approx(5.0 + 300.0 + 16.0)
    assert np.delete(found, k) == pytest.approx(np.zeros(10))


def tangled(rng):
    """Relations and a prior in which everything goes with everything."""
    model = made_up(25.0, 10.0)
    mixed = rng.normal(0.0, 0.3, (COUNT, 6)) + model.likelihood.per_girth
    root = rng.normal(0.0, 6.0, (COUNT, COUNT)) + 8.0 * np.eye(COUNT)
    log_root = (rng.normal(0.0, 8.0, (6, 6)) + 20.0 * np.eye(6)) / USUAL
    outlines = replace(model.likelihood, per_girth=mixed, covariance=root @ root.T)
    prior = replace(model.prior, log_covariance=log_root @ log_root.T)
    return replace(model, likelihood=outlines, prior=prior)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_drawn_and_first_order_covariance_are_that_of_the_posterior(seed):
    """The inverse of the sum of both precisions, the prior's being over girth times girth."""
    rng = np.random.default_rng(seed)
    model = tangled(rng)
    truth = USUAL + rng.normal(0.0, 20.0, 6)
    seen = model.likelihood.per_girth @ truth
    found = infer(Outlines(seen, 7.0), model, None, living=False).found
    spread = model.likelihood.covariance + 7.0**2 * np.eye(COUNT)
    prior = model.prior.log_covariance * np.outer(found.value, found.value)
    A = model.likelihood.per_girth
    posterior = np.linalg.inv(A.T @ np.linalg.inv(spread) @ A + np.linalg.inv(prior))
    assert found.covariance_first_order == pytest.approx(posterior, rel=1e-5, abs=1e-4)
    # Of normal draws, a covariance has the variance (C_ii C_jj + C_ij^2) / n. Four times that.
    variances = np.diag(posterior)
    drawn = 4 * np.sqrt((np.outer(variances, variances) + posterior**2) / DRAWS)
    assert (np.abs(found.covariance - posterior) < drawn).all()
    # And the middle is the textbook's, but for the logarithm.
    weighed = A.T @ np.linalg.solve(spread, seen) + np.linalg.solve(prior, USUAL * np.ones(6))
    assert found.value == pytest.approx(posterior @ weighed, abs=1.0)


@pytest.mark.parametrize("seed", [4, 5])
def test_stated_bounds_hold_for_girths_drawn_from_the_prior(seed):
    """400 women drawn from the model itself: 95 % of 2400 girths, of which 6 go together."""
    rng = np.random.default_rng(seed)
    model = tangled(rng)
    log_root = np.linalg.cholesky(model.prior.log_covariance)
    root = np.linalg.cholesky(model.likelihood.covariance)
    inside = []
    for _ in range(400):
        girths = np.exp(model.prior.log_mean + log_root @ rng.normal(size=6))
        clean = model.likelihood.per_girth @ girths + root @ rng.normal(size=COUNT)
        shape = Outlines(clean + 7.0 * rng.normal(size=COUNT), 7.0)
        found = infer(shape, model, None, living=False).found
        inside.append((found.low < girths) & (girths < found.high))
    # sqrt(0.95 * 0.05 / 2400) = 0.45 % were all independent; four times that.
    assert np.mean(inside) == pytest.approx(0.95, abs=0.018)


@settings(max_examples=25)
@given(st.floats(900, 1100), st.floats(1, 100), st.floats(1, 100), st.floats(5, 80))
def test_an_estimate_lies_between_usual_and_seen_and_is_surer_than_either(
    girth, photo_u, residual, prior_u
):
    found = infer(outlines(girth, photo_u), made_up(prior_u, residual), None, living=False)
    low, high = sorted((girth, USUAL))
    assert (found.found.value > low - 1e-6).all()
    assert (found.found.value < high + 1e-6).all()
    if not found.outside:
        # The prior is so many per cent of the girth.
        prior = prior_u * found.found.value / USUAL
        assert (found.found.u_first_order < prior + 1e-3).all()
        assert (found.found.u_first_order < np.hypot(photo_u, residual) + 1e-3).all()
