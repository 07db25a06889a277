"""The page for the site office: one HTML file that loads nothing, from finished runs of records and readings."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.engine.words import words_of
from calc.package.html_file import embed, own_file, policy
from calc.package.pages import environment
from calc.package.shown import status_words
from calc.site.installed.installed_run import Installation
from calc.site.installed.installed_text import installed_text
from calc.site.observed.next_lift import no_lift
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.observed_text import caution as readings_caution
from calc.site.observed.observed_text import closed_text, date_text, section_lines, unwatched_text, value_shown
from calc.site.office.plan_places import places_by_id, plan_data
from calc.site.office.reading_data import reading_data
from calc.site.office.record_data import planned_states, record_data, state_words
from calc.site.office.site_run import Site

say = words_of(__name__)

SCRIPTS = ("site-plan.js", "site-tables.js", "site-charts.js", "site-start.js")


def site_page(site: Site) -> str:
    """The page as one HTML document; the same runs give the same bytes."""
    style, script = own_file("site.css"), "\n".join(map(own_file, SCRIPTS))
    latest, made = site.design.project.revisions[-1], site.made
    sections = [] if site.readings is None else [_sentences(site.readings, part) for part in site.readings.sections]
    context = {
        "policy": policy(script, style),
        "style": Markup(style),  # noqa: S704 - the project's own file
        "script": Markup(script),  # noqa: S704 - the same
        "data": embed(site_data(site)),
        "project": site.design.project,
        "latest": latest,
        "status": status_words(latest.status),
        "version": __version__,
        "plan": made.plan,
        "checksum": made.listed.checksum,
        "count": len(made.columns),
        "records": _records_head(site.records),
        "readings": _readings_head(site.readings),
        "outcome": "" if site.records is None else say("outcome", outcome=site.records.outcome),
        "observed": "" if site.readings is None else say("outcome", outcome=site.readings.outcome),
        "answers": [] if site.readings is None else [*_answers(site.readings)],
        "record_lines": installed_text(site.records).splitlines()[:-1] if site.records else (),
        "unjudged": [item.title for item in site.records.items if item.why_not] if site.records else (),
        "sections": sections,
        "cautions": [*_cautions(site)],
        "letters": [area.given.letter for area in made.layout.areas],
    }
    return environment().get_template("site.html").render(context)


def site_data(site: Site) -> dict[str, Any]:
    """What the script knows."""
    places = places_by_id(site.made)
    records = None if site.records is None else record_data(site.records, places)
    return {
        "words": state_words(),
        "plan": plan_data(site.made),
        "state": planned_states(len(places)) if records is None else records.pop("state"),
        "records": records,
        "readings": None if site.readings is None else reading_data(site.readings),
    }


def _records_head(installation: Installation | None) -> str:
    """Up to which day the records go, and from which files."""
    if installation is None:
        return say("no-records")
    files = ", ".join(Path(file).name for file in installation.compared.records.files)
    days = list(installation.progress.counts)
    return say("records", day=days[-1].isoformat(), files=files) if days else say("records-undated", files=files)


def _readings_head(observation: Observation | None) -> str:
    if observation is None:
        return say("no-readings")
    files = ", ".join(Path(file).name for file in observation.taken.files)
    last = max(part.last for part in observation.sections)
    return say("readings", day=date_text(observation, last), files=files)


def _answers(observation: Observation) -> Iterator[str]:
    """How many triggers are crossed, and of every section whether its next lift may be placed, or why there is none."""
    crossed = [crossing for part in observation.sections for crossing in part.crossed]
    red, amber = (sum(crossing.kind == kind for crossing in crossed) for kind in ("red", "amber"))
    standing = sum(crossing.stands for crossing in crossed)
    yield say("crossed", red=red, standing=standing, amber=amber) if red else say("no-red", amber=amber)
    for part in observation.sections:
        if part.lift is not None:
            yield say("lift", section=part.section.key, answer=part.lift.answer)
        elif part.course is not None:
            yield say("no-lift", section=part.section.key, why=no_lift(part.course)[0])
    yield from unwatched_text(observation)


def _sentences(observation: Observation, part: ObservedSection) -> dict[str, Any]:
    """The sentences of the terminal on a section, and its triggers that were crossed."""
    head, *lines = section_lines(observation, part)
    crossed = [
        (crossing.kind, crossing.trigger.quantity, crossing.when, crossing.series,
         value_shown(crossing.trigger.quantity, crossing.level),
         value_shown(crossing.trigger.quantity, crossing.worst), date_text(observation, crossing.first),
         date_text(observation, crossing.last),
         closed_text(observation, crossing), crossing.trigger.action, crossing.trigger.decides)
        for crossing in part.crossed
    ]  # fmt: skip
    return {"key": part.section.key, "title": part.section.title, "head": head, "crossed": crossed,
            "lines": [line.strip() for line in lines]}  # fmt: skip


def _cautions(site: Site) -> Iterator[str]:
    """What the page does not decide."""
    yield say("caution")
    if site.records is not None:
        yield installed_text(site.records).splitlines()[-1]
    if site.readings is not None:
        yield readings_caution()
