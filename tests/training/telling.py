"""What is printed of a classifier: confusion, shares, reliability, and geometry alone beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analyse.kinds.families import SLENDER
from analyse.lettering.classifier import KINDS, LETTER
from analyse.lettering.traits import NAMES
from analyse.widths.profile import DOT

Floats, Ints = NDArray[np.float64], NDArray[np.int64]


def tell(chances: Floats, kinds: Ints) -> None:
    """The confusion table, the two shares that are promised, and the reliability table."""
    said = chances.argmax(axis=1)
    print("drawn as   " + "".join(f"{kind:>9s}" for kind in KINDS) + "   found")
    for k, kind in enumerate(KINDS):
        counts = np.bincount(said[kinds == k], minlength=len(KINDS))
        print(f"{kind:10s} " + "".join(f"{count:9d}" for count in counts) + f"  {counts[k] / counts.sum():6.1%}")
    print(f"letters found: {(said[kinds == LETTER] == LETTER).mean():.2%}", end="; ")
    print(f"other shapes called letters: {(said[kinds != LETTER] == LETTER).mean():.2%}")
    sure = chances.max(axis=1)
    print("certainty     shapes  said   right")
    for low, high in ((0.3, 0.55), (0.55, 0.65), (0.65, 0.75), (0.75, 0.85), (0.85, 0.95), (0.95, 1.01)):
        own = (sure >= low) & (sure < high)
        if own.any():
            right = (said[own] == kinds[own]).mean()
            print(f"{low:.2f} to {min(high, 1):.2f} {own.sum():7d} {sure[own].mean():6.1%} {right:6.1%}")


def tell_plain(rows: Floats, chances: Floats, kinds: Ints) -> None:
    """Strokes, bodies and dots: how often the classifier and how often geometry alone is right, told it is one."""
    for what, said in (("classifier", chances[:, :3].argmax(axis=1)), ("geometry", by_geometry(rows))):
        own = [f"{kind} {(said[kinds == k] == k).mean():.1%}" for k, kind in enumerate(KINDS[:3])]
        print(f"{what}: {', '.join(own)}; all {(said == kinds)[kinds < 3].sum() / (kinds < 3).sum():.1%}")


def by_geometry(rows: Floats) -> Ints:
    """Stroke, body or dot as `is_dot` of analyse/widths/profile.py and the strokes of kinds/families.py have it."""
    of = dict(zip(NAMES, rows.T, strict=True))
    stem, widest = np.exp(of["stem / across"]), np.exp(of["stem / across"] + of["widest / stem"])
    way, area = np.exp(of["way / across"]), of["fills hull"] * of["hull fills box"] * np.exp(of["slender"])
    dot = (area < DOT * widest**2) & (way < DOT * widest)
    stroke = ~dot & (way >= SLENDER * stem) & (widest < 3.0 * stem)
    return np.where(dot, KINDS.index("dot"), np.where(stroke, KINDS.index("stroke"), KINDS.index("body")))
