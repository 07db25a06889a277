"""JSON Schema of the project file; `python -m calc.inputs.reading.schema` writes it, list of fields and starter."""

import json
from pathlib import Path
from typing import Any, get_origin

from calc.inputs.reading.document import Document
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.messages import keys_of, tables_in
from calc.inputs.tables.section import COMMON, Section
from calc.resources import template_folder

DOCS = Path(__file__).resolve().parents[3] / "docs"
TITLE = "Project file: embankment on geotextile-encased sand columns"


def project_schema() -> dict[str, Any]:
    """Give the schema of the file with its common tables.

    A table that may be split between the top of the file and a section names no mandatory keys: only the reader,
    which has merged both, knows whether one is missing.
    """
    schema = Document.model_json_schema(by_alias=True)
    section = schema["$defs"]["Section"]
    schema["properties"] |= {key: section["properties"][key] for key in COMMON}
    section["required"] = ["key", "title", "chainage"]
    for name in _mergeable(Section):
        schema["$defs"][name].pop("required", None)
    del schema["description"]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": TITLE, **_plain(schema)}


def _mergeable(model: type[Table]) -> set[str]:
    """Names of the tables below a section that are merged key by key; items of lists are not."""
    names: set[str] = set()
    for info in keys_of(model).values():
        # A list is replaced as a whole, so its tables stay complete.
        if get_origin(info.annotation) is not tuple:
            for inner in tables_in(info.annotation):
                names |= {inner.__name__} | _mergeable(inner)
    return names


def _plain(value: Any) -> Any:
    """Leave out what an editor has no use for: titles made of names, null for what is optional, internal defaults."""
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if not isinstance(value, dict):
        return value
    choices = [item for item in value.get("anyOf", []) if item != {"type": "null"}]
    if len(choices) == 1 and "anyOf" in value:
        value = {key: item for key, item in value.items() if key != "anyOf"} | choices[0]
    return {key: _plain(item) for key, item in value.items() if not _idle(key, item)}


def _idle(key: str, item: Any) -> bool:
    return (
        key == "usual"
        or (key == "title" and isinstance(item, str))
        or (key == "default" and not isinstance(item, dict))
    )


def schema_text() -> str:
    """The schema as the file docs/project.schema.json holds it."""
    return json.dumps(project_schema(), indent=2, ensure_ascii=False) + "\n"


def main() -> None:
    """Write docs/project.schema.json, the generated parts of docs/project-file.md, and new fields into the starter."""
    from calc.inputs.ground_file.results_columns import with_columns  # noqa: PLC0415  # both sides of the documentation, written together
    from calc.inputs.reading.field_list import with_fields  # noqa: PLC0415  # both sides of the documentation, written together
    from calc.inputs.reading.starter import STARTER  # noqa: PLC0415  # with them
    from calc.inputs.reading.starter_lines import with_every_field  # noqa: PLC0415  # with them

    (DOCS / "project.schema.json").write_text(schema_text(), encoding="utf-8")
    page = DOCS / "project-file.md"
    page.write_text(with_columns(with_fields(page.read_text(encoding="utf-8"))), encoding="utf-8")
    starter = template_folder() / STARTER
    starter.write_text(with_every_field(starter.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
