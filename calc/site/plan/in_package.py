"""The column plan as the last part of a package: its drawing list, then the pages that it has in a file of its own."""

from dataclasses import dataclass, replace
from pathlib import Path

from markupsafe import Markup

from calc.engine.words import words_of
from calc.inputs import Design, InputErrors
from calc.package.attached import Appendix
from calc.package.pages import environment
from calc.package.shown import css_state
from calc.site.plan.plan_pdf import AUDIT, KEY_PLAN, PlanPages, sheet_place, shown_by
from calc.site.plan.plan_tables import Answer, answers
from calc.site.plan.write_plan import MadePlan, make_plan, plan_pages

say = words_of(__name__)

PLACE = "column-plan"
OPEN = ("fail", "not verified")


@dataclass(frozen=True)
class PlanPart:
    """The plan of a design, or why it cannot be laid out."""

    design: Design
    made: MadePlan | None
    errors: tuple[str, ...] = ()

    @property
    def outcome(self) -> str:
        """That of the plan; a plan that cannot be laid out leaves everything open."""
        return self.made.outcome if self.made else "incomplete"

    @property
    def checksum(self) -> str | None:
        """That of its columns; none where they cannot be laid out."""
        return self.made.listed.checksum if self.made else None

    @property
    def words(self) -> str:
        """What the plan is, or that it is none, in a line."""
        if self.made is None:
            return say("none", errors="; ".join(self.errors))
        listed = self.made.listed
        metres = f"{sum(column.length for column in listed.columns):.0f}"
        words = say("plan", revision=self.made.plan.revision, columns=len(listed.columns), metres=metres,
                    checksum=listed.checksum)  # fmt: skip
        return f"{words} {say('stated', count=self.made.stated)}" if self.made.stated else words

    @property
    def open(self) -> bool:
        """Whether it cannot be laid out or something of it is not verified, whatever fails beside it."""
        return self.made is None or self.made.open

    @property
    def reason(self) -> str:
        """Why it is not verified, in a line."""
        if self.made is None:
            return self.words
        return "; ".join(
            [
                *(f"{answer.area} {answer.title}" for answer in self._open() if answer.state != "fail"),
                *([say("far")] * self.made.unseen),
            ]
        )

    def appendix(self) -> Appendix:
        """The part of the package: the drawing list on a page of the package, the drawings, the lines."""
        pages = plan_pages(self.design, self.made) if self.made else None
        state = self.made.outcome if self.made else say("not-laid-out")
        html = environment().get_template("plan-list.html").render(
            say=say, state=state, style=css_state(state if state in {"pass", "fail"} else "not verified"),
            words=self.words, errors=self.errors, rows=_rows(pages) if pages else (), open=self._open(),
            notes=self._notes(),
        )  # fmt: skip
        title = say("title") if state == "pass" else f"{say('title')} – {state}"
        # Written by a template which escapes.
        return Appendix(title, PLACE, Markup(html), pages.pieces() if pages else ())  # noqa: S704

    def _open(self) -> list[Answer]:
        """The verdicts that fail or are open."""
        return [answer for answer in answers(self.made.sheets) if answer.state in OPEN] if self.made else []

    def _notes(self) -> list[str]:
        if self.made is None:
            return []
        counted = any(section.construction and section.construction.quantities for section in self.design.sections)
        other = [say("other-count")] if counted else []
        return [*other, *([say("far")] * self.made.unseen), *self.made.notes]


def plan_part(design: Design) -> PlanPart | None:
    """The plan of a project that has one; without its packages `ModuleNotFoundError`."""
    if design.plan is None:
        return None
    try:
        return PlanPart(design, make_plan(design, design.plan))
    except InputErrors as wrong:
        # Without the folder, which the pages must not depend on.
        return PlanPart(design, None, tuple(str(replace(error, file=Path(error.file).name)) for error in wrong.errors))


def _rows(pages: PlanPages) -> list[tuple[str, str, str, str, str]]:
    """The drawing list: place of the sheet, its number, what it shows, its columns, its scale."""
    drawn = pages.drawn
    rows = [
        (sheet_place(cut), say("of", number=cut.number, count=len(drawn.cuts)),
         say("shows", **shown_by(cut), section=cut.area.section.key),
         str(int(cut.shows(drawn.layout.columns).sum())), f"1:{cut.scale}")
        for cut in drawn.cuts
    ]  # fmt: skip
    return [(KEY_PLAN, say("key-plan"), say("every-sheet"), str(len(drawn.columns)), ""), *rows,
            (AUDIT, say("lines"), say("every-line"), "", "")]  # fmt: skip
