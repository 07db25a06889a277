"""The project file as a whole, and the rules between its tables."""

from itertools import pairwise

from calc.factors import BUILT_IN
from calc.inputs.reading.kinds import Table, field
from calc.inputs.tables.alignment import ALIGNMENT_RULES, Alignment
from calc.inputs.tables.basis import Basis
from calc.inputs.tables.earthquake import seismic_outside
from calc.inputs.tables.installed import INSTALLED_RULES, Installed
from calc.inputs.tables.neighbours import screened_outside
from calc.inputs.tables.observed import OBSERVED_RULES, Observed
from calc.inputs.tables.outside import Outside
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_rules import PLAN_RULES
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.project import Assumption, People, Project
from calc.inputs.tables.section import Section
from calc.inputs.tables.sizing import SIZE_RULES, Catalogue, Size
from calc.inputs.tables.vary import Vary
from calc.inputs.tables.vary_rules import VARY_RULES

NOT_INVOLVED, OTHER_ORGANISATION = 2, 3  # check categories


class Document(Table):
    """The project file, with the common tables merged into the sections."""

    project: Project = field("What the package is about.", "[project]")
    people: People = field("Who made, checked and approved the calculation.", "[people]")
    basis: Basis = field("What the design is measured against.", "[basis]")
    outside: Outside = field("Matters outside this calculation; the table may be empty.", "[outside]")
    assumptions: tuple[Assumption, ...] = field(
        "Assumptions to be confirmed.", "[[assumption]]", name="assumption", default=(), max_length=200
    )
    alignment: Alignment | None = field("Settlement along the alignment.", "[alignment]", default=None)
    plan: Plan | None = field("The column plan.", "[plan]", default=None)
    installed: Installed | None = field("Installation records.", "[installed]", default=None)
    observed: Observed | None = field("Readings of the monitoring.", "[observed]", default=None)
    vary: Vary | None = field("Sensitivity and reliability.", "[vary]", default=None)
    size: Size | None = field("The search for the design.", "[size]", default=None)
    catalogue: Catalogue | None = field("Products that it may choose from.", "[catalogue]", default=None)
    sections: tuple[Section, ...] = field("Sections.", "[[section]]", name="section", min_length=1, max_length=60)


def revisions(project: Project) -> Problems:
    """Labels are used once; dates do not run backwards."""
    at = ("project", "revision")
    yield from unique([revision.label for revision in project.revisions], at, "label")
    for index, (before, revision) in enumerate(pairwise(project.revisions), start=1):
        if revision.date < before.date:
            yield Problem((*at, index, "date"), f"not be before the revision above it ({before.date})")


def four_eyes(people: People) -> Problems:
    """Who makes, who checks and who approves are three people."""
    seen: dict[tuple[str, ...], str] = {}
    for role in ("originator", "checker", "approver"):
        name = tuple(getattr(people, role).name.casefold().split())
        if name in seen:
            yield Problem(("people", role, "name"), f"be another person than the {seen[name]}")
        seen.setdefault(name, role)


def independence(people: People, project: Project, basis: Basis) -> Problems:
    """The checker stands as far from the design as the check category asks."""
    category, checker, originator = basis.check_category, people.checker, people.originator
    if category is not None and category >= NOT_INVOLVED:
        authors = [" ".join(line.author.casefold().split()) for line in project.revisions]
        if " ".join(checker.name.casefold().split()) in authors:
            must = f"be a person who is not the author of a revision (check category {category})"
            yield Problem(("people", "checker", "name"), must)
    if category == OTHER_ORGANISATION:
        for role, person in (("originator", originator), ("checker", checker)):
            if person.organisation is None:
                yield Problem(("people", role, "organisation"), "be given for check category 3", "nothing")
        names = [" ".join((person.organisation or "").casefold().split()) for person in (originator, checker)]
        if all(names) and names[0] == names[1]:
            must = "be another organisation than that of the originator (check category 3)"
            yield Problem(("people", "checker", "organisation"), must)


def factor_sets(basis: Basis) -> Problems:
    """Names of factor sets are known and used once; given sets hide no built-in one."""
    keys = [item.key for item in basis.given_factor_sets]
    yield from unique(keys, ("basis", "factor_set"), "key")
    for index, key in enumerate(keys):
        if key in BUILT_IN:
            yield Problem(("basis", "factor_set", index, "key"), "be another name than that of a built-in set")
    for index, name in enumerate(basis.factor_set_names):
        if name not in {*BUILT_IN, *keys}:
            known = ", ".join(f'"{key}"' for key in (*BUILT_IN, *keys))
            yield Problem(("basis", "factor_sets", index), f"be one of {known}")
        elif name in basis.factor_set_names[:index]:
            yield Problem(("basis", "factor_sets", index), "be used once only")


def factor_sets_of_sections(basis: Basis, sets_of_sections: tuple[tuple[str, ...] | None, ...]) -> Problems:
    """A section names sets of the project, each once; a set of the project is that of some section."""
    known = basis.factor_set_names
    for place, names in enumerate(sets_of_sections):
        for index, name in enumerate(names or ()):
            path = ("section", place, "factor_sets", index)
            if name not in known:
                yield Problem(path, "be one of basis.factor_sets: " + ", ".join(f'"{key}"' for key in known))
            elif name in (names or ())[:index]:
                yield Problem(path, "be used once only")
    used = {name for names in sets_of_sections for name in (known if names is None else names)}
    for index, name in enumerate(known):
        if sets_of_sections and name not in used:
            must = "be named by a section, because every section names sets of its own"
            yield Problem(("basis", "factor_sets", index), must)


def quasi_permanent_share(basis: Basis, any_traffic: bool) -> Problems:
    """Serviceability needs the quasi-permanent share of the traffic load."""
    if any_traffic and basis.psi_2 is None:
        yield Problem(("basis", "psi_2"), "be given where a section has traffic", "nothing")


def section_keys(section_keys: tuple[str, ...]) -> Problems:
    """Keys of sections are used once."""
    yield from unique(section_keys, ("section",), "key")


DOCUMENT_RULES = (
    revisions, four_eyes, independence, factor_sets, factor_sets_of_sections, quasi_permanent_share,
    section_keys, screened_outside, seismic_outside, *ALIGNMENT_RULES, *PLAN_RULES, *INSTALLED_RULES,
    *OBSERVED_RULES, *VARY_RULES, *SIZE_RULES,
)  # fmt: skip
