"""The description of the interface for programs: what all operations have in common.

Source: OpenAPI Specification 3.1; RFC 9457 (problem details).
"""

from typing import Any

from fastapi import FastAPI

from ellwand.api.problems import ProblemDetails, documented

ABOUT = """\
Two photos and a tape become measurements with error bounds, a size and a card for made-to-measure
blouses. For adults only; no medical device. Lengths are millimetres; texts that customers type are
taken as typed.

Every error is a problem detail (RFC 9457) with a code, what is wrong and what to do. What makes
something new takes an `Idempotency-Key`; all else may be sent again as it is, because done twice it
is as if done once.
"""
TAGS = [
    {"name": "sitting", "description": "The customer's sitting, behind the cookie of her link."},
    {"name": "photos", "description": "Her two photos, what they give, and its corrections."},
    {"name": "card", "description": "The measurement card, for the customer and her workroom."},
    {"name": "workroom", "description": "The seamstress's side, behind her login or a key."},
    {"name": "public", "description": "What anybody may see."},
    {"name": "health", "description": "Whether the service is well."},
]
SAFE = ("get", "head")


def describe(app: FastAPI) -> None:
    """Describe the one shape of errors in place of the framework's own, and who may get which."""
    made = app.openapi

    def described() -> dict[str, Any]:
        if app.openapi_schema is None:
            schema = made()
            _swap_shapes(schema["components"]["schemas"])
            for path, operations in schema["paths"].items():
                for method, operation in operations.items():
                    _name_answers(operation["responses"], schema["components"]["schemas"])
                    _add_common_errors(path, method, operation)
        return app.openapi_schema  # type: ignore[return-value]

    app.openapi = described  # type: ignore[method-assign]


def _swap_shapes(schemas: dict[str, Any]) -> None:
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    shape = ProblemDetails.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas.update(shape.pop("$defs", {}))
    schemas["ProblemDetails"] = shape
    schemas["JsonValue"]["description"] = "Any value."


def _name_answers(responses: dict[str, Any], schemas: dict[str, Any]) -> None:
    """Say what an answer is where the framework only says that it is one."""
    for response in responses.values():
        if response["description"] != "Successful Response":
            continue
        shape = response.get("content", {}).get("application/json", {}).get("schema", {})
        name = shape.get("items", shape).get("$ref", "").rpartition("/")[2]
        told = schemas[name]["description"] if name else "It is done."
        response["description"] = f"Each: {told}" if "items" in shape else told


def _add_common_errors(path: str, method: str, operation: dict[str, Any]) -> None:
    """Add what the guard answers before a handler, and what goes wrong in any of them."""
    responses = operation["responses"]
    # The framework's own 422: a malformed request is answered with 400 here.
    content = responses.get("422", {}).get("content", {})
    content.pop("application/json", None)
    if not content:
        responses.pop("422", None)
    common = [421, 500]
    if path.startswith("/api/"):
        common += [403, 429]
    if operation.get("parameters") or operation.get("requestBody"):
        common.append(400)
    if method not in SAFE:
        common.append(413)
    if operation.get("security"):
        common.append(401)
    for status, response in documented(*common).items():
        responses.setdefault(str(status), response)
    operation["responses"] = dict(sorted(responses.items()))
