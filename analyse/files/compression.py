"""How hard a JPEG was compressed, by its own tables."""

from __future__ import annotations

from PIL import Image

# ITU-T T.81, table K.1: luminance steps at quality 50, summed.
_SUM_AT_50 = 3688


def jpeg_quality(image: Image.Image) -> int | None:
    """Quality 1 to 100 on the scale of the Independent JPEG Group; None where the file has no tables.

    Accuracy: within 2 for tables made by that scale, a likeness for others.
    """
    tables = getattr(image, "quantization", None)
    if not tables:
        return None
    share = 100.0 * float(sum(tables[min(tables)])) / _SUM_AT_50
    quality = (200.0 - share) / 2 if share <= 100 else 5000.0 / share
    return max(1, min(100, round(quality)))
