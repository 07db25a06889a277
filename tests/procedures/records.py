"""Embankments on encased columns that stood, and one that must fail, rebuilt for the searches of this project.

What was published of the structures: an estuary dyke of 7 m on 8 to 14 m of soil with c_u 0.4 to 10 kPa, columns of
0.8 m at 1.7 to 2.4 m, raised over months (Raithel et al. 2002, abstract); from memory: it has a reinforcement across,
there are railway banks of up to 9 m, and trial banks of about 5 m were raised within two months (Almeida et al. 2015,
Hosseinpour et al. 2016). Everything else is chosen within the usual ranges and is no record: the dyke weighs 87 kPa
because its lower part lies under water; layers, shear angles, stress ratios, degrees and 150 kN/m of tension in the
dyke are invented. The bank that must fail is invented as a whole: nobody builds it.
"""

from dataclasses import dataclass
from math import atan, radians, tan

from calc.formulas.bending import drained_lateral_resistance, embedment_shear
from calc.formulas.consolidation_strength import gain_above_given, stress_by_share
from calc.formulas.extrusion import column_share_of_lift
from calc.formulas.ground import passive_coefficient
from calc.formulas.overall_stability import soil_share_under_new_lift
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.stage_pressure import degree_while_placed, soil_share_of_lift
from calc.procedures.slip import (
    Bending,
    BlockSearch,
    Columns,
    Layer,
    Lens,
    Model,
    Reinforcement,
    Search,
    Soil,
    Water,
    analyse,
)

EMBEDMENT, D, GAMMA_W, PLANE = 0.5, 0.8, 10.0, 0.9


@dataclass(frozen=True)
class Bank:
    """A bank while its last lift is placed, in coherent units.

    ``reach`` is the end of the column field over the length of the side slope, 0 at the crest edge and 1 at the toe;
    ``placed`` the time of placing the lift over the mean time of radial flow; ``U`` the degree under the fill before.
    """

    height: float
    lift: float
    slope: float
    gamma: float
    phi: float
    soft: float
    c_u: float
    growth: float
    gamma_soil: float
    a: float
    phi_c: float
    n: float
    U: float
    S: float
    placed: float
    reach: float = 1.0
    tie: float = 0.0

    @property
    def before(self) -> float:
        """Pressure of the fill before the lift."""
        return self.gamma * (self.height - self.lift)

    def gain(self, n: float) -> float:
        """Gain of strength up to mid-slope, the least over the depth, with a stress ratio."""
        share = float(soil_stress_share(n, self.a))
        found = []
        for z in (self.soft * (k + 0.5) / 10 for k in range(10)):
            own = (self.gamma_soil - GAMMA_W) * z
            stress = stress_by_share(own, self.U, share, 0.5, self.before)
            found.append(float(gain_above_given(self.S, stress, self.c_u + self.growth * z, own)))
        return min(found)

    def shares(self, n: float) -> tuple[float, float]:
        """Stress of all fill on soil and column over the mean, while the lift is placed."""
        own = float(soil_stress_share(n, self.a))
        lift = float(soil_share_of_lift(degree_while_placed(self.placed, 1.0), own))
        soil = float(soil_share_under_new_lift(own, self.before, lift, self.gamma * self.lift))
        return soil, float(column_share_of_lift(self.a, soil))

    def model(self, n: float, by: float = 1.0) -> Model:
        """The cross-section with a stress ratio; ``by`` divides all strengths."""
        toe, wide = self.slope * self.height, 5.0 * self.height
        ends = (-wide, wide + toe)
        phi, phi_c, phi_firm = (atan(tan(angle) / by) for angle in (self.phi, self.phi_c, radians(32.5)))
        fill = Soil("fill", self.gamma, self.gamma, phi=phi)
        soft = Soil(
            "soft", self.gamma_soil, self.gamma_soil, c_u=self.c_u / by, c_u_growth=self.growth / by, c_u_level=0.0
        )
        gain = self.gain(n)
        inner = Soil("gain", self.gamma_soil, self.gamma_soil, c_u=(self.c_u + gain) / by, c_u_growth=self.growth / by,
                     c_u_level=0.0)  # fmt: skip
        firm = Soil("firm", 20.0, 20.0, phi=phi_firm)
        own = self.soft * (self.gamma_soil - GAMMA_W)
        held = embedment_shear(drained_lateral_resistance(passive_coefficient(phi_firm), own, D), EMBEDMENT)
        columns = Columns(
            ends[0], self.reach * toe, 0.0, -self.soft - EMBEDMENT, self.a, *self.shares(n), 19.0, 19.0, phi_c, PLANE,
            bending=Bending(D, -self.soft, float(held)),
        )  # fmt: skip
        half = toe / 2 if self.reach >= 0.5 else self.reach * toe
        lens = ((ends[0], 0.0), (half, 0.0), (half, -self.soft), (ends[0], -self.soft))
        return Model(
            ((ends[0], self.height), (0.0, self.height), (toe, 0.0), (ends[1], 0.0)),
            (
                Layer(fill), Layer(soft, ((ends[0], 0.0), (ends[1], 0.0))),
                Layer(firm, ((ends[0], -self.soft), (ends[1], -self.soft))),
            ),
            -self.soft - 3.0, lenses=(Lens(inner, lens),) if gain > 0 and half > ends[0] else (),
            water=Water(((ends[0], 0.0), (ends[1], 0.0)), gamma_w=GAMMA_W), columns=columns,
            reinforcement=(Reinforcement("across", 0.0, ends[0], toe, self.tie, 0.5, 0.5),) if self.tie else (),
        )  # fmt: skip


def factor(bank: Bank, n: float, by: float = 1.0) -> float:
    """Minimum factor of the deep-seated circles."""
    return analyse(bank.model(n, by), SEARCH, "bishop", form="B", slices=30).factor


def counted(bank: Bank, by: float = 1.0) -> float:
    """The lower of the runs by both stress ratios where a gain counts, else the run by that for stability."""
    own = factor(bank, bank.n, by)
    return min(own, factor(bank, OF_THE_CELL, by)) if bank.gain(bank.n) > 0 else own


def block(bank: Bank) -> float:
    """Minimum factor of blocks along the base of the soft ground."""
    toe, level = bank.slope * bank.height, -bank.soft + 0.02
    angles = tuple(radians(one) for one in (40, 50, 60)), tuple(radians(one) for one in (25, 35, 45))
    search = BlockSearch(((-60.0, level), (60.0, level)), (-4.0, 0.0), (0.0, toe + 6.0), *angles, (8, 8))
    return analyse(bank.model(bank.n), search, "janbu", form="B", slices=30).factor


OF_THE_CELL = 15.0  # stress ratio of a cell in very soft ground, as the standard cell gives it
SEARCH = Search(counts=(10, 10, 8), min_depth=1.0, below=-0.1)
DYKE = Bank(
    7.0,
    27 / 12.4,
    3.0,
    12.4,
    radians(32.5),
    10.0,
    3.0,
    0.7,
    14.0,
    0.15,
    radians(32.5),
    2.5,
    0.85,
    0.22,
    14 / 30,
    tie=150.0,
)
RAILWAY = Bank(9.0, 2.0, 2.0, 19.0, radians(35), 5.0, 14.0, 0.5, 15.0, 0.20, radians(35), 3.0, 0.90, 0.22, 14 / 30)
TRIAL = Bank(5.0, 1.5, 2.0, 19.0, radians(35), 6.0, 9.0, 1.0, 14.5, 0.15, radians(35), 2.0, 0.60, 0.22, 10 / 30)
STOOD = {"dyke": DYKE, "railway": RAILWAY, "trial": TRIAL}
FAILS = Bank(5.0, 5.0, 2.0, 19.0, radians(32.5), 6.0, 6.0, 0.0, 14.0, 0.15, radians(35), 1.0, 0.0, 0.22, 8 / 30, 0.0)
