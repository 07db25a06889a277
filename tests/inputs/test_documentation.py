"""The schema, the field list, the examples and the starter say what the models say."""

import datetime as dt
import json
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import jsonschema
import pytest

from calc.inputs import OUTSIDE, read_design
from calc.inputs.ground_file.result_rows import NEEDED
from calc.inputs.ground_file.results_columns import columns, with_columns
from calc.inputs.ground_file.results_file import read_results
from calc.inputs.reading import schema
from calc.inputs.reading.document import Document
from calc.inputs.reading.field_list import fields_by_path, scalar_of, with_fields
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.messages import keys_of, tables_in
from calc.inputs.reading.schema import project_schema, schema_text
from calc.inputs.reading.starter import STARTER, starter_project
from calc.resources import template_folder
from tests.each import for_each

ROOT = Path(__file__).resolve().parents[2]
PROJECTS = sorted(file.parent for file in (ROOT / "projects").glob("*/project.toml"))
RENEW = "run: python -m calc.inputs.reading.schema"
# Tables of commands that have examples of their own: of the site, of searches (tests/study/grids.py), of studies.
OF_COMMANDS = ("plan", "installed", "observed", "size", "catalogue", "vary")


class Field(NamedTuple):
    """A field with the name under which a test tells of it."""

    name: str
    info: Any


def models(model: type[Table]) -> Iterator[type[Table]]:
    yield model
    for info in model.model_fields.values():
        for inner in tables_in(info.annotation):
            yield from models(inner)


MODELS = sorted(set(models(Document)), key=lambda model: model.__name__)
FIELDS = [Field(f"{model.__name__}.{key}", info) for model in MODELS for key, info in keys_of(model).items()]


@cache
def by_schema() -> jsonschema.Draft202012Validator:
    """What holds a document against the schema."""
    return jsonschema.Draft202012Validator(project_schema())


def plain(value: Any) -> Any:
    """Days as text: JSON has no days."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [plain(item) for item in value]
    return value.isoformat() if isinstance(value, dt.date) else value


@for_each("field", FIELDS)
def test_every_field_has_a_meaning_and_an_example_that_it_accepts(field: Field) -> None:
    info = field.info
    assert info.description.endswith(".")
    (example,) = info.examples
    kind = scalar_of(info)
    if kind is not None:
        value = kind.read(example)
        # The example of a field with a default stands for the default where it is printed.
        assert info.is_required() or info.default is None or value == info.default


def test_the_schema_on_file_is_the_one_of_the_models() -> None:
    assert (ROOT / "docs" / "project.schema.json").read_text(encoding="utf-8") == schema_text(), RENEW


def test_the_field_list_on_file_is_the_one_of_the_models() -> None:
    page = (ROOT / "docs" / "project-file.md").read_text(encoding="utf-8")

    assert page == with_columns(with_fields(page)), RENEW


def test_a_file_with_every_column_of_the_list_is_read(tmp_path: Path) -> None:
    """What the page says of a column holds for the reader: its unit, and that it may be nothing or not."""
    rows = [[cell.strip(" `") for cell in line.strip("|").split("|")] for line in columns().splitlines()[2:]]
    sign = {"location": "B1", "layer": "clay", "id": "R"}
    units = ["" if unit in {"text", "none"} else unit.split(" ")[0] for _, unit, *_ in rows]
    lines = [",".join(row[0] for row in rows), ",".join(units)]
    for k, test in enumerate(NEEDED):
        cells = [sign.get(name, "0" if must == "not negative" else "1") for name, _, must, *_ in rows]
        lines.append(",".join(cells).replace("R,B1,1,", f"R{k},B1,{test},"))
    (tmp_path / "data.csv").write_text("\n".join(lines), encoding="utf-8")

    assert len(read_results(tmp_path, "data.csv").results) == len(NEEDED)


def test_writing_the_documentation_gives_both_files_and_new_lines_of_the_starter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = (ROOT / "docs" / "project-file.md").read_text(encoding="utf-8")
    assert ROOT / "docs" == schema.DOCS
    stale = page[: page.index("| `title`")] + page[page.index("<!-- end of fields -->") :].replace("`c_fv`", "")
    (tmp_path / "project-file.md").write_text(stale, encoding="utf-8")
    monkeypatch.setattr(schema, "DOCS", tmp_path)
    monkeypatch.setattr(schema, "template_folder", lambda: tmp_path)
    starter = (template_folder() / STARTER).read_text(encoding="utf-8")
    (tmp_path / STARTER).parent.mkdir()
    (tmp_path / STARTER).write_text(starter.replace('# settlement_residual = "0.10 m"\n', ""), encoding="utf-8")
    schema.main()

    assert (tmp_path / "project-file.md").read_text(encoding="utf-8") == page
    assert (tmp_path / "project.schema.json").read_text(encoding="utf-8") == schema_text()
    assert '\n# settlement_residual = "0.10 m"\n\n' in (tmp_path / STARTER).read_text(encoding="utf-8")


def test_the_schema_is_a_valid_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))


@pytest.mark.parametrize("project", PROJECTS, ids=lambda project: project.name)
def test_an_example_is_read_agrees_with_the_schema_and_names_it(project: Path) -> None:
    text = (project / "project.toml").read_text(encoding="utf-8")
    first = text.split("\n", 1)[0]
    design = read_design(project)

    assert design.sections
    by_schema().validate(plain(tomllib.loads(text)))
    assert first == "#:schema ../../docs/project.schema.json"
    assert (project / first.removeprefix("#:schema ")).resolve() == ROOT / "docs" / "project.schema.json"


def test_every_field_of_the_calculation_is_used_by_an_example() -> None:
    texts = [(project / "project.toml").read_text(encoding="utf-8") for project in PROJECTS]
    used = set().union(*(_typed(tomllib.loads(text)) for text in texts))

    assert [path for path in fields_by_path() if path not in used and path.split(".")[0] not in OF_COMMANDS] == []


def _typed(node: Any, path: str = "") -> set[str]:
    """The paths of all keys of a file, those of a section without its name."""
    if isinstance(node, list):
        return {path}.union(*(_typed(one, path) for one in node))
    if not isinstance(node, dict):
        return {path}
    return set().union(*(
        _typed(value, path if key == "section" else f"{path}.{key}" if path else key) for key, value in node.items()
    ))  # fmt: skip


def test_both_examples_answer_every_matter_outside() -> None:
    names = [project.name for project in PROJECTS]

    assert {"marsh-approach", "weak-sleeve"} <= set(names)
    for name in ("marsh-approach", "weak-sleeve"):
        assert read_design(ROOT / "projects" / name).outside.keys() == OUTSIDE.keys()


@pytest.mark.parametrize(
    ("key", "value"),
    [("spacing", 1.9), ("spacing", "1,9 m"), ("pattern", "hexagonal"), ("spaceing", "1.9 m"), ("K_star", "1.0")],
)
def test_the_schema_refuses_what_the_reader_refuses(key: str, value: object) -> None:
    document = plain(tomllib.loads(starter_project("Test")))
    by_schema().validate(document)
    document["columns"][key] = value

    with pytest.raises(jsonschema.ValidationError):
        by_schema().validate(document)


@pytest.mark.parametrize("title", ["Test", 'A "quoted" \\ title', "Überführung μ", "]] = #", "x" * 300])
def test_the_starter_runs_as_it_is_with_any_title(tmp_path: Path, title: str) -> None:
    text = starter_project(title)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    assert read_design(tmp_path).project.title == title
    by_schema().validate(plain(tomllib.loads(text)))


@pytest.mark.parametrize("title", ["", " ", "two\nlines", "bell\a", "x" * 301, "\udcff"])
def test_the_starter_refuses_a_title_that_the_reader_would_refuse(title: str) -> None:
    with pytest.raises(ValueError, match="the title must be a printable line of at most 300 characters"):
        starter_project(title)
