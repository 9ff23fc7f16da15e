"""What is told of the tape before the first measurement: what to mind, and what to get ready.

Source: common practice; no text is said here, whoever shows one does.
"""

from ellwand.language import gettext_noop

CAUTIONS = (
    gettext_noop("For adults only."),
    gettext_noop("Take pins and brooches out of what you wear before you begin."),
    gettext_noop(
        "Never pull a tape tight round your neck; where a length begins there, only lay it on."
    ),
    gettext_noop(
        "Stop and sit down when you feel dizzy. Do not hold your breath, and do not climb on "
        "anything to see yourself."
    ),
)

BEFORE = (
    gettext_noop(
        "A soft tape that has not stretched: lay it along a ruler; if 30 cm (12 in) of it are off "
        "by more than the width of a line, take another one. Look which edge has centimetres and "
        "which has inches, and find the very end where the numbers begin."
    ),
    gettext_noop(
        "A narrow elastic, tied round your middle so that it stays but does not cut in. Bend to "
        "both sides and sway: where it comes to rest, between the lowest ribs and the hip bone, "
        "is your waist. Leave it on."
    ),
    gettext_noop(
        "A mirror in which you see yourself from the side. Better still, prop your phone up as "
        "high as your waist, set its timer, and photograph yourself from the side and from behind "
        "with the tape on. That photo is for your eyes alone: look at it, then delete it."
    ),
    gettext_noop(
        "Stand as you always do, weight on both feet, and look straight ahead, not down at the "
        "tape. Hold the ends in front with one hand, and let the other arm hang."
    ),
    gettext_noop(
        "Breathe out gently, and read before you breathe in again. Do not pull anything in."
    ),
    gettext_noop(
        "Read where the beginning of the tape meets the rest, as exactly as the tape has lines. "
        "Take the tape off and do all of it once more; both numbers are wanted."
    ),
    # Most slips with a tape depend on the side or end that is read.
    gettext_noop(
        "Has your tape centimetres on one side and inches on the other? Then turn it over for the "
        "second time, and type each number with its unit: a slip made on one side is hardly made "
        "on the other, too."
    ),
)
