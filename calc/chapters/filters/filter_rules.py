"""The rules of the filters: retention, permeability, permittivity, clogging, and the fill as a granular filter."""

from calc.chapters.filters.soils import FILL, BaseSoil, FilterData, take_of
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.missing import missing_of_layers, not_given
from calc.engine.sheet import Origin, Scope, Sheet, number_text
from calc.engine.words import words_of
from calc.formulas.filters import (
    PERMITTIVITY,
    gradient_ratio,
    largest_filter_grain,
    largest_opening,
    largest_opening_for_fine_soil,
    largest_opening_under_reversing_flow,
    least_permittivity,
    permittivity,
    required_permeability,
    retention_coefficient,
    smallest_filter_grain,
    smallest_opening,
)
from calc.inputs import Section

say = words_of(__name__)

CRITERIA = "filters.criteria"
HALF = 0.5
LARGEST_FOR_FINES = 0.22e-3  # m, the value that the limitation names
UNIFORM = 3.0  # coefficient of uniformity up to which a soil counts as uniform for clogging


def _labels(soils: tuple[BaseSoil, ...]) -> list[str]:
    return [soil.label for soil in soils]


def retention(sheet: Sheet, section: Section, data: FilterData) -> None:
    """The opening under strain against the largest opening that each soil allows."""
    title = say("retention-title")
    if data.criteria.flow == "reversing":
        if data.soils_by_rule:
            scope = sheet.scope("retention", say("scope-retention-title-2"))
            take_of(scope, ("D_85",), _labels(data.soils_by_rule))
            given_of_section(scope, "f_dyn", section, f"{CRITERIA}.reversing", data.criteria.reversing or 0.0)
            scope(largest_opening_under_reversing_flow)
            sheet.verdict("filter_retention", title, effect=sheet["O_eps"], resistance=scope["O_max"])
        return
    coarse = tuple(soil for soil in data.soils_by_rule if soil.grading.fines <= HALF)
    fine = tuple(soil for soil in data.soils_by_rule if soil.grading.fines > HALF)
    if coarse:
        scope = sheet.scope("retention", say("scope-retention-title"))
        take_of(scope, ("C_U", "D_85"), _labels(coarse))
        _largest_coefficient(scope, section, data)
        scope(retention_coefficient)
        scope(largest_opening)
        sheet.verdict("filter_retention", title, effect=sheet["O_eps"], resistance=scope["O_max"])
    if fine:
        scope = sheet.scope("retention_fine", say("scope-retention-fine-title"))
        take_of(scope, ("D_85",), _labels(fine))
        given_of_section(scope, "B_f", section, f"{CRITERIA}.fine_retention", data.criteria.fine_retention)
        given_of_section(scope, "O_cap", section, f"{CRITERIA}.largest_opening", data.criteria.largest_opening)
        scope(largest_opening_for_fine_soil)
        if data.criteria.largest_opening > LARGEST_FOR_FINES:
            sheet.limitation(
                "filter-opening",
                say("limitation-filter-opening"),
                PERMITTIVITY.citation,
                turns=["filter_retention_fine"] if float(sheet["O_eps"].array.max()) > LARGEST_FOR_FINES else [],
            )
        title = say("retention-title-2")
        sheet.verdict("filter_retention_fine", title, effect=sheet["O_eps"], resistance=scope["O_max"])


def _largest_coefficient(scope: Scope, section: Section, data: FilterData) -> None:
    """Above 1 only where the project argues for it: other published rules stop at the grain diameter itself."""
    argued = data.criteria.coarse_retention
    if argued is None:
        scope.given("B_cap", 1.0, origin=Origin("project rule", text=say("largest-coefficient-why")))
        return
    given_of_section(scope, "B_cap", section, f"{CRITERIA}.coarse_retention.value", argued.value)


def permeability(sheet: Sheet, section: Section, data: FilterData) -> None:
    """The sleeve does not dam the water that the soft layers give to the columns."""
    sheet.limitation("filter-fill-permeability", say("limitation-filter-fill-permeability"), "project rule")
    scope = sheet.scope("permeability", say("scope-permeability-title"))
    title = say("permeability-title")
    missing = missing_of_layers(section.soft_layers, ("k",))
    if missing:
        sheet.not_verified("filter_permeability", title, not_given(missing))
    else:
        given_of_section(scope, "f_k", section, f"{CRITERIA}.permeability_ratio", data.criteria.permeability_ratio)
        least = max(section.soft_layers, key=lambda layer: layer.k or 0.0)
        given_of_section(scope, "k_so", section, f"layer.{least.key}.k", least.k or 0.0)
        scope(required_permeability)
        note = say("permeability-note", least_name=least.name)
        sheet.verdict("filter_permeability", title, effect=scope["k_req"], resistance=sheet["k_g"], note=note)
    scope(permittivity)
    rules = [least_permittivity(soil.grading.fines) for soil in data.soils]
    scope.reading("psi_req", [rule.bound for rule in rules], ["grading"], title=say("reading-psi-req-title"),
                  source=PERMITTIVITY, inputs=[sheet["p_75"]], note=say("reading-psi-req-note"))  # fmt: skip
    required = scope["psi_req"].at(grading=data.layers)
    sheet.verdict(
        "filter_permittivity", say("verdict-filter-permittivity-title"), effect=required, resistance=scope["psi_g"]
    )


def clogging(sheet: Sheet, section: Section, data: FilterData) -> None:
    """Fine grains pass or are bridged: by a gradient ratio test, by the opening, or by the open area."""
    soils = data.soils_by_rule
    if data.criteria.flow == "steady":
        soils = tuple(soil for soil in soils if not soil.is_fill)
    spread = dict(zip(sheet.axes["grading"], sheet["C_U"].array, strict=True))
    for soil in soils:
        if soil.grading.gradient_ratio is not None:
            _gradient_ratio(sheet, section, data, soil)
    others = tuple(soil for soil in soils if soil.grading.gradient_ratio is None)
    graded = tuple(soil for soil in others if spread[soil.label] > UNIFORM)
    if graded:
        scope = sheet.scope("clogging", say("scope-clogging-title"))
        take_of(scope, ("D_15",), _labels(graded))
        given_of_section(scope, "f_O", section, f"{CRITERIA}.clogging", data.criteria.clogging)
        scope(smallest_opening)
        sheet.verdict("filter_clogging", say("clogging-title"), effect=scope["O_min"], resistance=sheet["O_95"])
    if len(graded) < len(others):
        _open_area(sheet, section, data)


def _gradient_ratio(sheet: Sheet, section: Section, data: FilterData, soil: BaseSoil) -> None:
    """The test of one soil, which is a reading of its own."""
    key, title = f"gradient_ratio_{soil.key}", say("gradient-ratio", soil_name=soil.name)
    test, limit = soil.grading.gradient_ratio, data.criteria.gradient_ratio_max
    if test is None or limit is None:
        sheet.not_verified(key, title, not_given(say("missing-ratio")))
        return
    scope = sheet.scope(key, say("gradient-ratio-title", name=soil.name))
    path = f"{soil.path}.gradient_ratio"
    given_of_section(scope, "i_sg", section, f"{path}.at_geotextile", test.at_geotextile)
    given_of_section(scope, "i_s", section, f"{path}.in_soil", test.in_soil)
    given_of_section(scope, "G_Rmax", section, f"{CRITERIA}.gradient_ratio_max", limit)
    scope(gradient_ratio)
    sheet.verdict(key, title, effect=scope["G_R"], resistance=scope["G_Rmax"], note=test.source)


def _open_area(sheet: Sheet, section: Section, data: FilterData) -> None:
    key, title = "filter_open_area", say("open-area")
    values = (
        ("O_open", "filters.geotextile.open_area", data.geotextile.open_area),
        ("O_openm", f"{CRITERIA}.open_area_min", data.criteria.open_area_min),
    )
    words = (say("missing-area"), say("missing-least-area"))
    missing = [word for word, (_, _, value) in zip(words, values, strict=True) if value is None]
    if missing:
        sheet.not_verified(key, title, not_given("; ".join(missing)))
        return
    for name, path, value in values:
        given_of_section(sheet, name, section, path, value or 0.0)
    sheet.verdict(key, title, effect=sheet["O_openm"], resistance=sheet["O_open"])


def tests_of_soils(sheet: Sheet, data: FilterData) -> None:
    """Soils whose filtration was tested; the rules are not applied to them."""
    tested = [soil for soil in data.soils if soil.has_test]
    if not tested:
        return
    words = "; ".join(f"{soil.name}: {soil.grading.filtration_test}" for soil in tested)
    sheet.accepted("filtration_tests", say("tests-of-soils-title"), words)
    strained, cap = float(sheet["O_eps"].array.max()), data.criteria.largest_opening
    over = strained > cap and any(soil.grading.fines > HALF for soil in tested)
    sheet.limitation(
        "filter-tests-strained",
        say(
            "limitation-filter-tests-strained",
            count=len(tested),
            opening=number_text(1000 * float(sheet["O_95"].array.max()), 3),
            strained=number_text(1000 * strained, 3),
            over=say("filter-tests-over", cap=number_text(1000 * cap, 3)) if over else "",
        ),
        "project rule",
        turns=["filtration_tests"],
    )


def fill_as_filter(sheet: Sheet, section: Section, data: FilterData) -> None:
    """The fill lets the water of the soil pass; that it holds the soil back by itself is asked only where stated."""
    scope = sheet.scope("granular", say("scope-granular-title"))
    take_of(scope, ("D_15", "D_85"), data.layers)
    scope.take("D_15F", sheet["D_15"].at(grading=FILL))
    coefficients = (
        ("f_ret", "granular_retention"), ("f_perm", "granular_permeability"), ("D_15low", "granular_smallest")
    )  # fmt: skip
    for name, key in coefficients:
        given_of_section(scope, name, section, f"{CRITERIA}.{key}", getattr(data.criteria, key))
    scope(smallest_filter_grain)
    title = say("fill-as-filter-title")
    sheet.verdict("fill_passes_water", title, effect=scope["D_15min"], resistance=scope["D_15F"])
    scope(largest_filter_grain)
    if data.criteria.fill_retains:
        title = say("fill-as-filter-title-2")
        sheet.verdict("fill_retains", title, effect=scope["D_15F"], resistance=scope["D_15max"])
    elif (scope["D_15F"].array > scope["D_15max"].array).any():
        sheet.limitation("fill-retention", say("limitation-fill-retention"), "project file")
