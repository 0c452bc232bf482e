"""`plan.json` keeps to its schema and to the keys the design names; `stitches.csv` adds up to the estimate."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import Any

import jsonschema
import pytest

from plans.document import as_csv, as_document, as_json, schema_text
from plans.values import HardPatch, Plan
from tests.plan_fixture import plan

KEYS = {
    "": "schema artwork size_mm place cloth verdict lost changes shop threads parts edges steps estimate approaches "
    "detail simplifications density frame mind cautions",
    "artwork": "file pixels sha256 source",
    "cloth": "name rgb",
    "shop": "sha256 rows",
    "threads": "rgb name cone length_m",
    "parts": "id kind thread area_mm2 width_mm reason certainty at",
    "edges": "parts length_mm under overlap_mm tolerance_mm state",
    "steps": "number part also thread kind role layer angle_deg spacing_mm stitch_mm passes pull_mm push_mm under_mm "
    "underlay entry_mm exit_mm trim_before stitches why",
    "estimate": "stitches by_kind by_lay trims jumps colour_changes thread_m bobbin_m minutes span span_made_of price",
    "approaches": "name recommended estimate detail_kept hard_patch_count registration_mm fewest_changes why",
    "detail": "kind at_mm measure needs unit holds_from_width_mm state weight part",
    "density": "stacked_max needle_points_max_per_mm2 needle_points_max_at_mm hard_patches back sunk",
}


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    return json.loads(as_json(plan()))


def test_the_schema_is_one_and_the_document_keeps_to_it(document: dict[str, Any]) -> None:
    schema = json.loads(schema_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(document)


@pytest.mark.parametrize("table", KEYS)
def test_the_keys_are_those_of_the_contract(document: dict[str, Any], table: str) -> None:
    found = document[table] if table else document
    rows = found if isinstance(found, list) else [found]
    assert rows
    assert all(list(row) == KEYS[table].split() for row in rows)


@pytest.mark.parametrize("key", ["verdict", "estimate", "density", "parts"])
def test_the_schema_misses_a_key_that_is_gone(document: dict[str, Any], key: str) -> None:
    less = {name: value for name, value in document.items() if name != key}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(less, json.loads(schema_text()))


def test_indices_point_into_their_lists(document: dict[str, Any]) -> None:
    parts, threads = len(document["parts"]), len(document["threads"])
    assert all(step["part"] < parts and step["thread"] < threads for step in document["steps"])
    assert all(part["thread"] < threads for part in document["parts"])
    assert all(max(edge["parts"]) < parts for edge in document["edges"])
    assert all(feature["part"] is None or feature["part"] < parts for feature in document["detail"])


def test_exactly_one_approach_is_recommended_and_its_estimate_is_the_plans(document: dict[str, Any]) -> None:
    chosen = [approach for approach in document["approaches"] if approach["recommended"]]
    assert [approach["estimate"] for approach in chosen] == [document["estimate"]]


def test_the_needle_points_add_up_to_the_estimate(document: dict[str, Any]) -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(plan().stitches))))
    sewn = [row for row in rows if row["kind"] in {"sew", "travel"}]
    assert len(sewn) == document["estimate"]["stitches"] == sum(step["stitches"] for step in document["steps"])
    for lay, count in document["estimate"]["by_lay"].items():
        assert sum(row["lay"] == lay for row in sewn) == count
    assert rows[0]["kind"] == "jump"


def test_a_part_is_found_by_its_place_in_the_design(document: dict[str, Any]) -> None:
    from shapely import Point

    made = plan().sized
    for part, row in zip(made.parts, document["parts"], strict=True):
        assert part.outline_mm.buffer(0.01).contains(
            Point(row["at"][0] * made.size_mm[0], row["at"][1] * made.size_mm[1])
        )


def test_no_figure_is_a_negative_nought_and_nothing_is_simplified_yet() -> None:
    made = plan()
    laid = replace(made.laid, registration_mm=-0.00001)
    assert str(as_document(replace(made, approaches=(laid,)))["approaches"][0]["registration_mm"]) == "0.0"
    assert as_document(made)["simplifications"] == []


def test_a_figure_that_is_no_number_is_never_written() -> None:
    made = plan()
    with pytest.raises(ValueError, match="not JSON compliant"):
        as_json(replace(made, sized=replace(made.sized, size_mm=(float("nan"), 1.0))))


def pricked() -> Plan:
    """The badge with a second patch: hard by its needle points, where the cloth lies under little thread."""
    made = plan()
    density = made.laid.density
    patch = HardPatch((5.0, 5.0), 6.4, "two running lines cross", unit="points", limit=5.0)
    laid = replace(made.laid, density=replace(density, hard_patches=(*density.hard_patches, patch)))
    return replace(made, approaches=(laid, *made.approaches[1:]))


def test_every_hard_patch_tells_its_layers_and_what_makes_it_hard() -> None:
    made = pricked()
    by_layers, by_points = as_document(made)["density"]["hard_patches"]
    assert (by_layers["layers"], by_layers["measure"], by_layers["unit"]) == (2.6, 2.6, "layers")
    assert (by_points["measure"], by_points["unit"]) == (6.4, "points")
    assert by_points["layers"] == pytest.approx(float(made.laid.density.layers[2, 2]), abs=0.001)
    jsonschema.validate(as_document(made), json.loads(schema_text()))


def test_parts_that_are_sewn_with_another_are_named_at_its_step() -> None:
    made = plan()
    first = made.steps[0]
    joined = replace(first, sewing=replace(first.sewing, also=(3, 4)))
    laid = replace(made.laid, steps=(joined, *made.steps[1:]))
    document = as_document(replace(made, approaches=(laid, *made.approaches[1:])))
    assert [step["also"] for step in document["steps"][:2]] == [[3, 4], []]
    jsonschema.validate(document, json.loads(schema_text()))


def test_a_step_has_one_number_from_one_on_in_every_file(document: dict[str, Any]) -> None:
    """The report and the sheet count steps from 1; so do `plan.json` and `stitches.csv`."""
    numbers = [step["number"] for step in document["steps"]]
    assert numbers == list(range(1, len(numbers) + 1))
    rows = list(csv.DictReader(io.StringIO(as_csv(plan().stitches))))
    sewn = [int(row["step"]) for row in rows if row["kind"] in {"sew", "travel"}]
    assert [sewn.count(number) for number in numbers] == [step.stitches for step in plan().steps]


def test_what_was_done_on_opening_stands_with_the_source() -> None:
    made = plan()
    artwork = replace(made.sized.drawing.artwork, notes=("a typeface is missing",))
    drawing = replace(made.sized.drawing, artwork=artwork)
    told = as_document(replace(made, sized=replace(made.sized, drawing=drawing), source=("too coarse",)))
    assert told["artwork"]["source"] == ["a typeface is missing", "too coarse"]
