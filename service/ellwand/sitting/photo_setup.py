"""What the customer types beside her photos: read exactly, checked, and noted in the sitting."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Literal, NamedTuple, NoReturn

from ellwand.errors import EntryProblem
from ellwand.measurements import KINDS
from ellwand.photo import sheets
from ellwand.quantity import LargeUnit, Length, Mass, parse_length, parse_mass
from ellwand.shown import in_unit
from ellwand.sitting.actions import with_setup, with_stature
from ellwand.sitting.height import HEIGHT, height_meant, height_of_photos
from ellwand.sitting.record import (
    PaperCode,
    ReferenceKind,
    Setup,
    Sitting,
    SittingUnit,
)
from ellwand.sitting.refused_entries import Entries, in_another_unit
from ellwand.sitting.typed import Typed, TypedWeight
from ellwand.tape import readable

if TYPE_CHECKING:
    from ellwand.geometry.sighting import View
    from ellwand.girth.setup import SetUp

# A check bar farther off than this was not printed at actual size, or was misread (judged).
MOST_PRINT_ERROR = 0.03
# No ankle is nearer to a wall behind the heels, nobody stands farther off for photos that show the
# sheets large enough, and a tape on the floor is no worse (judged).
LEAST_STANDOFF_MM, MOST_STANDOFF_MM, MOST_STANDOFF_BOUND_MM = 40.0, 1000.0, 500.0
# A phone's cameras, from the widest to the longest (Exif readers take no others, either).
FOCAL_LIMITS_MM = (10.0, 200.0)
# Adult women, with much room on both sides: of NHANES 2015-2016's, 44.5 and 137.9 kg are the 1st
# and 99th percentile (judged).
WEIGHT_LIMITS_KG = (30.0, 250.0)

_BARS: dict[Literal["across", "up"], float] = {
    "across": sheets.CHECK_BAR_ACROSS_MM,
    "up": sheets.CHECK_BAR_UP_MM,
}
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s*/?\s*-)\s*")
_FAR: tuple[LargeUnit, ...] = ("m",)
_AS_TALL: tuple[LargeUnit, ...] = ("m", "ft")
_BARE = re.compile(r"[\d\s.,/\u00bc-\u00be\u2044\u2150-\u215e-]+")
_NOTHING = re.compile(r"0(?:[.,]0{1,3})?\s*(?:mm|cm|m|in)?", re.IGNORECASE)


@dataclass(frozen=True)
class TypedSetup:
    """The texts as typed.

    Args:
        stature: her height.
        reference: kind of the reference object.
        paper: paper of the sheets.
        check_bars: printed lengths of the check bars, none to two.
        standoff_front: standoff in the front photo, with or without its error bound; None when
            the reference object is beside her.
        standoff_side: the same in the side photo.
        focal_35mm: focal length equivalent to 35 mm film; None takes what the camera wrote.
        weight: her weight, if she likes to tell it; None leaves the bounds wider.
    """

    stature: str
    reference: ReferenceKind
    paper: PaperCode = "a4"
    check_bars: tuple[str, ...] = ()
    standoff_front: str | None = None
    standoff_side: str | None = None
    focal_35mm: str | None = None
    weight: str | None = None


def with_typed_setup(record: Sitting, typed: TypedSetup) -> Sitting:
    """Note height and set-up; all of it, or nothing when a text cannot be read.

    A weight that was told before and is left out now is no longer held.

    Args:
        record: the sitting; bare lengths take its unit.
        typed: the texts.

    Raises:
        EntriesRefused: texts are not what is asked for; all of them are named.
    """
    setup = setup_typed(typed, record.unit)
    return with_setup(with_stature(record, typed.stature), setup)


def setup_typed(typed: TypedSetup, unit: SittingUnit) -> Setup:
    """Read what is typed beside photos.

    Args:
        typed: the texts.
        unit: of bare lengths.

    Raises:
        EntriesRefused: texts are not what is asked for; all of them are named.
    """
    entries = Entries()
    stature = entries.read(
        ("stature",),
        lambda: height_of_photos(typed.stature, unit),
        lambda: height_meant(typed.stature),
    )
    across, up = _check_bars(typed, unit, entries)
    front = _standoff_entry("standoff_front", typed.standoff_front, unit, entries)
    side = _standoff_entry("standoff_side", typed.standoff_side, unit, entries)
    focal = entries.read(("focal_35mm",), lambda: _focal_35mm(typed.focal_35mm))
    weight = entries.read(
        ("weight",),
        lambda: _weight(typed.weight, unit),
        lambda: _weight_meant(typed.weight or "", unit),
    )
    entries.check()
    return Setup(
        reference=typed.reference,
        paper=typed.paper if typed.reference in ("marker-sheets", "plain-sheets") else None,
        check_bar_across=across,
        check_bar_up=up,
        standoff_front=front and front.distance,
        standoff_front_bound=front and front.bound,
        standoff_side=side and side.distance,
        standoff_side_bound=side and side.bound,
        focal_35mm=focal,
        stature=Typed(raw=stature.raw, mm=stature.mm, unit=stature.unit) if stature else None,
        weight=weight,
    )


def without_weight(record: Sitting) -> Sitting:
    """The sitting as others than she may see it, whether she told her weight or not."""
    if record.setup is None:
        return record
    return record.model_copy(update={"setup": record.setup.model_copy(update={"weight": None})})


def set_up_of(setup: Setup) -> "SetUp":
    """The set-up as the estimate takes it.

    Args:
        setup: the set-up of a sitting.

    Raises:
        EntryProblem: her height was not noted.
    """
    # Imported here because it brings the numeric libraries along.
    from ellwand.girth.setup import TYPED_STANDOFF_BOUND_MM, SetUp

    if setup.stature is None:
        raise EntryProblem(
            "no-stature",
            "The height is missing, without which photos are not measured.",
            'Type it with the unit, like "168 cm" or "5 ft 6 in".',
        )
    standoffs: dict[View, tuple[float, float]] = {}
    if setup.standoff_front is not None:
        bound = setup.standoff_front_bound
        standoffs["front"] = setup.standoff_front.mm, bound.mm if bound else TYPED_STANDOFF_BOUND_MM
    if setup.standoff_side is not None:
        bound = setup.standoff_side_bound
        standoffs["side"] = setup.standoff_side.mm, bound.mm if bound else TYPED_STANDOFF_BOUND_MM
    return SetUp(
        stature_mm=setup.stature.mm,
        reference=setup.reference,
        paper=setup.paper or "a4",
        check_bars_mm=(
            setup.check_bar_across.mm if setup.check_bar_across else None,
            setup.check_bar_up.mm if setup.check_bar_up else None,
        ),
        standoffs_mm=standoffs,
        focal_35mm=setup.focal_35mm,
        mass_kg=setup.weight.kg if setup.weight else None,
    )


def _check_bars(
    typed: TypedSetup, unit: SittingUnit, entries: Entries
) -> tuple[Typed | None, Typed | None]:
    """Tell the bar across from the bar up by their lengths."""
    if typed.check_bars and typed.reference != "marker-sheets":
        entries.read(("check_bars",), _refuse_bars)
        return None, None
    found: dict[str, Typed] = {}
    for number, text in enumerate(typed.check_bars):
        meant = partial(
            in_another_unit, text, ("mm", "cm", "in"), lambda one: bool(_nearest_bar(one))
        )
        length = entries.read(("check_bars", number), partial(_check_bar, text, unit, meant), meant)
        if length is None:
            continue
        bar = _nearest_bar(length)
        if bar in found:
            entries.read(("check_bars",), partial(_refuse_twice, bar))
        found[bar] = Typed.of(length)
    return found.get("across"), found.get("up")


def _refuse_bars() -> NoReturn:
    raise EntryProblem(
        "check-bar-without-sheet",
        "Check bars are printed on marker sheets only.",
        "Leave the check bar out, or say that the reference is marker-sheets.",
    )


def _refuse_twice(bar: str) -> NoReturn:
    raise EntryProblem(
        "check-bar-twice",
        "Two lengths were given for the check bar across."
        if bar == "across"
        else "Two lengths were given for the check bar up.",
        "Give one for the bar across and one for the bar up, each measured once.",
    )


def _check_bar(text: str, unit: SittingUnit, meant: Callable[[], Length | None]) -> Length:
    length = parse_length(text, unit)
    if not _nearest_bar(length):
        if _BARE.fullmatch(text) and meant():
            raise EntryProblem(
                "check-bar-without-unit",
                "The unit is missing at a check bar.",
                'Type it with its unit, like "149.6 mm".',
            )
        raise EntryProblem(
            "check-bar-off",
            "A check bar is more than 3 % off the length printed beside it: {across} mm across, "
            "{up} mm up.",
            'Measure it again and type it with the unit, like "149.6 mm"; if it stays so, print '
            "the sheets again at 100 % (actual size).",
            **{bar: f"{nominal_mm:.0f}" for bar, nominal_mm in _BARS.items()},
        )
    return length


def _nearest_bar(length: Length) -> str:
    """The bar that a length is of; nothing when it is of neither."""
    near = [bar for bar, mm in _BARS.items() if abs(length.mm / mm - 1) <= MOST_PRINT_ERROR]
    return near[0] if near else ""


class _Standoff(NamedTuple):
    """A standoff and its error bound, where one was typed."""

    distance: Typed
    bound: Typed | None


def _standoff_entry(
    name: str, text: str | None, unit: SittingUnit, entries: Entries
) -> _Standoff | None:
    return entries.read((name,), lambda: _standoff(text, unit), lambda: _standoff_meant(text or ""))


def _standoff(text: str | None, unit: SittingUnit) -> _Standoff | None:
    """Read a standoff such as "30 cm" or "30 cm ± 1 cm"."""
    if text is None:
        return None
    value, *bounds = _PLUS_MINUS.split(text.strip())
    standoff = _distance(value, unit)
    if 0 < standoff.mm < LEAST_STANDOFF_MM:
        raise EntryProblem(
            "standoff-too-near",
            "So near to the wall no ankle bone is, even with the heels against it.",
            'Type it with its unit, like "30 cm", or leave both empty when the sheets stand beside '
            "you.",
        )
    if standoff.mm > MOST_STANDOFF_MM:
        raise EntryProblem(
            "standoff-implausible",
            "This standoff is farther than anybody stands from the wall for these photos: 1 m "
            "(39 in) at most.",
            "Type the distance from the sheets to the outer ankle bone (front) or to the middle "
            'between the feet (side), like "30 cm" or "12 in".',
        )
    bound = _one_bound(bounds, unit)
    return _Standoff(Typed.of(standoff), Typed.of(bound) if bound else None)


def _one_bound(texts: Sequence[str], unit: SittingUnit) -> Length | None:
    if not texts:
        return None
    bound = parse_length(texts[0], unit)
    if len(texts) > 1 or bound.mm > MOST_STANDOFF_BOUND_MM:
        raise EntryProblem(
            "standoff-bound-unreadable",
            "The error bound of the standoff cannot be used.",
            'Type one of at most half a metre, like "30 cm ± 1 cm", or leave it out.',
        )
    return bound


def _distance(text: str, unit: SittingUnit) -> Length:
    """Read a distance, which in contrast to a measurement may be nothing."""
    if _NOTHING.fullmatch(text):
        return Length(text, Fraction(0), unit)
    as_tall = _as_tall(text)
    if as_tall and as_tall.mm <= MOST_STANDOFF_MM:
        raise EntryProblem(
            "standoff-in-feet",
            "A standoff is not typed in feet.",
            'Type a distance like "30 cm", "0.3 m" or "12 in".',
        )
    return as_tall or parse_length(text, unit, _FAR)


def _as_tall(text: str) -> Length | None:
    """A distance in feet, or in metres with centimetres beside them; None for any other text."""
    return None if readable(text, "cm", _FAR) else readable(text, "cm", _AS_TALL)


def _standoff_meant(text: str) -> Length | None:
    """What a standoff that cannot be used may be: feet as inches, or a number in another unit."""
    as_tall = _as_tall(text)
    if as_tall is None:
        return in_another_unit(text, ("mm", "cm", "m"), _is_no_height, _FAR)
    # Farther off is how far the phone stands, and not another unit.
    if as_tall.unit != "in" or not _is_a_standoff(as_tall):
        return None
    return parse_length(in_unit(as_tall.mm, "in"), "in")


def _is_a_standoff(one: Length) -> bool:
    return LEAST_STANDOFF_MM <= one.mm <= MOST_STANDOFF_MM


def _is_no_height(one: Length) -> bool:
    """Whether it is a standoff, and no height in the wrong field: 160 is hers, and not 160 mm."""
    tall = one.unit == "mm" and KINDS[HEIGHT].is_plausible(one.mm * 10)
    return _is_a_standoff(one) and not tall


def _focal_35mm(text: str | None) -> float | None:
    if text is None:
        return None
    focal = parse_length(text, "mm").mm
    if not FOCAL_LIMITS_MM[0] <= focal <= FOCAL_LIMITS_MM[1]:
        raise EntryProblem(
            "focal-implausible",
            "This is no focal length of a phone's camera.",
            'Type the one equivalent to 35 mm film, like "26", or leave it out.',
        )
    return focal


def _weight(text: str | None, unit: SittingUnit) -> TypedWeight | None:
    if text is None:
        return None
    try:
        mass = parse_mass(text)
    except EntryProblem as problem:
        # Of a number that is none in either unit, nobody is asked which it has.
        if problem.code == "weight-without-unit" and not _weight_meant(text, unit):
            _refuse_weight()
        raise
    if not _is_a_weight(mass):
        _refuse_weight()
    return TypedWeight.of(mass)


def _refuse_weight() -> NoReturn:
    raise EntryProblem(
        "weight-implausible",
        "Only a weight from 30 to 250 kg (67 to 551 lb) can be used.",
        'Check number and unit, and type both, like "70 kg" or "154 lb", or leave it out.',
    )


def _is_a_weight(mass: Mass) -> bool:
    return WEIGHT_LIMITS_KG[0] <= mass.kg <= WEIGHT_LIMITS_KG[1]


def _weight_meant(text: str, unit: SittingUnit) -> Mass | None:
    """What a bare number may be: in the unit that goes with hers for lengths, or the other one."""
    for other in ("lb", "kg") if unit == "in" else ("kg", "lb"):
        try:
            mass = parse_mass(f"{text.strip()} {other}")
        except EntryProblem:
            return None
        if _is_a_weight(mass):
            return mass
    return None
