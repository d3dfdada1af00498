"""The JSON Schema tells truly what may be left out of a case."""

from __future__ import annotations

from typing import Any

from optimiser.case.assumed import ASSUMED
from optimiser.case.case_document import CaseDocument
from optimiser.case.schema import case_schema, sequence_schema
from optimiser.case.unit_of_field import unit_of_field


def fields_named(schema: dict[str, Any], field: str) -> list[dict[str, Any]]:
    """Every object of the schema that has this field."""
    shapes = [schema, *schema["$defs"].values()]
    return [shape for shape in shapes if field in shape.get("properties", {})]


def test_fields_with_an_assumed_value_are_not_required_and_say_so() -> None:
    """Each has a default or names the field it follows."""
    schema = case_schema()
    for assumed in ASSUMED:
        field = assumed.path.rsplit("/", 1)[1]
        shapes = fields_named(schema, field)
        assert shapes, assumed.path
        for shape in shapes:
            assert field not in shape["required"]
            assert "Left out" in shape["properties"][field]["description"]
            assert ("default" in shape["properties"][field]) == (assumed.same_as is None)


def test_the_shapes_themselves_require_every_such_field() -> None:
    """So no physical value can slip in behind the table."""
    schema = CaseDocument.model_json_schema()
    for assumed in ASSUMED:
        field = assumed.path.rsplit("/", 1)[1]
        assert all(field in shape["required"] for shape in fields_named(schema, field))


def test_every_number_has_its_unit_in_its_name_and_bounds() -> None:
    """Counts and settings of the search aside, a bare number in the format is a mistake waiting to happen."""
    counts = "schema_version count hands most_zones rounds seed solver_effort constant_along constant_across"
    counts += " stiffening_exponent share_exponent rest_exponent exponent_at_start exponent_growth"
    for shape in case_schema()["$defs"].values():
        for name, field in shape.get("properties", {}).items():
            if field.get("type") in ("number", "integer"):
                assert unit_of_field(name) or "seconds" in name or name in counts.split(), name
                assert "const" in field or {"minimum", "maximum"} <= field.keys(), name


def test_unknown_fields_are_forbidden_throughout() -> None:
    """A misspelt field must not be passed over."""
    for schema in (case_schema(), sequence_schema()):
        for shape in (schema, *schema["$defs"].values()):
            if "properties" in shape:
                assert shape["additionalProperties"] is False
