"""Vertical inertia of an earthquake: a cross-section whose ground and loads weigh more or less by it."""

from dataclasses import replace

from calc.procedures.slip.model import Layer, Model, Soil


def accelerated_model(model: Model) -> Model:
    """The cross-section with all weights times 1 − k_v, k_v positive upward; water presses as at rest.

    The horizontal inertia stays that of the static weight, and a pore pressure by r_u that of the static stress.
    """
    if not model.k_v:
        return model
    part = 1 - model.k_v

    def soil(material: Soil) -> Soil:
        ratio = None if material.r_u is None else material.r_u / part
        return replace(material, gamma=material.gamma * part, gamma_sat=material.gamma_sat * part, r_u=ratio)

    columns = model.columns
    return replace(
        model,
        layers=tuple(Layer(soil(layer.soil), layer.top, layer.piezometric) for layer in model.layers),
        lenses=tuple(replace(lense, soil=soil(lense.soil)) for lense in model.lenses),
        strips=tuple(replace(strip, q=strip.q * part) for strip in model.strips),
        k_h=model.k_h / part,
        columns=columns and replace(columns, gamma=columns.gamma * part, gamma_sat=columns.gamma_sat * part),
    )
