"""The pages before and after the chapters: summary, contents, matters outside, register, inputs."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.inputs import OUTSIDE, Section
from calc.package.shown import css_state, cut
from calc.package.verdicts import VerdictView


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One section in the geometry table of the summary."""

    key: str
    title: str
    chainage: str
    fill: str
    soft: str
    grid: str
    column: str
    sleeve: str
    state: str
    style: str
    utilisation: str
    ratio: float


@dataclass(frozen=True, slots=True)
class Matter:
    """One matter outside this calculation with its answer; empty where nobody has answered."""

    number: int
    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the contents; `open` marks a chapter which settles nothing yet."""

    number: str
    title: str
    anchor: str
    open: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Lines of the contents under one head."""

    head: Entry
    entries: tuple[Entry, ...] = ()


def section_row(part: SectionRun, views: Sequence[VerdictView]) -> SectionRow:
    """Geometry and state of one section."""
    section = part.section
    columns, sleeve = section.columns, section.sleeve
    own = [view for view in views if view.section == section.key]
    state = section_state(own)
    worst = max((view for view in own if view.utilisation != "–"), key=lambda view: view.ratio, default=None)
    return SectionRow(
        key=section.key,
        title=cut(section.title, 60),
        chainage=section.chainage,
        fill=f"{section.embankment.height:.2f} m{_platform(section)}",
        soft=f"{sum(layer.thickness for layer in section.layers):.2f} m in {len(section.layers)}",
        grid=f"{columns.pattern}, {columns.spacing:.3f} m",
        column=f"{columns.diameter:.3f} m, {columns.installation}",
        sleeve=f"{sleeve.stiffness[0].J:.0f} / {sleeve.stiffness[-1].J:.0f} kN/m",
        state=state,
        style=css_state(state),
        utilisation=worst.utilisation if worst else "–",
        ratio=worst.ratio if worst else 0.0,
    )


def _platform(section: Section) -> str:
    return f" on {section.platform.thickness:.2f} m" if section.platform else ""


def section_state(views: Sequence[VerdictView]) -> str:
    """The state of several verdicts together."""
    if any(view.state == "fail" for view in views):
        return "fail"
    if any(view.state == "not verified" and view.required for view in views):
        return "not verified"
    return "pass"


def matters(run: Run) -> tuple[Matter, ...]:
    """The questions in their order with the answers of the project file."""
    answers = run.design.outside
    return tuple(
        Matter(index, question, answers.get(key, "")) for index, (key, question) in enumerate(OUTSIDE.items(), start=1)
    )


def decisions(run: Run, views: Sequence[VerdictView]) -> tuple[str, ...]:
    """What somebody has to decide before the design can go ahead, in words."""
    found = [
        f"Section {view.section}: {view.title} fails; change the design." for view in views if view.state == "fail"
    ]
    unanswered = [matter.number for matter in matters(run) if not matter.answer]
    if unanswered:
        numbers = ", ".join(str(number) for number in unanswered)
        found.append(f"Answer the matters outside this calculation which are left open: {numbers}.")
    if any(view.state == "not verified" and view.required for view in views):
        found.append("Verify by other means, or exclude, what is listed as not verified.")
    if run.design.assumptions:
        found.append(_to_confirm(len(run.design.assumptions)))
    return tuple(found)


def _to_confirm(count: int) -> str:
    if count == 1:
        return "The owner of assumption 1 has to confirm it by the means stated with it."
    numbers = "1 and 2" if count == 2 else f"1 to {count}"
    return f"The owners of assumptions {numbers} have to confirm them by the means stated with them."


def numbered_source(text: bytes) -> Markup:
    """The project file, each line with its number, as one block of text."""
    lines = text.decode("utf-8").splitlines()
    width = len(str(len(lines)))
    numbered = "\n".join(f"{index:>{width}}  {line}" for index, line in enumerate(lines, start=1))
    # Control characters would steer the text layout; a tab is the only one which means something here.
    return Markup("{}").format("".join(sign if sign.isprintable() or sign in "\n\t" else "�" for sign in numbered))
