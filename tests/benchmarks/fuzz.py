"""Damaged and odd files read by the thousand: each must end as a picture or a refusal in words.

python tests/benchmarks/fuzz.py [--count 3000] [--first 0]     mutated seeds of every format (30 seeds)
python tests/benchmarks/fuzz.py --folder DIR                   every file under DIR, such as Pillow's own Tests/images

What is opened in a process of its own is opened in one forked from here, by the same code under the same limits: that
is ten times as fast as a new one. With --fresh each is a new one.
"""

from __future__ import annotations

import argparse
import io
import os
import signal
import subprocess
import sys
import tempfile
import time
import zlib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from analyse import read_artwork
from analyse.errors import ScantlingError
from analyse.files import child

HEIC = Path(__file__).parents[1] / "analyse/files/blocks.heic"
SVG = (
    '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="20mm" viewBox="0 0 60 40">'
    '<defs><linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1"/></linearGradient></defs>'
    '<style>text {{ font-family: Serif }}</style><rect width="30" height="20" fill="url(#g)"/>'
    '<g transform="rotate({turn})"><path d="M5 5h20v9z"/><text x="9" y="30" font-size="9">Saltmarsh</text></g></svg>'
)


def seeds() -> dict[str, list[bytes]]:
    """30 small sound files, three of each of ten formats, by format."""
    rng = np.random.default_rng(1)
    flat = Image.fromarray(rng.integers(0, 255, (6, 8, 3), dtype=np.uint8)).resize((64, 48), Image.Resampling.NEAREST)
    alpha = flat.convert("RGBA")
    alpha.putalpha(Image.linear_gradient("L").resize(flat.size))
    deep = Image.fromarray((np.arange(64 * 48).reshape(48, 64) * 20).astype(np.uint16))

    def saved(image: Image.Image, kind: str, **options: object) -> bytes:
        stream = io.BytesIO()
        image.save(stream, kind, **options)
        return stream.getvalue()

    inks, more = flat.convert("CMYK"), {"save_all": True, "append_images": [flat]}
    exif = Image.Exif()
    exif[0x0112] = 6
    return {
        "png": [saved(flat, "png", dpi=(300, 300)), saved(alpha, "png"), saved(deep, "png")],
        "jpeg": [saved(flat, "jpeg", exif=exif), saved(flat, "jpeg", progressive=True), saved(inks, "jpeg")],
        "webp": [saved(flat, "webp"), saved(alpha, "webp", lossless=True), saved(alpha, "webp", exif=exif)],
        "avif": [saved(flat, "avif"), saved(alpha, "avif"), saved(flat, "avif", quality=20)],
        "gif": [saved(flat.quantize(7), "gif"), saved(flat, "gif", **more), saved(alpha, "gif")],
        "bmp": [saved(flat, "bmp"), saved(flat.quantize(7), "bmp"), saved(flat.convert("1"), "bmp")],
        "tiff": [
            saved(flat, "tiff", compression="tiff_lzw"),
            saved(inks, "tiff", compression="tiff_adobe_deflate"),
            saved(deep, "tiff", **more),
        ],
        "heic": [HEIC.read_bytes()] * 3,
        "svg": [SVG.format(turn=turn).encode() for turn in (0, 20, 50)],
        "pdf": [document(words) for words in ("a", "Rowing Club", "Saltmarsh")],
    }  # fmt: skip


def document(words: str) -> bytes:
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(120, 80), invariant=1, pageCompression=0)
    canvas.circle(60, 40, 25, fill=1)
    canvas.drawString(5, 5, words)
    canvas.save()
    return stream.getvalue()


def mutated(data: bytes, rng: np.random.Generator) -> bytes:
    """One to eight faults: bytes changed, runs cut out, doubled or zeroed, the end cut off."""
    out = bytearray(data)
    for _ in range(rng.integers(1, 3 if data[:1] == b"<" else 9)):
        at, size = int(rng.integers(0, max(1, len(out)))), int(rng.integers(1, 64))
        match int(rng.integers(0, 6)):
            case 0 | 1:
                out[at : at + 1] = bytes([int(rng.integers(0, 256))])
            case 2:
                del out[at : at + size]
            case 3:
                out[at:at] = out[at : at + size]
            case 4:
                out[at : at + size] = bytes([int(rng.choice([0, 255]))]) * size
            case _:
                out = out[: max(12, at)] if rng.random() < 0.2 else out
    return with_right_sums(bytes(out)) if data[:4] == b"\x89PNG" and rng.random() < 0.8 else bytes(out)


def with_right_sums(data: bytes) -> bytes:
    """A PNG whose checksums agree with what its chunks hold now, so that the faults get past them."""
    out, at = bytearray(data), 8
    while at + 12 <= len(out):
        end = at + 8 + int.from_bytes(out[at : at + 4], "big")
        if end + 4 > len(out):
            break
        out[end : end + 4] = zlib.crc32(out[at + 4 : end]).to_bytes(4, "big")
        at = end + 4
    return bytes(out)


def mutations(count: int, first: int = 0) -> Iterator[tuple[str, bytes]]:
    """`count` mutated files from number `first` on, the formats in turn, and their names."""
    kinds = list(seeds().items())
    for number in range(first, first + count):
        kind, files = kinds[number % len(kinds)]
        seed = files[number // len(kinds) % len(files)]
        yield f"{kind} {number}", mutated(seed, np.random.default_rng([4, number]))


def forked(command: list[str], **asked: Any) -> subprocess.CompletedProcess[bytes]:
    """In the place of `subprocess.run` where `analyse.files.sandbox` asks it."""
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as words:
        given.write(asked["input"])
        given.seek(0)
        reading, writing = os.pipe()
        pid = os.fork()
        if pid == 0:
            for place, to in ((given.fileno(), 0), (writing, 1), (words.fileno(), 2)):
                os.dup2(place, to)
            os.close(reading)
            signal.alarm(int(asked["timeout"]))
            sys.argv = command
            sys.stdin, sys.stdout = open(0, closefd=False), open(1, "w", closefd=False)  # noqa: SIM115
            try:
                child.main()
            except BaseException:  # noqa: BLE001  # a traceback in the child, as it would show
                os._exit(1)
            os._exit(0)
        os.close(writing)
        with os.fdopen(reading, "rb") as answers:
            answer = answers.read()
        code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    if code == -signal.SIGALRM:
        raise subprocess.TimeoutExpired(command, asked["timeout"])
    return subprocess.CompletedProcess(command, code, answer, b"")


def end_of(data: bytes, name: str) -> str:
    """How reading it ended; anything but a picture or an error of ours is raised."""
    try:
        read_artwork(data, name=name)
    except ScantlingError as error:
        if not (error.exit_code in (3, 4) and error.what and error.do):
            raise AssertionError(f"{name}: no clear words: {error}") from error
        return f"refused {error.exit_code}"
    return "read"


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=3000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--fresh", action="store_true")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--each", action="store_true")
    options = parser.parse_args()
    files: Iterator[tuple[str, bytes]]
    if options.folder:
        files = ((str(path), path.read_bytes()) for path in sorted(options.folder.rglob("*")) if path.is_file())
    else:
        files = mutations(options.count, options.first)
    if not options.fresh:
        import cv2  # noqa: F401  # what the children need, loaded once
        import pi_heif  # noqa: F401
        import PIL.ImageCms  # noqa: F401
        import pypdfium2  # noqa: F401
        import resvg_py  # noqa: F401

        mock.patch.object(subprocess, "run", forked).start()
    ends: Counter[str] = Counter()
    slowest, bugs = (0.0, ""), 0
    for name, data in files:
        begun = time.perf_counter()
        try:
            end = end_of(data, name)
        except Exception as error:  # noqa: BLE001  # what this is looking for
            bugs += 1
            end = "BUG"
            print("BUG", name, type(error).__name__, error, flush=True)
        spent = time.perf_counter() - begun
        slowest = max(slowest, (spent, name))
        if options.each:
            print(f"{end:12}{spent:6.2f} s  {name}")
        ends[f"{name.split()[0] if not options.folder else Path(name).suffix} {end}"] += 1
    for end, count in sorted(ends.items()):
        print(f"{end:30}{count:6}")
    print(f"slowest: {slowest[0]:.2f} s, {slowest[1]}; bugs: {bugs}")


if __name__ == "__main__":
    main()
