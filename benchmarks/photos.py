"""What it costs to decode strangers' pictures in a process of their own: `python -m benchmarks.photos`.

Both ways must give the same bytes before anything is timed, in processor time of both processes. Pictures are made
here: noise drawn large, as a hard case for JPEG. Peak memory of the decoding process is the kernel's high-water mark;
of this one, how much it grew.
"""

from __future__ import annotations

import os
import resource
import time
from collections.abc import Callable
from functools import partial
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

from registry.intake import Decoder
from registry.methods.photo import PictureRefused, clean_picture
from tests.pictures import vast_png

MEGABYTES, MEGAPIXELS = 12_000_000, 40_000_000
SIZES = {"0.01 MP": (120, 80), "1 MP": (1200, 800), "12 MP": (4000, 3000), "40 MP": (7700, 5190)}
ROUNDS = {"0.01 MP": 100, "1 MP": 12, "12 MP": 3, "40 MP": 1}


def jpeg(width: int, height: int) -> bytes:
    noise = np.random.default_rng(width).integers(
        0, 255, (height // 16 + 1, width // 16 + 1, 3), dtype=np.uint8
    )
    written = BytesIO()
    Image.fromarray(noise).resize((width, height), Image.Resampling.BICUBIC).save(written, "JPEG", quality=85)
    return written.getvalue()


def refused(decoder: Decoder) -> None:
    """A PNG that says 50,000 x 50,000 pixels is sent; the file is small."""
    try:
        decoder.decode(vast_png(), MEGABYTES, MEGAPIXELS)
    except PictureRefused:
        return
    raise AssertionError("the bomb was taken")


def process_of(decoder: Decoder) -> int:
    [worker] = [each for each in decoder.workers.queue if each is not None]
    return worker.process.pid


def processor_time(decoder: Decoder) -> float:
    """Seconds that both processes have computed; of the other, in hundredths (proc(5), utime and stime)."""
    told = Path(f"/proc/{process_of(decoder)}/stat").read_text().rpartition(")")[2].split()
    return time.process_time() + (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def cost(decoder: Decoder, do: Callable[[], object], rounds: int) -> float:
    """Seconds of processor time for one: other work on the machine does not count."""
    started = processor_time(decoder)
    for _ in range(rounds):
        do()
    return (processor_time(decoder) - started) / rounds


def high_water(decoder: Decoder) -> int:
    """Megabytes that the decoding process has held at most."""
    with open(f"/proc/{process_of(decoder)}/status") as told:
        line = next(line for line in told if line.startswith("VmHWM"))
    return int(line.split()[1]) // 1024


def grown(do: Callable[[], object]) -> int:
    """By how many megabytes this process's high-water mark rises."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    do()
    return (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024


def row(name: str) -> str:
    upload, decoder = jpeg(*SIZES[name]), Decoder(at_once=1)
    apart = partial(decoder.decode, upload, MEGABYTES, MEGAPIXELS)
    here = partial(clean_picture, upload, MEGABYTES, MEGAPIXELS)
    assert apart() == here(), name
    memory = high_water(decoder)
    times = cost(decoder, apart, ROUNDS[name]), cost(decoder, here, ROUNDS[name])
    decoder.close()
    told = " | ".join(f"{1000 * each:.0f} ms" for each in times)
    return f"| {name}, {len(upload) / 1e6:.2f} MB | {told} | {times[0] / times[1]:.2f} | {memory} MB |"


def main() -> None:
    starting = Decoder(at_once=1)
    upload, before = jpeg(120, 80), time.process_time()
    starting.decode(upload, MEGABYTES, MEGAPIXELS)
    print(f"first picture, the process being started: {processor_time(starting) - before:.2f} s")
    rise = grown(partial(refused, starting))
    taken = 1000 * cost(starting, partial(refused, starting), 20)
    print(f"a bomb of 2,500 megapixels: refused in {taken:.1f} ms, this process grew by {rise} MB")
    starting.close()
    print(
        "| picture | in a process of its own | here | ratio | that process at most |\n|---|---|---|---|---|"
    )
    for name in SIZES:
        print(row(name))


if __name__ == "__main__":
    main()
