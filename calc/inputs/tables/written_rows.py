"""How files of rows are written, as the mappings of the site's files say: forms of dates, decimal marks."""

from typing import Annotated

from calc.inputs.reading.texts import OneOf

ISO = "year-month-day"
DATE_FORMS = (ISO, "day.month.year", "day/month/year", "month/day/year")
DECIMALS = (".", ",")
DateForm = Annotated[str, OneOf(words=DATE_FORMS)]
DecimalMark = Annotated[str, OneOf(words=DECIMALS)]
