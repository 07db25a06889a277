"""The tables [project], [people] and [[assumption]]: what the package is and who answers for it."""

from calc.inputs.reading.kinds import Name, Table, field
from calc.inputs.reading.texts import Day, Line, Words


class Revision(Table):
    """One line of the revision record."""

    label: Name = field("Label of the revision, used once.", "A")
    date: Day = field(
        "Day of issue; every date printed in the package comes from here, never from the clock.", "2025-04-30"
    )
    status: Line = field("Status of the document with this revision.", "for checking")
    note: Words = field("What changed.", "first issue")
    author: Line = field("Who made the change.", "A. Fenwick")


class Project(Table):
    """What the package is about and how it is filed."""

    title: Line = field("Title of the project as printed on the cover.", "Marsh approach road")
    number: Name = field("Project number.", "2025-014")
    document: Name = field("Number of this document.", "2025-014-GEO-C-001")
    client: Line | None = field("Client.", "Harrow Vale road authority", default=None)
    location: Line | None = field("Where the work is.", "Harrow Vale", default=None)
    purpose: Words = field("What this calculation is for and what it settles.", "Detailed design of the embankment.")
    revisions: tuple[Revision, ...] = field(
        "Revision record, oldest first; the last is the one being printed.",
        "[[project.revision]]",
        name="revision",
        min_length=1,
        max_length=100,
    )


class Person(Table):
    """A person who signs."""

    name: Line = field("Name.", "A. Fenwick")
    organisation: Line | None = field("Organisation.", "design office", default=None)


class People(Table):
    """Who made, checked and approved the calculation."""

    originator: Person = field("Who made the calculation.", '{ name = "A. Fenwick" }')
    checker: Person = field("Who checked it; not the originator.", '{ name = "B. Okoye" }')
    approver: Person = field("Who approves it for its purpose; neither of the two.", '{ name = "C. Lindqvist" }')


class Assumption(Table):
    """An assumption that the design rests on and that somebody has to confirm."""

    text: Words = field("What is assumed.", "The old ditch is filled with the same clay as the field.")
    source: Words = field("What the assumption comes from.", "Site walk of 2025-02-11")
    owner: Line = field("Who answers for it.", "designer")
    confirm_by: Line = field("When or by what it is confirmed.", "trial pit before installation begins")
