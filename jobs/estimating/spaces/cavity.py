"""What closed cavities of slopes and walls share: pounds and bags of a fill, the cavity's R."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating.blowing import Machine, slope_pace
from jobs.estimating.cautions import Doubt, density_low
from jobs.estimating.charts import pick_cavity_row
from jobs.estimating.defaults import MAX_LB_PER_FT3
from jobs.estimating.exact import counted, plain, spoken
from jobs.estimating.materials import FILLS, Material
from jobs.estimating.reading import NOT_BLOWN, Node, limits, note
from jobs.estimating.steps import StepReckoned

R_SOURCE = "16 CFR 460.17: R from the product's chart, never inches times R per inch"


@dataclass(frozen=True, slots=True)
class Fill:
    """What closed cavities are filled with, how densely, and which machine rate holds."""

    material: Material
    lb_per_ft3: Fraction
    kind: str

    @property
    def density_doubt(self) -> Doubt | None:
        """The doubt that a dense fill is under the material's minimum."""
        least = self.material.dense_min_lb_per_ft3
        return density_low(self.lb_per_ft3, least) if self.kind == "dense" else None


def read_fill(node: Node, material: Material) -> Fill:
    """Return the fill of a space; dense or open by the nearer density where it is not said."""
    if material.kind != "loose_fill":
        raise node.fail("material", NOT_BLOWN, material=material.name)
    density = node.maybe("lb_per_ft3", "lb/ft3", limits(0, MAX_LB_PER_FT3))
    said_kind = node.choice("fill", FILLS, "nearer")
    kind = "dense" if said_kind == "nearer" else said_kind
    if density is None:
        density = material.density(kind)
        source = f"the {kind} density of {material.name}"
        note(node.assumed, node.at("lb_per_ft3"), plain(density), "lb/ft3", source)
    elif said_kind == "nearer":
        kind = material.nearest_fill(density)
    return Fill(material, density, kind)


def blow_cavities(
    step: StepReckoned, fill: Fill, volume_ft3: Fraction, machine: Machine
) -> Fraction:
    """Blow a volume: pounds = volume x density, bags, minutes at the pace. Gives the pounds."""
    material, density = fill.material, fill.lb_per_ft3
    source = f"fill density of {material.name}"
    pounds = step.product("pounds", "lb", source, volume_ft3=volume_ft3, lb_per_ft3=density)
    bags = step.bag(pounds, material.bag(), material.name)
    step.fact(volume_ft3=plain(volume_ft3), lb_per_ft3=plain(density), fill=fill.kind)
    step.because.append(
        f"{spoken(volume_ft3)} ft3 at {spoken(density)} lb/ft3 of {material.name} take"
        f" {spoken(pounds)} lb, {counted(bags, 'bag')} of {spoken(material.bag())} lb."
    )
    step.blow(slope_pace(machine, material, fill.kind), pounds, material.bag())
    return pounds


def cavity_r(
    step: StepReckoned, fill: Fill, depth_in: Fraction, target_r: Fraction | None
) -> Doubt | None:
    """State the R of a filled cavity from the product's cavity chart; doubt it against a target."""
    material, density = fill.material, fill.lb_per_ft3
    row = pick_cavity_row(material.cavity_chart, depth_in, density)
    step.fact(r=plain(row.r) if row else None, fill_in=plain(depth_in))
    if row is None:
        text = (
            f"The cavity chart of {material.name} has no row for {spoken(depth_in)} in at"
            f" {spoken(density)} lb/ft3, so no R is stated."
        )
        return Doubt("cavity_chart", text, R_SOURCE)
    step.because.append(
        f"R-{spoken(row.r)} by the product's cavity chart for {spoken(row.depth_in)} in"
        f" at {spoken(row.lb_per_ft3)} lb/ft3 or more."
    )
    return target_not_met(target_r, row.r)


def target_not_met(target_r: Fraction | None, r: Fraction) -> Doubt | None:
    """Return the doubt that a cavity does not reach the R that was asked for."""
    if target_r is None or r >= target_r:
        return None
    text = (
        f"R-{spoken(target_r)} is asked for, the cavity gives R-{spoken(r)}. Where the roof leaves"
        " no room the code's exception for ceilings without attics, or added foam, may answer it."
    )
    return Doubt("target_not_met", text, "IRC N1102.2.2 / IECC R402.2.2")
