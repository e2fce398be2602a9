"""The JSON Schema of a site document, made from the models.

`python -m riserkit_json.schema` prints it; `site.schema.json` beside this file is a copy that a test keeps current. The
reader takes a little more than the schema: numbers written as text (`"24"`), for one. It never takes less, except for
what no schema can say, such as a level that is not there.
"""

from __future__ import annotations

import json
from typing import Any

from riserkit.model.site import Site


def site_schema() -> dict[str, Any]:
    """The schema as plain data (JSON Schema draft 2020-12)."""
    schema = Site.model_json_schema(mode="validation")
    schema["properties"] = {"$schema": {"type": "string"}, **schema["properties"]}
    schema["properties"]["openings"]["minItems"] = 1
    schema["required"] = ["openings"]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def schema_text() -> str:
    """The schema as text, the same bytes each time."""
    return json.dumps(site_schema(), ensure_ascii=False, indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")
