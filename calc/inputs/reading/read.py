"""From a project folder to a design: read, merge, validate, apply the rules, keep where every value comes from."""

import inspect
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path as FilePath
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from calc.factors import FactorSet
from calc.inputs.ground_file.result_rows import ResultsFile
from calc.inputs.ground_file.results_file import read_results
from calc.inputs.ground_file.selection import GROUND_MODEL_RULES
from calc.inputs.reading.cautions import Caution, cautions
from calc.inputs.reading.document import DOCUMENT_RULES, Document
from calc.inputs.reading.field_list import list_headers
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.locate import Path
from calc.inputs.reading.merge import Merged, merge
from calc.inputs.reading.messages import must_and_got
from calc.inputs.reading.problems import InputError, InputErrors, distinct_mistakes
from calc.inputs.reading.provenance import provenance
from calc.inputs.reading.source import Source, read_source
from calc.inputs.reading.syntax import UNREADABLE
from calc.inputs.reading.texts import Key
from calc.inputs.tables.alignment import Alignment
from calc.inputs.tables.basis import Basis
from calc.inputs.tables.column_zones import COLUMN_ZONE_RULES
from calc.inputs.tables.columns import COLUMN_RULES
from calc.inputs.tables.crest import CREST_RULES, EDGE_HEIGHTS
from calc.inputs.tables.earthquake import EARTHQUAKE_RULES
from calc.inputs.tables.floating_rules import FLOATING_RULES
from calc.inputs.tables.floating_zones import FLOATING_ZONE_RULES
from calc.inputs.tables.ground import LAYER_RULES
from calc.inputs.tables.head_rules import HEAD_RULES
from calc.inputs.tables.installed import Installed
from calc.inputs.tables.monitoring import MONITORING_RULES
from calc.inputs.tables.neighbours import NEIGHBOUR_RULES
from calc.inputs.tables.observed import Observed
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.positions import POSITION_RULES, with_positions
from calc.inputs.tables.problem import Problem, Problems, without_consequences
from calc.inputs.tables.programme import PROGRAMME_RULES
from calc.inputs.tables.project import Assumption, People, Project
from calc.inputs.tables.section import COMMON, Provenance, Section
from calc.inputs.tables.section_rules import SECTION_RULES
from calc.inputs.tables.site_rules import SITE_RULES
from calc.inputs.tables.sizing import Catalogue, Size
from calc.inputs.tables.sleeve import STRENGTH_RULES
from calc.inputs.tables.stages import LIFT_RULES
from calc.inputs.tables.traffic import TRAFFIC_RULES
from calc.inputs.tables.vary import Vary
from calc.inputs.tables.widening import WIDENING_RULES

RULES = (
    *SECTION_RULES, *LAYER_RULES, *COLUMN_RULES, *STRENGTH_RULES, *LIFT_RULES, *PROGRAMME_RULES, *HEAD_RULES,
    *FLOATING_RULES, *FLOATING_ZONE_RULES, *SITE_RULES, *MONITORING_RULES, *GROUND_MODEL_RULES,
    *NEIGHBOUR_RULES, *TRAFFIC_RULES, *EARTHQUAKE_RULES, *CREST_RULES, *WIDENING_RULES, *COLUMN_ZONE_RULES,
    *POSITION_RULES,
)  # fmt: skip
SECTION_KEY = re.compile(Key(capitals=True).pattern())
_OF_FILE = {(info.alias or name,) for name, info in Document.model_fields.items()}


@dataclass(frozen=True)
class Design:
    """A project file as everything else sees it: validated, in kN, m, kPa, rad, day, sections resolved.

    A section whose layers change their thickness across is followed by its positions, sections of their own.
    """

    project: Project
    people: People
    basis: Basis
    outside: Mapping[str, str]
    assumptions: tuple[Assumption, ...]
    alignment: Alignment | None
    sections: tuple[Section, ...]
    source: FilePath
    text: bytes
    sha256: str
    provenance: Mapping[str, Provenance]
    cautions: tuple[Caution, ...] = ()
    results_file: ResultsFile | None = None
    plan: Plan | None = None
    installed: Installed | None = None
    observed: Observed | None = None
    vary: Vary | None = None
    size: Size | None = None
    catalogue: Catalogue | None = None

    @property
    def stated(self) -> tuple[Section, ...]:
        """The sections of the project file, without positions."""
        return tuple(section for section in self.sections if section.position is None)

    def factor_sets(self, section: Section) -> tuple[FactorSet, ...]:
        """The sets of partial factors by which a section is verified, in the order of the design basis.

        The seismic situation has the factors of the section's earthquake in every set.
        """
        named, shaken = section.factor_set_names, section.earthquake
        chosen = [factor_set for factor_set in self.basis.factor_sets if named is None or factor_set.key in named]
        seismic = None if shaken is None else shaken.factors.factors()
        return tuple(replace(factor_set, seismic=seismic) for factor_set in chosen)

    @property
    def answered(self) -> Mapping[str, str]:
        """The matters outside with their answers; the working platform is none where every section has its rig."""
        if all(section.platform is not None and section.platform.rig is not None for section in self.sections):
            return {"platform_rig": "see the chapter on the working platform", **self.outside}
        return self.outside


def read_design(project: FilePath, data: bytes | None = None) -> Design:
    """Read and validate project.toml of a project folder; raise `InputErrors` with everything that is wrong.

    ``data`` stands in for what the file holds: a study reads its changed copies beside the same data files.
    """
    source = read_source(FilePath(project), list_headers(), data)
    sections = _merged_sections(source.document)
    labels = [_label(source, index) for index in range(len(sections))]
    document = {key: value for key, value in source.document.items() if key not in COMMON}
    if sections:
        document["section"] = [section.table for section in sections]
    readable, details = _partly(Document, document)
    mistakes = [
        *((error, None) for error in _validation_errors(source, [], _common_details(source.document))),
        *((error, _section_of(detail, labels)) for detail in details for error in
          _validation_errors(source, sections, [detail])),
    ]  # fmt: skip
    results_file, wrong = _results_file(source, sections, labels)
    mistakes += [*wrong, *_broken_rules(source, sections, labels, readable, results_file)]
    errors = [*source.mistakes, *distinct_mistakes(mistakes, labels)]
    if errors:
        raise InputErrors(errors)
    return _design(source, sections, Document.model_validate(document), results_file)


def _results_file(
    source: Source, sections: list[Merged], labels: list[str]
) -> tuple[ResultsFile | None, list[tuple[InputError, str | None]]]:
    """The file of results that the sections name, or what is wrong with it; a project has one."""
    named = [(section, label, model["file"]) for section, label in zip(sections, labels, strict=True)
             if isinstance(model := section.table.get("ground_model"), dict)
             and isinstance(model.get("file"), str)]  # fmt: skip
    if not named:
        return None, []
    section, label, name = named[0]
    at = ("ground_model", "file")
    other = [(merged.stands_at(at), key) for merged, key, file in named if file != name]
    if other:
        must = f'be "{name}" as in the other sections: a project has one file of results'
        return None, [(source.error(place, must, source.shown_text(place)), key) for place, key in other]
    try:
        return read_results(source.file.parent, name), []
    except InputErrors as errors:
        return None, [(error, None) for error in errors.errors]
    except (ValueError, OSError) as error:
        place = section.stands_at(at)
        must = str(error) if isinstance(error, ValueError) else "be a file that can be read"
        return None, [(source.error(place, must, source.shown_text(place)), label)]


def _label(source: Source, index: int) -> str:
    """How a message names a section: by its key, or by its number in the file."""
    key = source.document["section"][index].get("key")
    return key if isinstance(key, str) and SECTION_KEY.fullmatch(key) else f"number {index + 1}"


def _section_of(detail: ErrorDetails, labels: list[str]) -> str | None:
    path = detail["loc"]
    return labels[int(path[1])] if path[:1] == ("section",) and len(path) > 1 and labels else None


def _common_details(document: dict[str, Any]) -> Iterator[ErrorDetails]:
    """What is wrong in the common tables, whether or not a section states them anew; the section may complete them."""
    for name, info in Section.model_fields.items():
        key = info.alias or name
        if key not in COMMON or key not in document:
            continue
        try:
            _reader(Section, name).validate_python(document[key])
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                path = (key, *detail["loc"])
                if detail["type"] != "missing" or any(isinstance(part, int) for part in path):
                    yield {**detail, "loc": path}


def _merged_sections(document: dict[str, Any]) -> list[Merged]:
    """Lay each section over the common tables; nothing unless `section` is a list of tables."""
    tables = document.get("section")
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        return []
    common = {key: document[key] for key in COMMON if key in document}
    return [merge(common, table, (), ("section", index)) for index, table in enumerate(tables)]


def _stands_at(sections: list[Merged], path: Path) -> Path:
    if path[:1] == ("section",) and len(path) > 1 and sections:
        return sections[int(path[1])].stands_at(path[2:])
    return path


def _partly(model: type[Table], table: Any) -> tuple[dict[str, Any], list[ErrorDetails]]:
    """Validate a table; give the fields that are readable even if others are not, and what is wrong."""
    try:
        made = model.model_validate(table)
    except ValidationError as error:
        details = error.errors(include_url=False)
    else:
        return {name: getattr(made, name) for name in model.model_fields}, []
    bad = {detail["loc"][0] for detail in details if detail["loc"]}
    readable = {}
    for name, info in model.model_fields.items():
        key = info.alias or name
        if key not in bad:
            readable[name] = _reader(model, name).validate_python(table[key]) if key in table else info.get_default()
    return readable, details


@cache
def _reader(model: type[Table], name: str) -> TypeAdapter[Any]:
    info = model.model_fields[name]
    form: Any = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    return TypeAdapter(form)


def _validation_errors(source: Source, sections: list[Merged], details: Iterable[ErrorDetails]) -> Iterator[InputError]:
    for detail in details:
        kind = detail["type"]
        if kind != "extra_forbidden" and detail["input"] == UNREADABLE:
            continue  # told already, where it stands
        if kind in {"missing", "too_short"} and not source.whole:
            continue  # it may stand in a line that cannot be read
        if kind == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"]:
            continue  # counted without the entries that are wrong themselves and have errors of their own
        path = detail["loc"]
        at = _stands_at(sections, path)
        must, got = must_and_got(Document if path[:1] in _OF_FILE else Section, detail, COMMON, at)
        yield source.error(at, must, got)


def _broken_rules(
    source: Source,
    sections: list[Merged],
    labels: list[str],
    readable: dict[str, Any],
    results_file: ResultsFile | None,
) -> Iterator[tuple[InputError, str | None]]:
    """What breaks a rule between values, with the key of its section; nothing where a line cannot be read."""
    if source.mistakes:
        return
    basis = readable.get("basis")
    shared = {"gamma_w": basis.gamma_w, "sublayer_max": basis.sublayer_max} if basis else {}
    if results_file is not None:
        shared["results_file"] = results_file
    parts = [_partly(Section, section.table)[0] for section in sections]
    for section, values, label in zip(sections, parts, labels, strict=True):
        soils = _known_soils(section, values, parts)
        common = {"common_edges": _common_edges(section)}
        for problem in without_consequences(_apply(RULES, values | shared | soils | common)):
            error = _error(source, section.stands_at(problem.path), problem)
            if problem.row is not None and results_file is not None:
                file = str(source.file.parent / results_file.name)
                error = replace(error, file=file, line=problem.row, column=1)
            yield error, label
    tables = [values["neighbours"] for values in parts if values.get("neighbours") is not None]
    beside = [neighbour for table in tables for neighbour in table.neighbours]
    of_sections = {
        "any_traffic": any(values.get("traffic") is not None for values in parts),
        "any_earthquake": any(values.get("earthquake") is not None for values in parts),
        "any_neighbours": bool(beside),
        "any_piles": any(neighbour.piles is not None for neighbour in beside),
        "section_values": parts,
        "sets_of_sections": tuple(values.get("factor_set_names") for values in parts),
        "section_keys": tuple(values.get("key", ("unreadable", index)) for index, values in enumerate(parts)),
    }
    if all("chainage" in values for values in parts):
        of_sections["chainages"] = tuple(values["chainage"] for values in parts)
    for problem in _apply(DOCUMENT_RULES, readable | of_sections):
        yield _error(source, problem.path, problem), None


def broken_rules(design: Design, section: Section) -> list[Problem]:
    """What breaks a rule between the values of a section that other numbers were put into, by the rules of its file."""
    values = {name: getattr(section, name) for name in Section.model_fields} | {"layers": section.soft_layers}
    shared = {"gamma_w": design.basis.gamma_w, "sublayer_max": design.basis.sublayer_max, "common_edges": ()}
    return without_consequences(_apply(RULES, values | shared))


def _known_soils(section: Merged, values: dict[str, Any], parts: list[dict[str, Any]]) -> dict[str, Any]:
    """The keys of layers that a grading may name: those of all sections where it is common to them."""
    of_section = section.stands_at(("filters", "soil"))[0] == "section"
    tables = [values] if of_section else parts
    if not all("layers" in table for table in tables):
        return {}
    return {"known_soils": tuple(dict.fromkeys(layer.key for table in tables for layer in table["layers"]))}


def _common_edges(section: Merged) -> tuple[str, ...]:
    """The heights of crest edges that a section with a height of its own has from the common table."""
    common = [name for name in ("height", *EDGE_HEIGHTS) if section.stands_at(("embankment", name))[0] == "embankment"]
    return () if "height" in common else tuple(common)


def _apply(rules: Iterable[Callable[..., Problems]], values: dict[str, Any]) -> Problems:
    for rule in rules:
        names = _asked_by(rule)
        if names <= values.keys():
            yield from rule(**{name: values[name] for name in names})


@cache
def _asked_by(rule: Callable[..., Problems]) -> frozenset[str]:
    """The values that a rule asks for, by the names of its parameters."""
    return frozenset(inspect.signature(rule).parameters)


def _error(source: Source, path: Path, problem: Problem) -> InputError:
    got = problem.got if problem.got is not None else source.shown_text(path)
    return source.error(path, problem.must, got)


def _design(source: Source, merged: list[Merged], document: Document, results_file: ResultsFile | None) -> Design:
    origins = provenance(document, (), "", source, lambda path: path)
    warnings = list(cautions(document, source, lambda path: path))
    sections = list[Section]()
    for part, section in zip(merged, document.sections, strict=True):
        own = provenance(section, (), "", source, part.stands_at)
        warnings += cautions(section, source, part.stands_at)
        sections += with_positions(_complete_section(section, own))
        origins |= {f"section.{section.key}.{path}": value for path, value in own.items()}
    return Design(
        document.project,
        document.people,
        document.basis,
        document.outside.answers(),
        document.assumptions,
        document.alignment,
        tuple(sections),
        source.file,
        source.data,
        source.sha256,
        origins,
        tuple(sorted(dict.fromkeys(warnings), key=lambda caution: (caution.line, caution.column))),
        results_file,
        document.plan,
        document.installed,
        document.observed,
        document.vary,
        document.size,
        document.catalogue,
    )


def _complete_section(section: Section, origins: dict[str, Provenance]) -> Section:
    """Give the sleeve its oversize where the installed radius was typed, and the section its origins."""
    sleeve = section.sleeve
    if sleeve.installed_radius is not None:
        # Typed decimals: without the rounding 0.405 m − 0.40 m would be 0.005 000 000 000 000 004 m.
        oversize = round(sleeve.installed_radius - section.columns.diameter / 2, 12)
        section = section.model_copy(update={"sleeve": sleeve.model_copy(update={"oversize": oversize})})
        origins["sleeve.oversize"] = origins["sleeve.installed_radius"]
    section._provenance = origins  # noqa: SLF001  # it belongs to the section, which is made here
    return section.in_parts() if any(layer.c_u_profile for layer in section.layers) else section
