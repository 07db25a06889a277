"""The files of the cut list of a plan."""

from calc.engine.words import words_of
from calc.inputs import Design
from calc.site.plan.setting_out import one_line
from calc.site.plan.write_plan import MadePlan
from calc.site.sleeves.cut_list import CutList, cut_files, cut_list
from calc.site.sleeves.cut_pages import cut_pages
from calc.site.sleeves.labels import label_files

say = words_of(__name__)


def write_cuts(
    design: Design, made: MadePlan, seconds: float, *, labels: bool
) -> tuple[CutList | None, dict[str, bytes]]:  # fmt: skip
    """The cut list and its files by name; none where the plan has no table of sleeves."""
    given = made.plan.sleeves
    if given is None:
        return None, {}
    dated, checksum = design.project.revisions[-1].date, made.listed.checksum
    cuts = cut_list(design, given, made.listed, seconds)
    title = say("title", project=one_line(design.project.title), revision=made.plan.revision)
    files = {**cut_files(cuts, made.listed), "sleeves.pdf": cut_pages(cuts, title, checksum, dated)}
    if labels:
        files |= dict(label_files(cuts.sleeves, checksum, made.plan.revision, dated))
    return cuts, files
