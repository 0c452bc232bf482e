"""Do the cures of hard patches do what they say? Each is applied to the plan as laid, and the place measured anew.

    python tests/benchmarks/cures.py [ART ...] [--cloth twill] [--width 76]

Underlay, ties, travel and needless steps are taken out; spacings, passes and cut-outs are laid anew with nothing else
changed. Printed for each change: how often it is named, what it promises and what it brings, and how far it misses.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import click
import numpy as np
from numpy.typing import NDArray
from shapely import unary_union

from analyse import read_artwork, trace
from analyse.values import SizedDrawing
from plans.density import measure_density
from plans.density.cures import JOIN_MM, Case, Cure, cures_for, stitch_counts
from plans.density.deposit import cut_up, sewn_rows
from plans.density.measure import full_layer_mm
from plans.density.spots import spot_at
from plans.density.window import over_window
from plans.job import Job
from plans.planning import make_plan
from plans.stitching.laying import lay_sewing
from plans.values import Density, HardPatch, LaidPlan, Lay, Move, Sewing, Stitches

DEMOS = ("saltmarsh-crest", "brockhurst-badger", "tern-point", "skerry-puffin", "hartwell-varsity", "clover-bee")


def without(stitches: Stitches, rows: NDArray[np.bool_]) -> Stitches:
    """The same with some rows not sewn."""
    return replace(stitches, move=np.where(rows, Move.JUMP, stitches.move).astype(np.uint8))


def laid_anew(laid: LaidPlan, step: int, sewing: Sewing, sized: SizedDrawing) -> Stitches:
    """The same with one step's underlay, top and travel laid anew; its ties and the way to it stay."""
    old = laid.stitches
    trail = lay_sewing(sewing, sized.trade, thread=sized.thread, start=laid.steps[step].entry_mm)
    kept = (old.step != step) | (old.lay == Lay.TIE)
    before, after = kept & (old.step <= step), kept & (old.step > step)
    fields = [
        np.concatenate([getattr(old, name)[before], new, getattr(old, name)[after]])
        for name, new in (("xy", trail.xy), ("move", trail.move), ("lay", trail.lay))
    ]
    step_of = np.concatenate([old.step[before], np.full(len(trail.xy), step), old.step[after]])
    return Stitches(*fields, step_of.astype(np.int32))


def applied(cure: Cure, laid: LaidPlan, sized: SizedDrawing) -> Stitches | None:
    """The needle points once a change is made; None where a change is a hand's own work."""
    stitches, steps = laid.stitches, laid.steps
    of_it = np.isin(stitches.step, cure.steps)
    if cure.text.startswith("move ties"):
        return without(stitches, of_it & np.isin(stitches.lay, (Lay.TIE, Lay.TRAVEL)))
    if cure.text.startswith("leave out the upper"):
        return without(stitches, of_it & (stitches.lay == Lay.UNDERLAY))
    if cure.text.startswith("leave out what"):
        return without(stitches, of_it)
    for step in cure.steps:
        sewing = steps[step].sewing
        if cure.text.startswith("open"):
            sewing = replace(sewing, spacing_mm=float(cure.text.split("(")[1].split()[0]))
        elif cure.text.startswith("sew the lines"):
            sewing = replace(sewing, passes=sewing.passes - 1)
        elif cure.text.startswith("cut"):
            above = unary_union([one.sewing.shape for one in steps[step + 1 :] if one.sewing.kind != "running"])
            hole = above.buffer(JOIN_MM).buffer(-JOIN_MM - float(sized.trade.value("border.run_under")))
            sewing = replace(sewing, shape=sewing.shape.difference(hole))
        else:
            return None
        laid = replace(laid, stitches=laid_anew(laid, step, sewing, sized))
    return laid.stitches if cure.steps else None


def measured(density: Density, patch: HardPatch, window_mm: float) -> float:
    """What is judged at a patch's place."""
    values = over_window(density.layers if patch.unit == "layers" else density.points, window_mm, density.cell_mm)
    column, row = ((at - low) / density.cell_mm for at, low in zip(patch.at_mm, density.origin_mm, strict=True))
    return float(values[int(row), int(column)])


def tried(laid: LaidPlan, sized: SizedDrawing) -> list[tuple[str, str, float, float, float]]:
    """For each patch whose cure can be applied: change, unit, measure, promised, brought."""
    trade, rows = sized.trade, sewn_rows(laid.stitches)
    window, full = float(trade.value("density.window")), full_layer_mm(trade, sized.thread)
    pieces, counts = cut_up(laid.stitches, rows), stitch_counts(laid.stitches, laid.steps)
    found = []
    for patch in laid.density.hard_patches:
        spot = spot_at(pieces, laid.stitches, patch.at_mm, window, full)
        taken = cures_for(Case(spot, laid.steps, counts, trade, patch.unit), patch.layers, patch.limit)
        after: LaidPlan | None = laid
        for cure in taken:
            stitches = applied(cure, after, sized) if after else None
            after = None if stitches is None else replace(laid, stitches=stitches)
        name = " + ".join(cure.text.split(" (")[0] for cure in taken) or "none"
        promised = patch.layers - sum(cure.takes for cure in taken)
        brought = np.nan
        if after is not None and taken:
            brought = measured(measure_density(after.stitches, laid.steps, sized), patch, window)
        found.append((name, patch.unit, patch.layers, promised, brought))
    return found


@click.command()
@click.argument("art", nargs=-1)
@click.option("--cloth", "cloths", multiple=True, default=("twill", "pique-knit"))
@click.option("--width", default=76.2)
def main(art: tuple[str, ...], cloths: tuple[str, ...], width: float) -> None:
    """Apply every cure and measure."""
    kinds: dict[tuple[str, str], list[tuple[float, float, float]]] = defaultdict(list)
    for name in art or tuple(f"images/{demo}.svg" for demo in DEMOS):
        drawing = trace(read_artwork(name))
        for cloth in cloths:
            sized = drawing.at(width_mm=width, cloth=cloth)
            for change, unit, *figures in tried(make_plan(sized, Job()).laid, sized):
                kinds[change, unit].append((figures[0], figures[1], figures[2]))
    for unit in ("layers", "points"):
        every = [row for (_, of), rows in kinds.items() if of == unit for row in rows if np.isfinite(row[2])]
        if every:
            before, promised, brought = np.array(every).T
            off = np.abs(brought - promised)
            told = f"{unit}: {len(every)} applied, {before.mean():.2f} to {promised.mean():.2f} promised, "
            told += f"{brought.mean():.2f} brought; misses {np.median(off):.2f}, "
            click.echo(f"{told}90 in 100 under {np.quantile(off, 0.9):.2f}, worst {off.max():.2f}")
    for (change, unit), rows in sorted(kinds.items(), key=lambda item: -len(item[1])):
        before, promised, brought = np.array(rows).T
        miss = brought - promised
        told = f"{len(rows):4} {unit:6} {change}: {before.mean():.2f} to {promised.mean():.2f} promised"
        done = np.isfinite(brought)
        if done.any():
            off = f"misses {np.median(np.abs(miss[done])):.2f}, worst {miss[done].max():+.2f}"
            told += f", {brought[done].mean():.2f} brought; {off}"
        click.echo(told)


if __name__ == "__main__":
    main()
