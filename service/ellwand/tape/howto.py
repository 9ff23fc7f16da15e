"""How one person alone takes each measurement with a tape: the one place that these words are in.

Sources: the definitions are those of `measurements.KINDS` (ISO 8559-1 as far as named there); how
they are taken alone is common practice, no source, unless another one stands beside it.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class HowTo:
    """How one measurement is taken; its drawing is the group of this code in the page's howto.svg.

    Args:
        code: key of `measurements.KINDS`.
        where: where the tape goes.
        wear: what to wear.
        level: how to see that it lies level, or straight.
        tight: how tight it lies.
        wrong: what goes wrong, a sentence each.
    """

    code: str
    where: str
    wear: str
    level: str
    tight: str
    wrong: tuple[str, ...]

    def parts(self) -> tuple[tuple[str, str], ...]:
        """Headings and texts, in the order in which they are told; what goes wrong comes after."""
        return (
            ("Where the tape goes", self.where),
            ("What to wear", self.wear),
            ("Does it lie right?", self.level),
            ("How tight", self.tight),
        )


CAUTIONS = (
    "For adults only.",
    "Take pins and brooches out of what you wear before you begin.",
    "Never pull a tape tight round your neck; where a length begins there, only lay it on.",
    "Stop and sit down when you feel dizzy. Do not hold your breath, and do not climb on anything "
    "to see yourself.",
)

BEFORE = (
    "A soft tape that has not stretched: lay it along a ruler; if 30 cm (12 in) of it are off by "
    "more than the width of a line, take another one. Look which edge has centimetres and which "
    "has inches, and find the very end where the numbers begin.",
    "A narrow elastic, tied round your middle so that it stays but does not cut in. Bend to both "
    "sides and sway: where it comes to rest, between the lowest ribs and the hip bone, is your "
    "waist. Leave it on.",
    "A mirror in which you see yourself from the side. Better still, prop your phone up as high as "
    "your waist, set its timer, and photograph yourself from the side and from behind with the "
    "tape on. That photo is for your eyes alone: look at it, then delete it.",
    "Stand as you always do, weight on both feet, and look straight ahead, not down at the tape. "
    "Hold the ends in front with one hand, and let the other arm hang.",
    "Breathe out gently, and read before you breathe in again. Do not pull anything in.",
    "Read where the beginning of the tape meets the rest, as exactly as the tape has lines. "
    "Take the tape off and do all of it once more; both numbers are wanted.",
    # Most slips with a tape depend on the side or end that is read.
    "Has your tape centimetres on one side and inches on the other? Then turn it over for the "
    "second time, and type each number with its unit: a slip made on one side is hardly made on "
    "the other, too.",
)

_BRA = "The bra that you will wear under the garment, unpadded, and at most one thin, close top."
_CLOSE = "Underwear, or something thin and close with no waistband, belt or pocket under the tape."
_BARE = "A bare arm, or a thin, close sleeve; no watch, no ring, no bracelet."
_SIDE = (
    "Turn sideways to the mirror, or let the phone's timer photograph you from the side with the "
    "tape on: it must run as level as the floor, as high at the back as in front."
)
_FINGER = (
    "It lies on the body all round, and one finger just slides under it. It leaves no dent and "
    "does not slip down when you let go of it at the back."
)
_STRAIGHT = "Drawn straight without pulling: it lies on the body and does not stretch."
_POINTS = (
    "Find the shoulder point: lift your arm sideways, and a small hollow forms where the bone of "
    "the shoulder ends. Put a small sticker there, and let the arm hang again."
)
_SAG = (
    "The tape has slipped down at the back, where you do not see it. This is the most common slip "
    "of all."
)

_HOW_TOS = (
    HowTo(
        "stature",
        where="Stand with heels, seat and shoulders against a door or wall, and look straight "
        "ahead. Lay a book flat on your head, its back pressed against the wall, and mark with a "
        "pencil where its lower edge is. Step away and measure from the floor to the mark.",
        wear="No shoes, hair flat.",
        level="The back of the book must touch the wall along its whole width; only then does it "
        "lie level. The tape hangs straight down from the mark.",
        tight="Straight from floor to mark. Stand on the end of the tape, or use one of steel.",
        wrong=(
            "The book is tilted, or rests on piled up hair.",
            "A deep carpet or a skirting board keeps your heels away from the wall.",
            "The height is remembered from years ago, and not measured.",
        ),
    ),
    HowTo(
        "high_bust",
        where="Lay the tape round your back and bring it forward straight under both armpits; it "
        "meets in front above the bust, where the chest is still flat. Let your arms hang, then "
        "read.",
        wear=_BRA,
        level=f"{_SIDE} From behind, it lies over the shoulder blades and higher than the bra.",
        tight=_FINGER,
        wrong=(
            _SAG,
            "In front it has slid down on the bust: then it is nearer the full bust.",
            "The arms are still lifted, which widens the chest.",
        ),
    ),
    HowTo(
        "full_bust",
        where="Lay the tape round your waist first, then slide it up with both hands, at the back "
        "too, until it lies over the fullest part of the bust.",
        wear=_BRA,
        level=f"{_SIDE} From behind, it lies on the ends of the shoulder blades, about where the "
        "bra does.",
        tight=f"{_FINGER} The bust keeps its shape; between the breasts the tape goes straight "
        "across.",
        wrong=(
            _SAG,
            "The tape presses the bust flat, and the garment will do so, too.",
            "A padded bra or a thick top adds centimetres that nobody can take off again.",
            "The fullest part was missed: slide it up and down by a finger; the largest counts.",
        ),
    ),
    HowTo(
        "underbust",
        where="Directly below the bust, round the ribs, the tape's upper edge in the fold or where "
        "the lower edge of the bra lies.",
        wear=_BRA,
        level=_SIDE,
        tight=_FINGER,
        # Derasse et al. 2021, Respir Care 66:661: lower chest expansion of 40 mm on average.
        wrong=(
            "It was read on a full breath, which widens the ribs by about 4 cm (1 1/2 in). Breathe "
            "out gently, then read.",
            _SAG,
            "In front it lies on the bust, not below it.",
        ),
    ),
    HowTo(
        "waist",
        where="Over the tied elastic, where that has come to rest between the lowest ribs and the "
        "hip bone. Bend and sway once more before you trust it.",
        wear=_CLOSE,
        level=f"{_SIDE} The elastic shows the way: it must be level itself.",
        tight=f"{_FINGER} Let the belly be as it is.",
        wrong=(
            "It was taken at the navel or at the waistband of trousers, which often lie lower.",
            "The belly was pulled in, or the breath held.",
            _SAG,
        ),
    ),
    HowTo(
        "high_hip",
        where="Measure 9 cm (3 1/2 in) straight down from the elastic at both sides and put a "
        "sticker there, over the hip bones. The tape goes round at the height of the stickers.",
        wear=_CLOSE,
        level=_SIDE,
        tight=f"{_FINGER} It goes over the belly, not under it.",
        wrong=(
            "It has slid up, because the body narrows towards the waist.",
            "It was taken below the belly in front.",
            _SAG,
        ),
    ),
    HowTo(
        "full_hip",
        where="Feet together. Look at yourself from the side: where the seat stands out furthest, "
        "there the tape goes round.",
        wear=_CLOSE,
        level=_SIDE,
        tight=f"{_FINGER} In front it goes straight across.",
        wrong=(
            "It lies too high, on the hip bones: slide it up and down by a finger; the largest "
            "counts.",
            "Something is in the pockets, or the cloth is thick.",
            _SAG,
        ),
    ),
    HowTo(
        "shoulder_width",
        where=f"{_POINTS} Do so on both sides. Fix the beginning of the tape to one sticker with a "
        "strip of skin-friendly tape, and lead it across the back to the other.",
        wear="Bare shoulders, or straps and a thin top.",
        level="Photograph yourself from behind with the timer: the tape runs straight from sticker "
        "to sticker, just below the nape.",
        tight=_STRAIGHT,
        wrong=(
            "It begins out on the arm, or ends there.",
            "The shoulders are drawn up, back or forward while you reach over: let both arms hang "
            "for the photo and read the tape on it.",
            "It sags down the back.",
        ),
    ),
    HowTo(
        "back_waist_length",
        where="Bow your head: the bone that stands out most at the back of the neck is the nape. "
        "Fix the beginning of the tape on it with a strip of skin-friendly tape, raise your head, "
        "and let the tape hang down along the spine. Pinch it where it crosses the elastic, bring "
        "it forward and read.",
        wear=f"{_BRA} Hair up.",
        level="Photograph yourself from behind with the timer: the tape runs down the middle, and "
        "the elastic is level.",
        tight="It follows the back lightly, into the hollow above the waist, and is not pulled.",
        wrong=(
            "The head was still bowed when it was read.",
            "It begins at the hairline, or at a bone further down.",
            "The elastic has moved while you reached behind you.",
        ),
    ),
    HowTo(
        "shoulder_to_bust",
        where="From the top of the shoulder, right beside the neck, down over the chest to the "
        "bust point. Only lay the tape on; nothing goes round the neck.",
        wear=_BRA,
        level="In the mirror: it runs straight down to the bust point of the same side.",
        tight=_STRAIGHT,
        wrong=(
            "It begins at the outer end of the shoulder.",
            "It is pressed into the hollow above the bust.",
            "You look down at it, which lowers the shoulder: look into the mirror.",
        ),
    ),
    HowTo(
        "arm_length",
        where=f"{_POINTS} Fix the beginning of the tape on it, put the hand on your hip so that "
        "the arm is a little bent, and lead the tape down the outside, over the elbow, to the bone "
        "that stands out at the wrist.",
        wear=_BARE,
        level="In the mirror: it runs along the outside of the arm and over the elbow.",
        tight=_STRAIGHT,
        wrong=(
            "The arm is stretched: a sleeve of that length pulls when you bend it.",
            "It cuts across inside the elbow.",
            "It begins at the neck, or ends at the hand.",
        ),
    ),
    HowTo(
        "upper_arm",
        where="Lay the tape in a loop, slip the arm through, and draw it up to the fullest part, "
        "below the armpit. Let the arm hang and close the loop with the other hand.",
        wear=_BARE,
        level="In the mirror: it goes square round the arm, not slanting.",
        tight=_FINGER,
        wrong=(
            "The muscle is tense because the arm is lifted or bent.",
            "The tape slants: push it up on the inside, where you do not see it.",
        ),
    ),
    HowTo(
        "wrist",
        where="Round the wrist, over the bone that stands out on the side of the little finger.",
        wear=_BARE,
        level="Hold the forearm up in front of you: the tape goes square round it.",
        tight=_FINGER,
        wrong=(
            "It lies above the bone, where the arm is thinner.",
            "It is drawn so tight that the skin bulges.",
        ),
    ),
    HowTo(
        "hand",
        where="Tuck the thumb into the palm as if to slip the hand through a narrow cuff, and go "
        "round the knuckles at the widest place.",
        wear="No rings.",
        level="Hold the hand flat in front of you: the tape goes straight over the knuckles and "
        "round the thumb's joint.",
        tight="It lies on all round and can still be drawn off over the fingers.",
        wrong=(
            "The thumb stands off, or was left outside.",
            "It lies on the fingers, in front of the knuckles.",
        ),
    ),
    HowTo(
        "waist_to_hip",
        where="Put a sticker at the side of the hip, as high as the place where the seat stands "
        "out furthest. Hold the beginning of the tape at the elastic, straight above, and let it "
        "hang down to the sticker.",
        wear=_CLOSE,
        level="From the front in the mirror: it hangs straight down like a plumb line, and does "
        "not follow the curve of the hip.",
        tight="It hangs by its own weight.",
        wrong=(
            "It was laid along the curve of the hip, which is longer.",
            "It begins at the waistband and not at the elastic.",
        ),
    ),
    HowTo(
        "inside_leg",
        where="Stand with your back to the wall, feet a hand apart. Draw a thin book up between "
        "the legs, its back against the wall, until it touches gently. Mark its upper edge, step "
        "away, and measure from the floor to the mark.",
        wear="Underwear or thin, close leggings; no shoes.",
        level="The back of the book must touch the wall along its whole height; only then is its "
        "upper edge level.",
        tight="The book touches as trousers would, and does not press.",
        wrong=(
            "The book was pulled up hard.",
            "The seam of loose trousers was measured and not the leg.",
            "The feet stand far apart.",
        ),
    ),
)  # fmt: skip
HOW_TOS: dict[str, HowTo] = {one.code: one for one in _HOW_TOS}
