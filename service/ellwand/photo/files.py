"""Why a file is no photo that can be measured in, told before a pixel of it is looked at."""

from collections.abc import Callable

from ellwand.errors import PhotoProblem

# Own limits: phones make up to 50 megapixels; below, the outline is too coarse (judged).
MOST_PIXELS = 50_000_000
LEAST_LONG_SIDE_PX = 1000
# A photo of 50 megapixels without loss takes about 100 MB; more is no photo (judged).
LARGEST_PHOTO_BYTES = 128_000_000


def check_size(width_px: int, height_px: int) -> None:
    """Compare a size with the limits.

    Args:
        width_px: as stored.
        height_px: as stored.

    Raises:
        PhotoProblem: there is no pixel in it, or it is too large or too small.
    """
    if not (width_px and height_px):
        raise damaged()
    if width_px * height_px > MOST_PIXELS:
        raise too_large()
    if max(width_px, height_px) < LEAST_LONG_SIDE_PX:
        raise too_small()


def heic() -> PhotoProblem:
    """The format of phones that needs a decoder of its own."""
    return PhotoProblem(
        "heic",
        "This photo is in the HEIC format, which ellwand does not open.",
        "Set the phone's camera to the most compatible format (JPEG) and take it again, "
        "or send the photo to yourself as a JPEG.",
    )


def not_a_photo() -> PhotoProblem:
    """Neither of the two formats."""
    return PhotoProblem(
        "not-a-photo",
        "This file is not a JPEG or PNG photo.",
        "Choose the photo itself, as the phone's camera made it.",
    )


def not_from_a_camera() -> PhotoProblem:
    """One of the two formats, used as no camera uses it: to move, or to wear out a decoder."""
    return PhotoProblem(
        "not-from-a-camera",
        "This picture is stored in a way in which no camera stores a photo.",
        "Choose the photo itself, as the phone's camera made it.",
    )


def damaged() -> PhotoProblem:
    """The parts of the file do not belong together, or some are missing."""
    return PhotoProblem(
        "damaged",
        "This photo file is damaged or not complete.",
        "Copy it from the phone again, or take the photo again.",
    )


def too_large() -> PhotoProblem:
    """More pixels than are opened."""
    return PhotoProblem(
        "too-large",
        "This photo has more than 50 million pixels.",
        "Set the camera to an ordinary size, 8 to 12 megapixels, and take it again.",
    )


def too_small() -> PhotoProblem:
    """Too few pixels for an outline."""
    return PhotoProblem(
        "too-small",
        "This photo is too small to measure in.",
        "Use the photo as the camera made it, not a preview or a copy from a messenger; "
        "its longer side must have at least 1000 pixels.",
    )


def file_too_large() -> PhotoProblem:
    """More bytes than are read."""
    return PhotoProblem(
        "file-too-large",
        "This file is far larger than a photo.",
        "Choose the photo itself, as the phone's camera made it.",
    )


# All that a file can be refused for.
REFUSALS: tuple[Callable[[], PhotoProblem], ...] = (
    heic,
    not_a_photo,
    not_from_a_camera,
    damaged,
    too_large,
    too_small,
    file_too_large,
)
