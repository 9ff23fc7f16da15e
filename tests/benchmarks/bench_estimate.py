"""What an estimate costs: `python -m tests.benchmarks.bench_estimate [--runs N]`.

Two demo photos are enlarged to 12 megapixels. Printed are the time of JPEG decoding with bare pose
inference, of the whole estimate in the same warm process, their ratio, the peak memory of a fresh
process, how many different results the runs gave (it must be one), and the time of `--help`.
"""

import argparse
import contextlib
import io
import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

SITTING = Path(__file__).resolve().parents[2] / "demo_images" / "sittings" / "adela"
LONG_SIDE_PX = 4000
JPEG_QUALITY = 90
EXIF_IFD, FOCAL_LENGTH_IN_35MM_FILM = 0x8769, 0xA405


def enlarge(folder: Path, sitting: Path = SITTING) -> None:
    """Write both photos of a demo sitting as 12-megapixel photos of a phone."""
    from PIL import Image, ImageOps

    for view in ("front", "side"):
        with Image.open(sitting / f"{view}.jpg") as small:
            focal = small.getexif().get_ifd(EXIF_IFD)[FOCAL_LENGTH_IN_35MM_FILM]
            upright = ImageOps.exif_transpose(small).convert("RGB")
        factor = LONG_SIDE_PX / max(upright.size)
        size = round(upright.width * factor), round(upright.height * factor)
        exif = Image.Exif()
        exif.get_ifd(EXIF_IFD)[FOCAL_LENGTH_IN_35MM_FILM] = focal
        upright.resize(size, Image.Resampling.BICUBIC).save(
            folder / f"{view}.jpg", quality=JPEG_QUALITY, exif=exif
        )


def options(folder: Path) -> list[str]:
    """Arguments of `ellwand estimate` behind the sitting."""
    typed = json.loads((SITTING / "truth.json").read_text("utf-8"))["typed"]
    told = [f"--{key.replace('_', '-')}={text}" for key, text in typed.items() if text]
    return [f"--front={folder / 'front.jpg'}", f"--side={folder / 'side.jpg'}", *told, "--json"]


def bare(folder: Path) -> None:
    """Decode both photos and run the pose library on them, nothing else."""
    import numpy as np
    from PIL import Image

    from ellwand.photo.body import find_body

    for view in ("front", "side"):
        with Image.open(folder / f"{view}.jpg") as photo:
            find_body(np.asarray(photo.convert("RGB")))


def whole(folder: Path) -> bytes:
    """Run the command on a new sitting; what it printed and what it wrote."""
    from ellwand.cli import main

    sitting = folder / "sitting.json"
    sitting.unlink(missing_ok=True)
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["estimate", str(sitting), *options(folder)])
    if code:
        raise SystemExit(err.getvalue())
    return out.getvalue().encode() + sitting.read_bytes()


def peak_mib() -> float:
    """Peak memory of this process since it began."""
    with contextlib.suppress(OSError):
        # Linux hands the peak of the parent down to getrusage, but not to this file.
        for line in Path("/proc/self/status").read_text("ascii").splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def seconds(act: Callable[[], Any]) -> tuple[float, float]:
    """How long an act takes, by the clock and of the processor."""
    start = time.perf_counter(), time.process_time()
    act()
    return time.perf_counter() - start[0], time.process_time() - start[1]


def fresh(*arguments: str) -> str:
    """What this script prints in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_estimate", *arguments]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def compare(folder: Path, runs: int) -> None:
    """Print times, ratio and results of warm runs."""
    bare(folder)
    results = {whole(folder)}
    bares, wholes = [], []
    for _ in range(runs):
        bares.append(seconds(lambda: bare(folder)))
        wholes.append(seconds(lambda: results.add(whole(folder))))
    # The processor's time is worth more where other programs run beside this one.
    for number, by in enumerate(("by the clock", "of the processor")):
        decoding, estimate = (
            statistics.median(times[number] for times in kind) for kind in (bares, wholes)
        )
        print(f"time {by}, median of {runs}:")
        print(f"  JPEG decoding and bare pose inference, both photos: {decoding:.3f} s")
        print(f"  estimate end to end, warm: {estimate:.3f} s, ratio {estimate / decoding:.2f}")
    print(f"different results of {runs + 1} runs: {len(results)}")
    if len(results) > 1:
        raise SystemExit("the same command gave different bytes")


def main() -> None:
    """Print all figures, or one part in a process of its own."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--runs", type=int, default=10, help="warm runs (default 10)")
    arguments.add_argument("--peak", type=Path, help=argparse.SUPPRESS)
    chosen = arguments.parse_args()
    if chosen.peak:
        whole(chosen.peak)
        print(f"{peak_mib():.0f}")
        return
    helped = [sys.executable, "-m", "ellwand.cli", "--help"]
    best = min(
        seconds(lambda: subprocess.run(helped, check=True, stdout=subprocess.DEVNULL))[0]
        for _ in range(3)
    )
    print(f"ellwand --help: {best:.2f} s")
    with tempfile.TemporaryDirectory() as name:
        enlarge(Path(name))
        print(
            f"peak memory of one estimate in a fresh process: {fresh('--peak', name).strip()} MiB"
        )
        compare(Path(name), chosen.runs)


if __name__ == "__main__":
    main()
