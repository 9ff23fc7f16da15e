"""From a rendered PNG to what a phone would have stored: noise, softness, JPEG, EXIF."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import ExifTags, Image, ImageFilter

MOST_BYTES = 400_000
# Softness of lens and demosaicing and noise of the sensor; judged.
SOFT_PX = 0.45
NOISE_LEVELS = 1.6
# EXIF orientation to the turn that the stored pixels need (Exif 2.32, tag 0x0112).
STORED_TURN = {6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}


def as_taken(rendered: Image.Image, seed: int) -> Image.Image:
    """Give a rendering the softness and the noise of a phone's picture."""
    soft = rendered.convert("RGB").filter(ImageFilter.GaussianBlur(SOFT_PX))
    values = np.asarray(soft, dtype=np.float64)
    noise = np.random.default_rng(seed).normal(0.0, NOISE_LEVELS, values.shape)
    return Image.fromarray(np.clip(values + noise, 0, 255).round().astype(np.uint8))


def exif_of(f35_mm: int | None, orientation: int | None) -> Image.Exif:
    """Give the EXIF block with the 35 mm equivalent focal length and the orientation."""
    block = Image.Exif()
    if orientation is not None:
        block[ExifTags.Base.Orientation] = orientation
    if f35_mm is not None:
        block.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = f35_mm
    return block


def write_photo(
    upright: Image.Image, path: Path, f35_mm: int | None, orientation: int | None
) -> None:
    """Write a JPEG of at most 400 kB, its pixels stored the way the orientation says."""
    turn = STORED_TURN.get(orientation or 1)
    stored = upright if turn is None else upright.transpose(turn)
    block = exif_of(f35_mm, orientation)
    for quality in range(92, 30, -2):
        kept = io.BytesIO()
        stored.save(kept, "JPEG", quality=quality, optimize=True, exif=block, subsampling=2)
        if kept.tell() <= MOST_BYTES:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(kept.getvalue())
            return
    raise ValueError(f"{path.name} does not fit into {MOST_BYTES} bytes")
