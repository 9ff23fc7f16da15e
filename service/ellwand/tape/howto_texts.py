"""The texts of how each measurement is taken: the one place that these words are in.

Sources: the definitions are those of `measurements.KINDS` (ISO 8559-1 as far as named there); how
they are taken alone is common practice, no source, unless another one stands beside it.
"""

from dataclasses import dataclass

from ellwand.language import gettext_noop

# A text of the catalogues, or several that are said one after the other.
Texts = str | tuple[str, ...]


@dataclass(frozen=True)
class Written:
    """How one measurement is taken, as it is written.

    Args:
        code: key of `measurements.KINDS`.
        where: where the tape goes.
        wear: what to wear.
        level: how to see that it lies level, or straight.
        tight: how tight it lies.
        wrong: what goes wrong, a text each.
    """

    code: str
    where: Texts
    wear: Texts
    level: Texts
    tight: Texts
    wrong: tuple[str, ...]


_BRA = gettext_noop(
    "The bra that you will wear under the garment, unpadded, and at most one thin, close top."
)
_CLOSE = gettext_noop(
    "Underwear, or something thin and close with no waistband, belt or pocket under the tape."
)
_BARE = gettext_noop("A bare arm, or a thin, close sleeve; no watch, no ring, no bracelet.")
_SIDE = gettext_noop(
    "Turn sideways to the mirror, or let the phone's timer photograph you from the side with the "
    "tape on: it must run as level as the floor, as high at the back as in front."
)
_FINGER = gettext_noop(
    "It lies on the body all round, and one finger just slides under it. It leaves no dent and "
    "does not slip down when you let go of it at the back."
)
_STRAIGHT = gettext_noop(
    "Drawn straight without pulling: it lies on the body and does not stretch."
)
_POINTS = gettext_noop(
    "Find the shoulder point: lift your arm sideways, and a small hollow forms where the bone of "
    "the shoulder ends. Put a small sticker there, and let the arm hang again."
)
_SAG = gettext_noop(
    "The tape has slipped down at the back, where you do not see it. This is the most common slip "
    "of all."
)

WRITTEN = (
    Written(
        "stature",
        where=gettext_noop(
            "Stand with heels, seat and shoulders against a door or wall, and look straight "
            "ahead. Lay a book flat on your head, its back pressed against the wall, and mark "
            "with a pencil where its lower edge is. Step away and measure from the floor to the "
            "mark."
        ),
        wear=gettext_noop("No shoes, hair flat."),
        level=gettext_noop(
            "The back of the book must touch the wall along its whole width; only then does it "
            "lie level. The tape hangs straight down from the mark."
        ),
        tight=gettext_noop(
            "Straight from floor to mark. Stand on the end of the tape, or use one of steel."
        ),
        wrong=(
            gettext_noop("The book is tilted, or rests on piled up hair."),
            gettext_noop("A deep carpet or a skirting board keeps your heels away from the wall."),
            gettext_noop("The height is remembered from years ago, and not measured."),
        ),
    ),
    Written(
        "high_bust",
        where=gettext_noop(
            "Lay the tape round your back and bring it forward straight under both armpits; it "
            "meets in front above the bust, where the chest is still flat. Let your arms hang, "
            "then read."
        ),
        wear=_BRA,
        level=(
            _SIDE,
            gettext_noop("From behind, it lies over the shoulder blades and higher than the bra."),
        ),
        tight=_FINGER,
        wrong=(
            _SAG,
            gettext_noop("In front it has slid down on the bust: then it is nearer the full bust."),
            gettext_noop("The arms are still lifted, which widens the chest."),
        ),
    ),
    Written(
        "full_bust",
        where=gettext_noop(
            "Lay the tape round your waist first, then slide it up with both hands, at the back "
            "too, until it lies over the fullest part of the bust."
        ),
        wear=_BRA,
        level=(
            _SIDE,
            gettext_noop(
                "From behind, it lies on the ends of the shoulder blades, about where the bra "
                "does."
            ),
        ),
        tight=(
            _FINGER,
            gettext_noop(
                "The bust keeps its shape; between the breasts the tape goes straight across."
            ),
        ),
        wrong=(
            _SAG,
            gettext_noop("The tape presses the bust flat, and the garment will do so, too."),
            gettext_noop(
                "A padded bra or a thick top adds centimetres that nobody can take off again."
            ),
            gettext_noop(
                "The fullest part was missed: slide it up and down by a finger; the largest "
                "counts."
            ),
        ),
    ),
    Written(
        "underbust",
        where=gettext_noop(
            "Directly below the bust, round the ribs, the tape's upper edge in the fold or where "
            "the lower edge of the bra lies."
        ),
        wear=_BRA,
        level=_SIDE,
        tight=_FINGER,
        # Derasse et al. 2021, Respir Care 66:661: lower chest expansion of 40 mm on average.
        wrong=(
            gettext_noop(
                "It was read on a full breath, which widens the ribs by about 4 cm (1 1/2 in). "
                "Breathe out gently, then read."
            ),
            _SAG,
            gettext_noop("In front it lies on the bust, not below it."),
        ),
    ),
    Written(
        "waist",
        where=gettext_noop(
            "Over the tied elastic, where that has come to rest between the lowest ribs and the "
            "hip bone. Bend and sway once more before you trust it."
        ),
        wear=_CLOSE,
        level=(
            _SIDE,
            gettext_noop("The elastic shows the way: it must be level itself."),
        ),
        tight=(
            _FINGER,
            gettext_noop("Let the belly be as it is."),
        ),
        wrong=(
            gettext_noop(
                "It was taken at the navel or at the waistband of trousers, which often lie "
                "lower."
            ),
            gettext_noop("The belly was pulled in, or the breath held."),
            _SAG,
        ),
    ),
    Written(
        "high_hip",
        where=gettext_noop(
            "Measure 9 cm (3 1/2 in) straight down from the elastic at both sides and put a "
            "sticker there, over the hip bones. The tape goes round at the height of the "
            "stickers."
        ),
        wear=_CLOSE,
        level=_SIDE,
        tight=(
            _FINGER,
            gettext_noop("It goes over the belly, not under it."),
        ),
        wrong=(
            gettext_noop("It has slid up, because the body narrows towards the waist."),
            gettext_noop("It was taken below the belly in front."),
            _SAG,
        ),
    ),
    Written(
        "full_hip",
        where=gettext_noop(
            "Feet together. Look at yourself from the side: where the seat stands out furthest, "
            "there the tape goes round."
        ),
        wear=_CLOSE,
        level=_SIDE,
        tight=(
            _FINGER,
            gettext_noop("In front it goes straight across."),
        ),
        wrong=(
            gettext_noop(
                "It lies too high, on the hip bones: slide it up and down by a finger; the "
                "largest counts."
            ),
            gettext_noop("Something is in the pockets, or the cloth is thick."),
            _SAG,
        ),
    ),
    Written(
        "shoulder_width",
        where=(
            _POINTS,
            gettext_noop(
                "Do so on both sides. Fix the beginning of the tape to one sticker with a strip "
                "of skin-friendly tape, and lead it across the back to the other."
            ),
        ),
        wear=gettext_noop("Bare shoulders, or straps and a thin top."),
        level=gettext_noop(
            "Photograph yourself from behind with the timer: the tape runs straight from sticker "
            "to sticker, just below the nape."
        ),
        tight=_STRAIGHT,
        wrong=(
            gettext_noop("It begins out on the arm, or ends there."),
            gettext_noop(
                "The shoulders are drawn up, back or forward while you reach over: let both arms "
                "hang for the photo and read the tape on it."
            ),
            gettext_noop("It sags down the back."),
        ),
    ),
    Written(
        "back_waist_length",
        where=gettext_noop(
            "Bow your head: the bone that stands out most at the back of the neck is the nape. "
            "Fix the beginning of the tape on it with a strip of skin-friendly tape, raise your "
            "head, and let the tape hang down along the spine. Pinch it where it crosses the "
            "elastic, bring it forward and read."
        ),
        wear=(
            _BRA,
            gettext_noop("Hair up."),
        ),
        level=gettext_noop(
            "Photograph yourself from behind with the timer: the tape runs down the middle, and "
            "the elastic is level."
        ),
        tight=gettext_noop(
            "It follows the back lightly, into the hollow above the waist, and is not pulled."
        ),
        wrong=(
            gettext_noop("The head was still bowed when it was read."),
            gettext_noop("It begins at the hairline, or at a bone further down."),
            gettext_noop("The elastic has moved while you reached behind you."),
        ),
    ),
    Written(
        "shoulder_to_bust",
        where=gettext_noop(
            "From the top of the shoulder, right beside the neck, down over the chest to the "
            "bust point. Only lay the tape on; nothing goes round the neck."
        ),
        wear=_BRA,
        level=gettext_noop(
            "In the mirror: it runs straight down to the bust point of the same side."
        ),
        tight=_STRAIGHT,
        wrong=(
            gettext_noop("It begins at the outer end of the shoulder."),
            gettext_noop("It is pressed into the hollow above the bust."),
            gettext_noop("You look down at it, which lowers the shoulder: look into the mirror."),
        ),
    ),
    Written(
        "arm_length",
        where=(
            _POINTS,
            gettext_noop(
                "Fix the beginning of the tape on it, put the hand on your hip so that the arm "
                "is a little bent, and lead the tape down the outside, over the elbow, to the "
                "bone that stands out at the wrist."
            ),
        ),
        wear=_BARE,
        level=gettext_noop(
            "In the mirror: it runs along the outside of the arm and over the elbow."
        ),
        tight=_STRAIGHT,
        wrong=(
            gettext_noop("The arm is stretched: a sleeve of that length pulls when you bend it."),
            gettext_noop("It cuts across inside the elbow."),
            gettext_noop("It begins at the neck, or ends at the hand."),
        ),
    ),
    Written(
        "upper_arm",
        where=gettext_noop(
            "Lay the tape in a loop, slip the arm through, and draw it up to the fullest part, "
            "below the armpit. Let the arm hang and close the loop with the other hand."
        ),
        wear=_BARE,
        level=gettext_noop("In the mirror: it goes square round the arm, not slanting."),
        tight=_FINGER,
        wrong=(
            gettext_noop("The muscle is tense because the arm is lifted or bent."),
            gettext_noop("The tape slants: push it up on the inside, where you do not see it."),
        ),
    ),
    Written(
        "wrist",
        where=gettext_noop(
            "Round the wrist, over the bone that stands out on the side of the little finger."
        ),
        wear=_BARE,
        level=gettext_noop("Hold the forearm up in front of you: the tape goes square round it."),
        tight=_FINGER,
        wrong=(
            gettext_noop("It lies above the bone, where the arm is thinner."),
            gettext_noop("It is drawn so tight that the skin bulges."),
        ),
    ),
    Written(
        "hand",
        where=gettext_noop(
            "Tuck the thumb into the palm as if to slip the hand through a narrow cuff, and go "
            "round the knuckles at the widest place."
        ),
        wear=gettext_noop("No rings."),
        level=gettext_noop(
            "Hold the hand flat in front of you: the tape goes straight over the knuckles and "
            "round the thumb's joint."
        ),
        tight=gettext_noop("It lies on all round and can still be drawn off over the fingers."),
        wrong=(
            gettext_noop("The thumb stands off, or was left outside."),
            gettext_noop("It lies on the fingers, in front of the knuckles."),
        ),
    ),
    Written(
        "waist_to_hip",
        where=gettext_noop(
            "Put a sticker at the side of the hip, as high as the place where the seat stands "
            "out furthest. Hold the beginning of the tape at the elastic, straight above, and "
            "let it hang down to the sticker."
        ),
        wear=_CLOSE,
        level=gettext_noop(
            "From the front in the mirror: it hangs straight down like a plumb line, and does "
            "not follow the curve of the hip."
        ),
        tight=gettext_noop("It hangs by its own weight."),
        wrong=(
            gettext_noop("It was laid along the curve of the hip, which is longer."),
            gettext_noop("It begins at the waistband and not at the elastic."),
        ),
    ),
    Written(
        "inside_leg",
        where=gettext_noop(
            "Stand with your back to the wall, feet a hand apart. Draw a thin book up between "
            "the legs, its back against the wall, until it touches gently. Mark its upper edge, "
            "step away, and measure from the floor to the mark."
        ),
        wear=gettext_noop("Underwear or thin, close leggings; no shoes."),
        level=gettext_noop(
            "The back of the book must touch the wall along its whole height; only then is its "
            "upper edge level."
        ),
        tight=gettext_noop("The book touches as trousers would, and does not press."),
        wrong=(
            gettext_noop("The book was pulled up hard."),
            gettext_noop("The seam of loose trousers was measured and not the leg."),
            gettext_noop("The feet stand far apart."),
        ),
    ),
)  # fmt: skip
