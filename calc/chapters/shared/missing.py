"""What a project file does not give, in words: the quantity, whose it is, and the field to type."""

from collections.abc import Iterable, Sequence

from calc.engine.words import words_of
from calc.inputs.tables.ground import Layer

say = words_of(__name__)

OF_LAYER = {"c_u": say("strength"), "k": say("permeability"), "c_v": say("vertical"), "c_h": say("horizontal")}


def quoted_names(names: Iterable[str]) -> str:
    """Names in quotes, each once: the parts of a layer have one name."""
    return ", ".join(f"“{name}”" for name in dict.fromkeys(names))


def missing_of_layers(layers: Sequence[Layer], names: Sequence[str]) -> str:
    """The quantities that some layers do not have; empty where all have them."""
    return "; ".join(
        say("of-layers", what=OF_LAYER[name], layers=quoted_names(bare), field=name)
        for name in names
        if (bare := [layer.name for layer in layers if getattr(layer, name) is None])
    )


def not_given(missing: str) -> str:
    """The reason of what is not verified."""
    return say("not-given", missing=missing)
