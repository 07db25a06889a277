"""Doubts about the strength under the working platform that stand beside its verdicts."""

from typing import Any

import tomlkit

from tests.chapters.rig_case import on_platform
from tests.chapters.settled import keys
from tests.chapters.test_platform import Verify, limit, on_mats, proven, verify

__all__ = ["verify"]


def test_peat_and_a_wide_mat_are_named(verify: Verify) -> None:
    """The first layer is called peat; without the name and with 15 kN/m³ nothing is said."""

    def clay(document: Any) -> None:
        document["section"][0]["layer"][0] |= {"key": "mud", "name": "Clay", "gamma": "15 kN/m^3",
                                               "gamma_sat": "15 kN/m^3"}  # fmt: skip

    assert "platform_thickness" in limit(verify(on_platform()), "platform-peat").turns
    assert not {"platform-peat", "platform-mechanism", "platform-campaign"} & keys(verify(on_platform(), clay))
    assert "platform-mechanism" in keys(verify(on_platform(on_mats())))


def test_one_campaign_for_two_sections_is_named(verify: Verify) -> None:
    def twice(document: Any) -> None:
        other = tomlkit.parse(tomlkit.dumps({"section": [document["section"][0]]})).unwrap()["section"][0]
        document["section"].append({**other, "key": "B"})

    one, two = verify(on_platform(proven)), verify(on_platform(proven), twice)

    assert "platform-campaign" not in keys(one)
    assert "A, B" in limit(two, "platform-campaign").text
    assert "platform_thickness" in limit(two, "platform-campaign").turns
