"""`plan.json` and `stitches.csv`: everything in the plan but the pictures, as plain data."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from shapely import point_on_surface

from analyse.values import Feature, Part, SizedDrawing
from plans import minding, words
from plans.density.patches import layers_at
from plans.estimate import count, span_parts
from plans.values import Density, Edge, LaidPlan, Lay, Move, Plan, Step, Stitches, Underlay

SCHEMA = "scantling.plan/1"
SCHEMA_FILE = Path(__file__).with_name("plan.schema.json")
Json = dict[str, Any]


def as_document(plan: Plan) -> Json:
    """The plan as `plan.json` holds it: lengths in mm to 0.001, angles in degrees to 0.1, shares to 0.0001."""
    sized, artwork = plan.sized, plan.sized.drawing.artwork
    return {
        "schema": SCHEMA,
        "artwork": {
            "file": artwork.name,
            "pixels": list(artwork.file_px),
            "sha256": artwork.sha256,
            "source": [*artwork.notes, *plan.source],
        },
        "size_mm": _point(sized.size_mm),
        "place": plan.job.place or None,
        "cloth": {"name": sized.cloth, "rgb": list(sized.cloth_rgb)},
        "verdict": plan.verdict,
        "lost": _share(plan.lost),
        "changes": list(plan.changes),
        "shop": {"sha256": plan.job.shop_sha256 or None, "rows": dict(sorted(plan.sized.trade.own.items()))},
        "threads": _threads(plan),
        "parts": [_part(part, sized) for part in sized.parts],
        "edges": [_edge(edge) for edge in plan.laid.edges],
        "steps": [_step(number, step) for number, step in enumerate(plan.steps, 1)],
        "estimate": _estimate(plan.laid, sized),
        "approaches": [_approach(laid, laid is plan.laid, sized) for laid in plan.approaches],
        "detail": [_feature(feature) for feature in sized.detail.features],
        "simplifications": [],
        "density": _density(plan.laid.density, sized),
        "frame": minding.frame(plan),
        "mind": list(minding.mind(plan)),
        "cautions": list(plan.cautions),
    }


def as_json(plan: Plan) -> str:
    """`as_document` as text: keys in the design's order, a line for each row of its lists, no NaN."""
    tables = [f"{_text(key)}: {_lines(value)}" for key, value in as_document(plan).items()]
    return "{\n " + ",\n ".join(tables) + "\n}\n"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _lines(value: object) -> str:
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "[\n  " + ",\n  ".join(_text(row) for row in value) + "\n ]"
    return _text(value)


def as_csv(stitches: Stitches) -> str:
    """`stitches.csv`: a row for each needle point, in sewing order, x and y in mm to 0.001; steps by their number."""
    moves = np.array([move.name.lower() for move in Move])[stitches.move]
    lays = np.array([lay.name.lower() for lay in Lay])[stitches.lay]
    points = (np.round(stitches.xy, 3) + 0.0).tolist()
    columns = zip(points, (stitches.step + 1).tolist(), moves.tolist(), lays.tolist(), strict=True)
    rows = [f"{x:.3f},{y:.3f},{step},{move},{lay}" for (x, y), step, move, lay in columns]
    return "\n".join(["x_mm,y_mm,step,kind,lay", *rows]) + "\n"


def schema_text() -> str:
    """The JSON Schema that `plan.json` keeps to."""
    return SCHEMA_FILE.read_text(encoding="utf-8")


def place_in_design(part: Part, sized: SizedDrawing) -> tuple[float, float]:
    """A point on the part, from 0 to 1 of the design's extent: how `decisions.toml` names it."""
    point = point_on_surface(part.outline_mm)
    left, top, *_ = sized.drawing.extent_px
    x, y = sized.drawing.place(left + point.x / sized.mm_per_px, top + point.y / sized.mm_per_px)
    return round(x, 4), round(y, 4)


def _threads(plan: Plan) -> list[Json]:
    lengths = plan.estimate.thread_each_m
    colours = plan.sized.drawing.palette
    return [
        {"rgb": list(colour.rgb), "name": colour.name, "cone": None, "length_m": _mm(length)}
        for colour, length in zip(colours, lengths, strict=True)
    ]


def _part(part: Part, sized: SizedDrawing) -> Json:
    width, reason = part.width_mm, part.reason
    return {
        "id": part.id,
        "kind": part.kind,
        "thread": part.colour,
        "area_mm2": _mm(part.outline_mm.area),
        "width_mm": {"low": _mm(width.low), "median": _mm(width.median), "high": _mm(width.high)},
        "reason": {
            "row": reason.row,
            "measure_mm": _mm(reason.measure_mm),
            "needs_mm": _mm(reason.needs_mm),
            "text": reason.text,
        },
        "certainty": _share(part.certainty),
        "at": list(place_in_design(part, sized)),
    }


def _edge(edge: Edge) -> Json:
    return {
        "parts": list(edge.parts),
        "length_mm": _mm(edge.length_mm),
        "under": edge.under,
        "overlap_mm": _mm(edge.overlap_mm),
        "tolerance_mm": _mm(edge.tolerance_mm),
        "state": edge.state,
    }


def _step(number: int, step: Step) -> Json:
    sewing = step.sewing
    return {
        "number": number,
        "part": sewing.part,
        "also": list(sewing.also),
        "thread": sewing.thread,
        "kind": sewing.kind,
        "role": sewing.role,
        "layer": sewing.layer,
        "angle_deg": _deg(sewing.angle_deg),
        "spacing_mm": _mm(sewing.spacing_mm),
        "stitch_mm": _mm(words.stitch_mm(sewing)),
        "passes": sewing.passes,
        "pull_mm": _mm(sewing.pull_mm),
        "push_mm": _mm(sewing.push_mm),
        "under_mm": _mm(sewing.under_mm),
        "underlay": [_underlay(lay) for lay in sewing.underlay],
        "entry_mm": _point(step.entry_mm),
        "exit_mm": _point(step.exit_mm),
        "trim_before": bool(step.trim_before),
        "stitches": int(step.stitches),
        "why": sewing.why,
    }


def _underlay(lay: Underlay) -> Json:
    return {
        "kind": lay.kind,
        "inset_mm": _mm(lay.inset_mm),
        "spacing_mm": _mm(lay.spacing_mm),
        "angle_deg": _deg(lay.angle_deg),
    }


def _estimate(laid: LaidPlan, sized: SizedDrawing) -> Json:
    cost, counts = laid.estimate, count(laid.stitches, laid.steps)
    return {
        "stitches": int(cost.stitches),
        "by_kind": {kind: int(counts.by_kind.get(kind, 0)) for kind in ("fill", "column", "running")},
        "by_lay": {lay.name.lower(): int(cost.by_lay.get(lay.name.lower(), 0)) for lay in Lay},
        "trims": int(cost.trims),
        "jumps": int(cost.jumps),
        "colour_changes": int(cost.colour_changes),
        "thread_m": _mm(cost.thread_m),
        "bobbin_m": _mm(cost.bobbin_m),
        "minutes": round(float(cost.minutes), 2),
        "span": [int(stitches) for stitches in cost.span],
        "span_made_of": [
            {"choice": part.choice, "fewer": round(part.fewer), "more": round(part.more)}
            for part in span_parts(laid.stitches, laid.steps, sized.trade)
        ],
        "price": None if cost.price is None else round(float(cost.price), 2),
    }


def _approach(laid: LaidPlan, recommended: bool, sized: SizedDrawing) -> Json:
    return {
        "name": laid.approach,
        "recommended": recommended,
        "estimate": _estimate(laid, sized),
        "detail_kept": _share(laid.detail_kept),
        "hard_patch_count": len(laid.density.hard_patches),
        "registration_mm": _mm(laid.registration_mm),
        "fewest_changes": int(laid.fewest_changes),
        "why": laid.why,
    }


def _feature(feature: Feature) -> Json:
    from_width = feature.holds_from_width_mm
    return {
        "kind": feature.kind,
        "at_mm": _point(feature.at_mm),
        "measure": _mm(feature.measure),
        "needs": _mm(feature.needs),
        "unit": feature.unit,
        "holds_from_width_mm": None if from_width is None else _mm(from_width),
        "state": feature.state,
        "weight": _share(feature.weight),
        "part": feature.part,
    }


def _density(density: Density, sized: SizedDrawing) -> Json:
    return {
        "stacked_max": _mm(density.stacked_max),
        "needle_points_max_per_mm2": _mm(density.needle_points_max),
        "needle_points_max_at_mm": _point(density.pricked_at_mm),
        "hard_patches": [
            {
                "at_mm": _point(patch.at_mm),
                "layers": _mm(layers),
                "measure": _mm(patch.layers),
                "unit": patch.unit,
                "because": patch.because,
                "cure": patch.cure,
                "saves": int(patch.saves),
            }
            for patch, layers in zip(density.hard_patches, layers_at(density, sized), strict=True)
        ],
        "back": [
            {"at_mm": _point(lump.at_mm), "knots": round(lump.layers), "because": lump.because, "cure": lump.cure}
            for lump in density.back
        ],
        "sunk": [
            {
                "at_mm": _point(spot.at_mm),
                "area_mm2": _mm(spot.layers),
                "steps": [step + 1 for step in spot.steps],
                "because": spot.because,
                "cure": spot.cure,
            }
            for spot in density.sunk
        ],
    }


def _mm(value: float) -> float:
    return round(float(value), 3) + 0.0


def _share(value: float) -> float:
    return round(float(value), 4) + 0.0


def _deg(value: float | None) -> float | None:
    return None if value is None else round(float(value) % 180.0, 1) % 180.0


def _point(point: tuple[float, float]) -> list[float]:
    return [_mm(point[0]), _mm(point[1])]
